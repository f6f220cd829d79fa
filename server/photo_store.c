#include "photo_store.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sodium.h>

#include "log.h"
#include "photo_strip.h"

#define PATH_SIZE 800

static void hash_of(const uint8_t *bytes, size_t length, char out[PHOTO_HASH_SIZE])
{
    uint8_t hash[crypto_hash_sha256_BYTES];

    crypto_hash_sha256(hash, bytes, length);
    sodium_bin2hex(out, PHOTO_HASH_SIZE, hash, sizeof hash);
}

static enum photo_store_status refuse(const char *what)
{
    bool is_full = errno == ENOSPC || errno == EDQUOT || errno == EROFS;

    log_line(LOG_LEVEL_ERROR, "photos", "%s: %s", what, strerror(errno));
    return is_full ? PHOTO_STORE_FULL : PHOTO_STORE_FAILED;
}

static bool write_all(int fd, const uint8_t *bytes, size_t length)
{
    while (length > 0) {
        ssize_t written = write(fd, bytes, length);

        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0)
            return false;
        bytes += written;
        length -= (size_t)written;
    }
    return true;
}

/* A name in a folder is safe once the folder is. */
static bool sync_folder(const char *folder)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    bool is_safe = fd >= 0 && fsync(fd) == 0;

    if (fd >= 0)
        close(fd);
    return is_safe;
}

enum photo_store_status photo_store_put(const char *state_dir, const uint8_t *bytes,
                                        size_t length, char out_hash[PHOTO_HASH_SIZE])
{
    char folder[PATH_SIZE], path[PATH_SIZE + PHOTO_HASH_SIZE], made[PATH_SIZE + 16];
    bool is_written;
    int fd;

    hash_of(bytes, length, out_hash);
    snprintf(folder, sizeof folder, "%s/photos", state_dir);
    snprintf(path, sizeof path, "%s/%s", folder, out_hash);
    snprintf(made, sizeof made, "%s/new-XXXXXX", folder);
    if (mkdir(folder, 0700) != 0 && errno != EEXIST)
        return refuse("the folder cannot be made");
    fd = mkostemp(made, O_CLOEXEC); /* 0600 */
    if (fd < 0)
        return refuse("a photo cannot be kept");
    is_written = write_all(fd, bytes, length) && fsync(fd) == 0;
    if (close(fd) != 0 || !is_written || rename(made, path) != 0 ||
        !sync_folder(folder)) {
        enum photo_store_status status = refuse("a photo cannot be kept");

        unlink(made);
        return status;
    }
    return PHOTO_STORE_OK;
}

static uint8_t *read_all(int fd, size_t *out_length)
{
    const size_t max = PHOTO_BYTES_MAX + PHOTO_EXTRA;
    struct stat stat;
    uint8_t *bytes;
    size_t got = 0;

    if (fstat(fd, &stat) != 0 || stat.st_size <= 0 || (size_t)stat.st_size > max)
        return NULL;
    *out_length = (size_t)stat.st_size;
    bytes = malloc(*out_length);
    while (bytes != NULL && got < *out_length) {
        ssize_t piece = read(fd, bytes + got, *out_length - got);

        if (piece < 0 && errno == EINTR)
            continue;
        if (piece <= 0) {
            free(bytes);
            return NULL;
        }
        got += (size_t)piece;
    }
    return bytes;
}

uint8_t *photo_store_get(const char *state_dir, const char *hash, size_t *out_length)
{
    char path[PATH_SIZE + PHOTO_HASH_SIZE], found[PHOTO_HASH_SIZE];
    uint8_t *bytes;
    int fd;

    if (strlen(hash) != PHOTO_HASH_SIZE - 1 ||
        strspn(hash, "0123456789abcdef") != PHOTO_HASH_SIZE - 1)
        return NULL;
    snprintf(path, sizeof path, "%s/photos/%s", state_dir, hash);
    fd = open(path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW);
    if (fd < 0)
        return NULL;
    bytes = read_all(fd, out_length);
    close(fd);
    if (bytes == NULL)
        return NULL;
    hash_of(bytes, *out_length, found);
    if (strcmp(found, hash) == 0)
        return bytes;
    log_line(LOG_LEVEL_ERROR, "photos", "%s is damaged", hash);
    free(bytes);
    return NULL;
}
