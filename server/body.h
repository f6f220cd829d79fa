/*
 * The body of a request while it arrives: in memory when small, in a nameless file of
 * the state folder when it may be large (then mapped).
 */
#ifndef BODY_H
#define BODY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum body_status {
    BODY_OK,
    BODY_TOO_LARGE,
    BODY_NO_MEMORY,
    BODY_DISK_FULL,
    BODY_FAILED
};

struct body {
    enum body_status status; /* of the first fault; later bytes are then dropped */
    uint64_t max;
    uint64_t length;
    char *memory; /* owned */
    size_t memory_size;
    bool spools;
    int fd;
    void *mapped;
};

/* state_dir NULL: keep it in memory. */
void body_open(struct body *body, uint64_t max, const char *state_dir);
void body_add(struct body *body, const void *bytes, size_t length);
/* The whole body, terminated by a NUL when in memory; lives until body_close. */
const uint8_t *body_bytes(struct body *body);
void body_close(struct body *body); /* zeroed is fine */

#endif
