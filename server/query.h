/*
 * The query of a request target: split, percent-decoded, checked.
 */
#ifndef QUERY_H
#define QUERY_H

#include "exchange.h"
#include "problem.h"

/* Splits text in place ("a=1&b=2", without the question mark); the pairs borrow it.
 * Faults: query_invalid (status 400), query_repeated, query_too_many. */
void query_parse(char *text, struct request *req, struct problem *problem);

#endif
