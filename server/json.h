/*
 * The only door to cJSON's parser, which alone is too lax: refuses trailing text, bad
 * UTF-8, NUL and raw control bytes, duplicate members, depth over 8, numbers that are
 * not finite or not written as RFC 8259 wants.
 */
#ifndef JSON_H
#define JSON_H

#include <stddef.h>

#include <cjson/cJSON.h>

enum json_fault {
    JSON_OK,
    JSON_EMPTY,
    JSON_SYNTAX,
    JSON_NOT_UTF8,
    JSON_CONTROL_BYTE,
    JSON_DUPLICATE_MEMBER,
    JSON_TOO_DEEP,
    JSON_NUMBER_RANGE,
    JSON_NO_MEMORY
};

/* Gives the tree (cJSON_Delete releases it), or NULL and the fault. */
cJSON *json_parse(const char *text, size_t length, enum json_fault *out_fault);
const char *json_fault_text(enum json_fault fault); /* a sentence for the problem */

/* Gives the text of a tree without white space (free releases it), NULL without memory.
 * Releases the tree in every case. */
char *json_print_and_delete(cJSON *tree);

#endif
