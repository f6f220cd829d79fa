/*
 * UTF-8 as RFC 3629 has it: no overlong forms, no surrogates, nothing above U+10FFFF.
 */
#ifndef UTF8_H
#define UTF8_H

#include <stdbool.h>
#include <stddef.h>

/* Length of the well-formed sequence at text[0..length), 0 when it is malformed. */
size_t utf8_step(const char *text, size_t length);
bool utf8_valid(const char *text, size_t length);

/* Characters of a well-formed text. */
size_t utf8_length(const char *text);

/* Shortens a terminated text that was cut by size so that it ends with a whole
 * character. */
void utf8_trim_end(char *text);

#endif
