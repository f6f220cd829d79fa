#include "user.h"

#include <errno.h>
#include <grp.h>
#include <sys/stat.h>
#include <unistd.h>

enum user_status user_become_owner(const char *folder)
{
    struct stat info;

    if (geteuid() != 0)
        return USER_OK;
    if (stat(folder, &info) != 0)
        return USER_NO_FOLDER;
    if (info.st_uid == 0)
        return USER_ROOTS;
    /* groups first: afterwards we may no longer */
    if (setgroups(0, NULL) != 0 || setgid(info.st_gid) != 0 ||
        setuid(info.st_uid) != 0)
        return USER_STUCK;
    if (setuid(0) == 0) { /* a way back would make the change worth nothing */
        errno = EPERM;
        return USER_STUCK;
    }
    return USER_OK;
}
