/*
 * The pages and what they load, built into the daemon. Names are compared whole; no
 * path is ever made from a URL. For development a folder can stand in (assets_disk.c).
 */
#ifndef ASSETS_H
#define ASSETS_H

#include <stdbool.h>
#include <stddef.h>

#include "exchange.h"

struct asset {
    const char *path; /* as in the URL: "/readings", "/js/main.js" */
    const char *content_type;
    const char *etag; /* with quotes; of the plain bytes */
    const unsigned char *bytes;
    size_t length;
    const unsigned char *gzip_bytes; /* NULL where packing gains nothing */
    size_t gzip_length;
    const char *gzip_etag;
};

extern const struct asset assets_table[]; /* made by tools/embed.c; ascending paths */
extern const size_t assets_count;

/* Answers from the table. False (nothing answered) for a path that names nothing. */
bool assets_answer(const struct request *req, struct reply *out);

/* Reads the Accept-Encoding value: is gzip welcome? NULL: no. */
bool assets_gzip_is_welcome(const char *accept_encoding);

/* ---- for development, from a folder ---- */

/* False when the folder cannot be opened. */
bool assets_disk_open(const char *folder);
bool assets_disk_is_open(void);
bool assets_disk_answer(const struct request *req, struct reply *out);
void assets_disk_close(void);

#endif
