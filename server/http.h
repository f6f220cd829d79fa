/*
 * The HTTP door: takes connections, applies the rules that hold for every call, runs
 * reading handlers on its own thread and hands changes to the writer.
 */
#ifndef HTTP_H
#define HTTP_H

#include <stdint.h>

#include "app.h"
#include "config.h"
#include "writer.h"

struct http;

struct http_options {
    const char *bind; /* an IP address of this machine */
    uint16_t port;    /* 0: any free one */
    unsigned connections, connections_per_address;
    const char (*names)[CONFIG_WORD_SIZE], (*proxies)[CONFIG_WORD_SIZE]; /* borrowed */
};

enum http_status {
    HTTP_OK,
    HTTP_BAD_ADDRESS,
    HTTP_PORT_TAKEN,
    HTTP_DENIED,
    HTTP_FAILED
};

/* Borrows app, reading and writer. Gives an http that already answers (http_stop
 * releases it). */
enum http_status http_start(const struct http_options *options, struct app *app,
                            struct db *reading, struct writer *writer,
                            struct http **out_http);
uint16_t http_port(const struct http *http);

/* No new connections from now on. */
void http_quiesce(struct http *http);
/* Waits until the answers under way have left, timeout_ms at most, then stops. No call
 * may be with the writer any more. */
void http_stop(struct http *http, int timeout_ms);

#endif
