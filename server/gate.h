/*
 * What every call must bring before its handler runs (docs/api.md, "Rules for every
 * call"). Works on the request alone; knows no HTTP library.
 */
#ifndef GATE_H
#define GATE_H

#include "router.h"

#define GATE_JSON_BYTES_MAX ((uint64_t)64 * 1024)
#define GATE_PHOTO_BYTES_MAX ((uint64_t)10 * 1024 * 1024)
#define GATE_CSV_BYTES_MAX ((uint64_t)64 * 1024 * 1024)

/* Refuses (and answers) who may not: req->who against the route's row of rights.c. */
bool gate_lets_who(const struct request *req, unsigned rights, int64_t now,
                   struct reply *out);

/* Refuses (and answers) a change that is not from our own page, has another content
 * type, or lacks key or match. True when it may go on. */
bool gate_lets_change(const struct request *req, const struct route *route,
                      struct reply *out);

/* Refuses queries that the route does not know. */
bool gate_lets_query(const struct request *req, const struct route *route,
                     struct reply *out);

/* Most bytes of a body for that route; 0 when it takes none. route may be NULL. */
uint64_t gate_body_max(const struct route *route);

/* 8 to 64 letters, digits and "-". */
bool gate_key_is_good(const char *key);
/* Answers 400 key_missing or key_invalid; true when the key is there and good. For
 * handlers of ROUTE_OUTSIDE_TRANSACTION, which need it only sometimes. */
bool gate_lets_key(const struct request *req, struct reply *out);

/* True when the If-None-Match list holds the tag (strong comparison) or is "*". */
bool gate_tag_listed(const char *list, const char *etag);

#endif
