/*
 * Decimal numbers as people type them, kept as integers of a millionth (e6), so that
 * what was typed comes back exactly.
 */
#ifndef DECIMAL_H
#define DECIMAL_H

#include <stddef.h>
#include <stdint.h>

enum decimal_status {
    DECIMAL_OK,
    DECIMAL_EMPTY,
    DECIMAL_NOT_A_NUMBER,   /* letters, "NaN", "inf", "1e3" */
    DECIMAL_TWO_SEPARATORS, /* "7.4.1", "1,234.5": we say what was seen, never guess */
    DECIMAL_TOO_LARGE       /* |value| >= 1e12 */
};

/*
 * Reads text[0..length). separator is '.' or ',' when known, 0 to accept either one.
 * White space around is ignored, a leading + or - (also U+2212) allowed. Digits past the
 * sixth decimal are rounded half away from zero.
 */
enum decimal_status decimal_read(const char *text, size_t length, char separator,
                                 int64_t *out_value_e6);

/* Shortest decimal text with a point: 7400000 -> "7.4". size >= 24. Returns its length. */
size_t decimal_write(int64_t value_e6, char *out, size_t size);

double decimal_to_double(int64_t value_e6);             /* value_e6 / 1e6 */
int64_t decimal_from_double(double value);               /* nearest; value is finite */

#endif
