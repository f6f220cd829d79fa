/*
 * One request and its reply, free of any HTTP library.
 *
 * http.c fills a request once (everything is copied, so that a handler may run on
 * another thread) and sends the reply. Handlers see nothing else of HTTP.
 */
#ifndef EXCHANGE_H
#define EXCHANGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "who.h"

#define REQUEST_QUERY_MAX 24

struct request_pair {
    const char *name;
    const char *value; /* "" when the query had only a name */
};

/* Borrowed by handlers; lives until the reply is sent. Absent texts are NULL. */
struct proof; /* door.h */

/* A cookie of http and one of https never stand in for each other; "__Host-" is the
 * browser's promise that only this host set it, over TLS (RFC 6265bis). */
#define REPLY_COOKIE_SIZE 192
#define SESSION_COOKIE "coilkeep_session"
#define DEVICE_COOKIE "coilkeep_device"
#define SESSION_COOKIE_SECURE "__Host-" SESSION_COOKIE
#define DEVICE_COOKIE_SECURE "__Host-" DEVICE_COOKIE

struct request {
    const char *method;
    const char *target; /* as sent, with the query */
    const char
        *path;  /* as sent, without the query; an escaped one names nothing here */
    int64_t id; /* the {id} of the route's pattern, 0 without one */
    struct request_pair query[REQUEST_QUERY_MAX];
    size_t query_count;
    const char *host;
    const char *origin;
    const char *content_type;
    const char *if_match;
    const char *if_none_match;
    const char *idempotency_key;
    const char *accept_encoding;
    const char *change_header; /* Coilkeep-Change */
    const char *sec_fetch_site;
    const char *peer; /* address as text, for the journal */
    bool is_secure;   /* came over TLS to a proxy that we trust */
    const uint8_t *body;
    size_t body_length;
    uint8_t hash[32]; /* SHA-256 of method, target and body; of changing routes only */
    bool is_head;
    const char *authorization;
    const char *session_cookie, *device_cookie; /* NULL when there is none */
    struct who who;                             /* of an API call */
    struct proof *proof; /* of a route that prepares; NULL else */
};

/* NULL when the query has no such name. */
const char *request_query(const struct request *req, const char *name);

/* An answer that is made piece by piece while it leaves, so that its length costs no
 * memory. Called on the HTTP thread, so it may use the reading connection; other calls
 * come in between. */
struct reply_stream {
    /* Writes up to size bytes to out; gives their count, 0 at the end, -1 when it cannot
     * go on (the connection is cut, so that nobody takes a part for the whole). */
    ptrdiff_t (*next)(struct reply_stream *stream, char *out, size_t size);
    void (*finish)(struct reply_stream *stream); /* frees it too */
};

struct reply {
    int status;               /* 0: nothing said yet */
    const char *content_type; /* static text */
    const void *body;         /* malloc'd when body_owned, else static or borrowed */
    size_t body_length;
    bool body_owned;
    struct reply_stream *stream; /* instead of a body; owned; NULL: none */
    char etag[80];             /* with quotes; "" for none */
    bool tag_only_matches;     /* it is for If-Match: the answer says more than it, no 304 */
    char location[96];         /* "" for none */
    char allow[64];            /* for 405 */
    char cookies[2][REPLY_COOKIE_SIZE];      /* Set-Cookie; "" for none */
    int retry_after_s;         /* 0: none */
    const char *encoding;      /* "gzip" or NULL */
    const char *cache_control; /* NULL: no-store */
    bool varies;               /* with Accept-Encoding */
};

/* Takes a malloc'd text as a JSON answer. */
void reply_json(struct reply *out, int status, char *json_text);
/* Frees an owned body or stream; zeroed is fine. */
void reply_finish(struct reply *out);

#endif
