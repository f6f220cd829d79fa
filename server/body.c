#include "body.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "log.h"

static void fail(struct body *body)
{
    bool full = errno == ENOSPC || errno == EDQUOT || errno == EROFS;

    log_line(LOG_LEVEL_ERROR, "body", "the upload cannot be kept: %s", strerror(errno));
    body->status = full ? BODY_DISK_FULL : BODY_FAILED;
}

/* O_TMPFILE where the file system has it, else a name that is taken away at once. */
static int open_nameless(const char *folder)
{
    char path[640];
    int fd = open(folder, O_TMPFILE | O_RDWR | O_CLOEXEC, 0600);

    if (fd >= 0 || (errno != EOPNOTSUPP && errno != EISDIR && errno != ENOENT))
        return fd;
    snprintf(path, sizeof path, "%s/upload-XXXXXX", folder);
    fd = mkostemp(path, O_CLOEXEC);
    if (fd >= 0)
        unlink(path);
    return fd;
}

void body_open(struct body *body, uint64_t max, const char *state_dir)
{
    memset(body, 0, sizeof *body);
    body->max = max;
    body->fd = -1;
    if (state_dir == NULL)
        return;
    body->spools = true;
    body->fd = open_nameless(state_dir);
    if (body->fd < 0)
        fail(body);
}

static void add_to_file(struct body *body, const char *bytes, size_t length)
{
    while (length > 0) {
        ssize_t written = write(body->fd, bytes, length);

        if (written < 0 && errno == EINTR)
            continue;
        if (written < 0) {
            fail(body);
            return;
        }
        bytes += written;
        length -= (size_t)written;
        body->length += (size_t)written;
    }
}

static void add_to_memory(struct body *body, const char *bytes, size_t length)
{
    size_t need = (size_t)body->length + length + 1;

    if (need > body->memory_size) {
        size_t size = need < 512 ? 512 : need * 2;
        char *bigger = realloc(body->memory, size);

        if (bigger == NULL) {
            body->status = BODY_NO_MEMORY;
            return;
        }
        body->memory = bigger;
        body->memory_size = size;
    }
    memcpy(body->memory + body->length, bytes, length);
    body->length += length;
    body->memory[body->length] = '\0';
}

void body_add(struct body *body, const void *bytes, size_t length)
{
    if (body->status != BODY_OK)
        return;
    if (length > body->max - body->length)
        body->status = BODY_TOO_LARGE;
    else if (body->spools)
        add_to_file(body, bytes, length);
    else
        add_to_memory(body, bytes, length);
}

const uint8_t *body_bytes(struct body *body)
{
    static const uint8_t nothing[1] = {0};

    if (body->status != BODY_OK || body->length == 0)
        return nothing;
    if (!body->spools)
        return (const uint8_t *)body->memory;
    if (body->mapped == NULL) {
        void *mapped =
            mmap(NULL, (size_t)body->length, PROT_READ, MAP_PRIVATE, body->fd, 0);

        if (mapped == MAP_FAILED) {
            fail(body);
            return nothing;
        }
        body->mapped = mapped;
    }
    return body->mapped;
}

void body_close(struct body *body)
{
    if (body->mapped != NULL)
        munmap(body->mapped, (size_t)body->length);
    if (body->spools && body->fd >= 0)
        close(body->fd);
    free(body->memory);
    memset(body, 0, sizeof *body);
    body->fd = -1;
}
