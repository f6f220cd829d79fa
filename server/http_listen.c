#include "http_listen.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <string.h>
#include <sys/socket.h>
#include <unistd.h>

#define BACKLOG 128

static socklen_t make_address(const struct http_options *options,
                              struct sockaddr_storage *out)
{
    struct sockaddr_in *four = (struct sockaddr_in *)out;
    struct sockaddr_in6 *six = (struct sockaddr_in6 *)out;

    memset(out, 0, sizeof *out);
    if (inet_pton(AF_INET, options->bind, &four->sin_addr) == 1) {
        four->sin_family = AF_INET;
        four->sin_port = htons(options->port);
        return sizeof *four;
    }
    if (inet_pton(AF_INET6, options->bind, &six->sin6_addr) == 1) {
        six->sin6_family = AF_INET6;
        six->sin6_port = htons(options->port);
        return sizeof *six;
    }
    return 0;
}

static enum http_status status_of_errno(void)
{
    if (errno == EADDRINUSE)
        return HTTP_PORT_TAKEN;
    if (errno == EACCES || errno == EPERM)
        return HTTP_DENIED;
    return errno == EADDRNOTAVAIL ? HTTP_BAD_ADDRESS : HTTP_FAILED;
}

/* SO_REUSEADDR only: with SO_REUSEPORT a second daemon would share the port silently.
 */
enum http_status http_listen(const struct http_options *options, int *out_fd,
                             uint16_t *out_port)
{
    struct sockaddr_storage address;
    socklen_t length = make_address(options, &address);
    const int yes = 1;
    enum http_status status;
    int fd;

    if (length == 0)
        return HTTP_BAD_ADDRESS;
    fd = socket(address.ss_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (fd < 0)
        return HTTP_FAILED;
    if (setsockopt(fd, SOL_SOCKET, SO_REUSEADDR, &yes, sizeof yes) != 0 ||
        (address.ss_family == AF_INET6 &&
         setsockopt(fd, IPPROTO_IPV6, IPV6_V6ONLY, &yes, sizeof yes) != 0) ||
        bind(fd, (struct sockaddr *)&address, length) != 0 ||
        listen(fd, BACKLOG) != 0 ||
        getsockname(fd, (struct sockaddr *)&address, &length) != 0) {
        status = status_of_errno();
        close(fd);
        return status;
    }
    *out_fd = fd;
    *out_port = ntohs(address.ss_family == AF_INET
                          ? ((struct sockaddr_in *)&address)->sin_port
                          : ((struct sockaddr_in6 *)&address)->sin6_port);
    return HTTP_OK;
}
