/*
 * A reply as the HTTP library wants it: body or stream, and the headers.
 */
#ifndef HTTP_ANSWER_H
#define HTTP_ANSWER_H

#include <microhttpd.h>

#include "exchange.h"

/* The longest that an answer, or the next piece of a stream, may take to leave. */
#define HTTP_ANSWER_MS 60000

/* Takes the reply's body or stream. NULL without memory; then the reply keeps them. */
struct MHD_Response *http_answer_make(struct reply *reply, int fd);
/* The golden headers and what the reply says of itself. */
void http_answer_headers(struct MHD_Response *response, const struct reply *reply);
/* One more; NULL and "" are left out. */
void http_answer_header(struct MHD_Response *response, const char *name,
                        const char *value);

#endif
