#include "decimal.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#define SCALE 1000000
#define DECIMALS 6
/* |value| < 1e12, so that a scaled value stays far below INT64_MAX. */
#define WHOLE_LIMIT INT64_C(1000000000000)

/* Bytes of the white space at the start of text; 0 when there is none. Also the
 * no-break spaces that pages and spreadsheets put around numbers. */
static size_t blank_length(const char *text, size_t length)
{
    if (length >= 1 && (*text == ' ' || (*text >= '\t' && *text <= '\r')))
        return 1;
    if (length >= 2 && memcmp(text, "\xC2\xA0", 2) == 0)
        return 2;
    if (length >= 3 && memcmp(text, "\xE2\x80\xAF", 3) == 0)
        return 3;
    return 0;
}

static void trim(const char **text, size_t *length)
{
    size_t blank;

    while ((blank = blank_length(*text, *length)) > 0) {
        *text += blank;
        *length -= blank;
    }
    while (*length > 0) {
        for (blank = 3; blank > 0; blank--)
            if (*length >= blank &&
                blank_length(*text + *length - blank, blank) == blank)
                break;
        if (blank == 0)
            return;
        *length -= blank;
    }
}

/* Passes a sign; true for a minus. U+2212 is the minus of typeset text. */
static bool take_sign(const char **text, size_t *length)
{
    size_t sign = 0;
    bool negative = false;

    if (*length >= 1 && (**text == '+' || **text == '-')) {
        sign = 1;
        negative = **text == '-';
    } else if (*length >= 3 && memcmp(*text, "\xE2\x88\x92", 3) == 0) {
        sign = 3;
        negative = true;
    }
    *text += sign;
    *length -= sign;
    return negative;
}

/* Looks at what the text is made of, before any digit counts. */
static enum decimal_status shape(const char *text, size_t length, char separator)
{
    size_t digits = 0;
    size_t separators = 0;
    bool foreign = false;

    for (size_t i = 0; i < length; i++) {
        if (text[i] >= '0' && text[i] <= '9') {
            digits++;
        } else if (text[i] == '.' || text[i] == ',') {
            separators++;
            foreign = foreign || (separator != 0 && text[i] != separator);
        } else {
            return DECIMAL_NOT_A_NUMBER;
        }
    }
    if (separators > 1)
        return DECIMAL_TWO_SEPARATORS;
    return digits == 0 || foreign ? DECIMAL_NOT_A_NUMBER : DECIMAL_OK;
}

enum decimal_status decimal_read(const char *text, size_t length, char separator,
                                 int64_t *out_value_e6)
{
    enum decimal_status status;
    int64_t value = 0;
    bool negative;
    size_t i = 0;

    trim(&text, &length);
    if (length == 0)
        return DECIMAL_EMPTY;
    negative = take_sign(&text, &length);
    status = shape(text, length, separator);
    if (status != DECIMAL_OK)
        return status;
    for (; i < length && text[i] != '.' && text[i] != ','; i++) {
        value = value * 10 + (text[i] - '0');
        if (value >= WHOLE_LIMIT)
            return DECIMAL_TOO_LARGE;
    }
    i++;
    for (int place = 0; place < DECIMALS; place++, i++)
        value = value * 10 + (i < length ? text[i] - '0' : 0);
    /* Half away from zero: the first digit left out decides. */
    if (i < length && text[i] >= '5')
        value++;
    if (value >= WHOLE_LIMIT * SCALE)
        return DECIMAL_TOO_LARGE;
    *out_value_e6 = negative ? -value : value;
    return DECIMAL_OK;
}

size_t decimal_write(int64_t value_e6, char *out, size_t size)
{
    /* Unsigned, since -INT64_MIN does not exist. */
    uint64_t magnitude = value_e6 < 0 ? 0 - (uint64_t)value_e6 : (uint64_t)value_e6;
    uint64_t whole = magnitude / SCALE;
    unsigned rest = (unsigned)(magnitude % SCALE);
    char text[24]; /* from its end: 14 digits, a point, 6 digits and a sign at most */
    char *at = text + sizeof text - 1;
    size_t length;

    *at = '\0';
    for (int place = 0; place < DECIMALS; place++, rest /= 10)
        if (rest % 10 != 0 || *at != '\0') /* zeros at the end are left out */
            *--at = (char)('0' + rest % 10);
    if (*at != '\0')
        *--at = '.';
    do
        *--at = (char)('0' + whole % 10);
    while ((whole /= 10) != 0);
    if (value_e6 < 0)
        *--at = '-';
    length = (size_t)(text + sizeof text - 1 - at);
    assert(length < size);
    memcpy(out, at, length + 1);
    return length;
}

double decimal_to_double(int64_t value_e6)
{
    return (double)value_e6 / SCALE;
}

int64_t decimal_from_double(double value)
{
    assert(isfinite(value) && fabs(value) < (double)WHOLE_LIMIT);
    return llround(value * SCALE);
}
