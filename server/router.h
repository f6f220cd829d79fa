/*
 * One table of all routes: method, pattern, what a call must bring, and the code.
 * The rules of docs/api.md that hold for every call (content type, key, match, body
 * size) are checked from this table before a handler runs.
 */
#ifndef ROUTER_H
#define ROUTER_H

#include "app.h"

enum route_flags {
    ROUTE_READS = 0,
    ROUTE_CHANGES = 1,   /* runs on the writer thread, needs the change header */
    ROUTE_KEY = 2,       /* needs Idempotency-Key; answer kept and replayed */
    ROUTE_MATCH = 4,     /* needs If-Match (the handler compares) */
    ROUTE_JSON_BODY = 8, /* application/json, at most 64 KiB */
    ROUTE_CSV_BODY = 16, /* text/csv, at most 64 MiB, spooled to disk */
    ROUTE_OUTSIDE_TRANSACTION = 32, /* handler begins and commits itself (import); it
                                       also asks for the key and keeps the answer */
    ROUTE_ON_WRITER = 64, /* a reading route that needs the writing connection */
    ROUTE_PHOTO_BODY = 512, /* image/jpeg or image/png, at most 10 MiB, spooled to disk */
    ROUTE_EVENTS = 256,   /* answered by a stream of events, not by the handler */
    ROUTE_AT_ONCE = 128   /* needs what a change needs, but writes nothing and must not
                             wait for the writer: runs like a reading route */
};

struct route {
    const char *method; /* GET also answers HEAD */
    const char
        *pattern; /* "/api/v1/readings/{id}"; at most one {id}, a positive integer, or {token}, letters,
                    digits and "_" */
    unsigned flags;
    api_handler handler;
    const char *queries; /* space-separated names the query may hold; NULL: none */
    api_prepare prepare; /* of a route with a secret in it (door.h); NULL: none */
};

extern const struct route routes[]; /* routes.c; ends with method NULL */

enum route_found { ROUTE_FOUND, ROUTE_NO_PATH, ROUTE_NO_METHOD };

/* Finds the route; for ROUTE_NO_METHOD out_allow (size >= 64) receives the methods. */
enum route_found router_find(const char *method, const char *path,
                             const struct route **out_route, int64_t *out_id,
                             char *out_allow, size_t size);

#endif
