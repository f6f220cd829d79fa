/*
 * The socket that the door listens on. Knows no HTTP library.
 */
#ifndef HTTP_LISTEN_H
#define HTTP_LISTEN_H

#include "http.h"

/* Binds to options->bind and options->port (0: any free one) and listens. The socket is
 * the caller's; out_port is the port that it got. */
enum http_status http_listen(const struct http_options *options, int *out_fd,
                             uint16_t *out_port);

#endif
