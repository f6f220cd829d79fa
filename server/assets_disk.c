/*
 * Development only: the pages from a folder, as they are on disk now. openat2 with
 * RESOLVE_BENEATH keeps every name inside the folder, symbolic links included. main.c
 * allows it on loopback only.
 */
#include "assets.h"

#include <fcntl.h>
#include <linux/openat2.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

#include "server/tools/asset_names.h"

#define FILE_BYTES_MAX (4 << 20)

static int folder_fd = -1;

bool assets_disk_open(const char *folder)
{
    folder_fd = open(folder, O_PATH | O_DIRECTORY | O_CLOEXEC);
    return folder_fd >= 0;
}

bool assets_disk_is_open(void)
{
    return folder_fd >= 0;
}

void assets_disk_close(void)
{
    if (folder_fd >= 0)
        close(folder_fd);
    folder_fd = -1;
}

/* The file of a URL: "/" -> "index.html", "/readings" -> "readings.html". Dots are
 * harmless here: openat2 does not leave the folder. */
static bool file_of(const char *url, char *out, size_t size)
{
    static const char *const vendor[][2] = ASSET_VENDOR_FILES;
    const char *name = url + 1;
    int length;

    for (size_t i = 0; i < sizeof vendor / sizeof vendor[0]; i++)
        if (strcmp(url, vendor[i][0]) == 0)
            return snprintf(out, size, "%s", vendor[i][1]) < (int)size;
    if (strspn(name,
               "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_./") !=
        strlen(name))
        return false;
    if (name[0] == '\0')
        length = snprintf(out, size, "index.html");
    else if (strrchr(name, '.') == NULL)
        length = snprintf(out, size, "%s.html", name);
    else
        length = snprintf(out, size, "%s", name);
    return length < (int)size;
}

static char *read_all(int fd, size_t *out_length)
{
    struct stat info;
    char *bytes = NULL;
    ssize_t got = -1;

    if (fstat(fd, &info) == 0 && S_ISREG(info.st_mode) &&
        info.st_size <= FILE_BYTES_MAX)
        bytes = malloc((size_t)info.st_size + 1);
    if (bytes != NULL)
        got = read(fd, bytes, (size_t)info.st_size);
    if (got < 0) {
        free(bytes);
        return NULL;
    }
    *out_length = (size_t)got;
    return bytes;
}

bool assets_disk_answer(const struct request *req, struct reply *out)
{
    struct open_how how = {.flags = O_RDONLY | O_CLOEXEC | O_NONBLOCK,
                           .resolve = RESOLVE_BENEATH | RESOLVE_NO_MAGICLINKS};
    char file[256];
    char *bytes;
    size_t length;
    int fd;

    if (!file_of(req->path, file, sizeof file) || asset_content_type(file) == NULL)
        return false;
    fd = (int)syscall(SYS_openat2, folder_fd, file, &how, sizeof how);
    if (fd < 0)
        return false;
    bytes = read_all(fd, &length);
    close(fd);
    if (bytes == NULL)
        return false;
    out->status = 200;
    out->content_type = asset_content_type(file);
    out->body = bytes;
    out->body_length = length;
    out->body_owned = true;
    out->cache_control = "no-cache";
    return true;
}
