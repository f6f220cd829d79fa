/*
 * Server-sent events (HTML Living Standard, section 9.2): tells a page that something
 * changed, so that it asks again. An event carries no facts, only the number of the
 * newest change as its id; whoever comes back with Last-Event-ID misses none and hears
 * none twice, and ten changes in a row may be told as one.
 *
 * Every few seconds each stream is looked at: is the other end still there, does the
 * login still hold? A comment goes out every 15 s, so that a dead line is noticed.
 */
#ifndef HTTP_EVENTS_H
#define HTTP_EVENTS_H

#include <stdint.h>

#include <microhttpd.h>

#include "app.h"

struct http_events;

/* Does the caller still hold the right that the stream began with? On the HTTP thread.
 */
typedef bool (*http_events_check)(void *context);

/* Borrows app, and is told of its changes from now on. NULL without thread or memory.
 */
struct http_events *http_events_create(struct app *app);
/* Every stream ends at once, and none begins. */
void http_events_close(struct http_events *events);
void http_events_destroy(struct http_events *events); /* after the library stopped */

/* A stream for the connection, NULL without memory. last_id: the header Last-Event-ID
 * or NULL. context must live until the connection is done with the response. */
struct MHD_Response *http_events_response(struct http_events *events,
                                          struct MHD_Connection *connection, int fd,
                                          const char *last_id, http_events_check check,
                                          void *context);
int http_events_count(struct http_events *events);

#endif
