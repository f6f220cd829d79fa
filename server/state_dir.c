#include "state_dir.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

static bool make_with_parents(char *path)
{
    for (char *slash = strchr(path + 1, '/'); slash != NULL;
         slash = strchr(slash + 1, '/')) {
        *slash = '\0';
        if (mkdir(path, 0700) != 0 && errno != EEXIST)
            return false;
        *slash = '/';
    }
    return mkdir(path, 0700) == 0 || errno == EEXIST;
}

/* A folder that was there may be open to others; ours is not. */
static bool close_to_others(const char *path)
{
    struct stat info;

    if (stat(path, &info) != 0)
        return false;
    if (!S_ISDIR(info.st_mode)) {
        errno = ENOTDIR;
        return false;
    }
    return (info.st_mode & 077) == 0 || chmod(path, 0700) == 0;
}

static enum state_dir_status lock_folder(const char *path, int *out_fd)
{
    char lock_path[PATH_MAX + 32];
    int fd;

    snprintf(lock_path, sizeof lock_path, "%s/coilkeep.lock", path);
    fd = open(lock_path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0600);
    if (fd < 0)
        return STATE_DIR_UNWRITABLE;
    if (flock(fd, LOCK_EX | LOCK_NB) != 0) {
        bool taken = errno == EWOULDBLOCK;

        close(fd);
        return taken ? STATE_DIR_TAKEN : STATE_DIR_UNWRITABLE;
    }
    *out_fd = fd;
    return STATE_DIR_OK;
}

enum state_dir_status state_dir_open(const char *path, char *out_path, size_t size,
                                     int *out_lock_fd)
{
    char wanted[PATH_MAX];
    char absolute[PATH_MAX];

    if (snprintf(wanted, sizeof wanted, "%s", path) >= (int)sizeof wanted)
        return STATE_DIR_TOO_LONG;
    if (!make_with_parents(wanted) || realpath(wanted, absolute) == NULL ||
        !close_to_others(absolute) || access(absolute, W_OK | X_OK) != 0)
        return STATE_DIR_UNWRITABLE;
    if (snprintf(out_path, size, "%s", absolute) >= (int)size)
        return STATE_DIR_TOO_LONG;
    return lock_folder(absolute, out_lock_fd);
}
