#include "notify.h"

#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

bool notify_send(const char *state)
{
    const char *path = getenv("NOTIFY_SOCKET");
    struct sockaddr_un address = {.sun_family = AF_UNIX};
    size_t length = path == NULL ? 0 : strlen(path);
    bool sent;
    int fd;

    if (length < 2 || length >= sizeof address.sun_path ||
        (path[0] != '/' && path[0] != '@'))
        return false;
    memcpy(address.sun_path, path, length);
    if (path[0] == '@')
        address.sun_path[0] = '\0'; /* a name of the kernel's, not of a file */
    fd = socket(AF_UNIX, SOCK_DGRAM | SOCK_CLOEXEC, 0);
    if (fd < 0)
        return false;
    sent = sendto(fd, state, strlen(state), MSG_NOSIGNAL, (struct sockaddr *)&address,
                  (socklen_t)(offsetof(struct sockaddr_un, sun_path) + length)) >= 0;
    close(fd);
    return sent;
}

int64_t notify_watchdog_ms(void)
{
    const char *time_us = getenv("WATCHDOG_USEC"), *pid = getenv("WATCHDOG_PID");
    long long value = time_us == NULL ? 0 : strtoll(time_us, NULL, 10);

    if (value <= 0 || (pid != NULL && strtoll(pid, NULL, 10) != (long long)getpid()))
        return 0;
    return value < 2000 ? 1 : value / 2000;
}
