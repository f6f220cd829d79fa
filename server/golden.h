/*
 * The headers that every answer carries, errors included.
 */
#ifndef GOLDEN_H
#define GOLDEN_H

#include <stddef.h>
#include <stdint.h>

struct golden_header {
    const char *name;
    const char *value;
};

extern const struct golden_header golden_headers[]; /* ends with name NULL */

/* A whole answer as bytes, for connections that the HTTP library must not see: a
 * problem with one fault, "Connection: close". Gives the text (free releases it), NULL
 * without memory. */
char *golden_refusal(int status, const char *code, const char *detail, int64_t now_s,
                     size_t *out_length);

#endif
