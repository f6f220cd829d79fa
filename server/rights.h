/*
 * The one table that says who may call which route.
 */
#ifndef RIGHTS_H
#define RIGHTS_H

#include <stddef.h>

#include "router.h"
#include "who.h"

struct right {
    const char *method, *pattern;
    unsigned may; /* of enum rights */
};

extern const struct right rights[]; /* ends with method NULL */

/* The route's row: 0 when it has none, which rights_are_whole() refuses at the start.
 */
unsigned rights_of(const struct route *route);

/* True when every route has exactly one row and every row a route; else writes a
 * sentence that names the first that has not. */
bool rights_are_whole(char *out_fault, size_t size);

#endif
