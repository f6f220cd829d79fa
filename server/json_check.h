/*
 * Strict look at a JSON text before cJSON sees it: grammar of RFC 8259, UTF-8, depth,
 * numbers. Knows nothing of trees; duplicate members are found by json.c.
 */
#ifndef JSON_CHECK_H
#define JSON_CHECK_H

#include <stddef.h>

#include "json.h"

#define JSON_DEPTH_MAX 8

/* text[0..length) followed by a NUL. */
enum json_fault json_check(const char *text, size_t length);

#endif
