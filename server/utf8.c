#include "utf8.h"

#include <string.h>

/* Bounds of the second byte, which alone rules out overlong forms and surrogates. */
static bool second_byte_fits(unsigned char first, unsigned char second)
{
    unsigned char low = first == 0xe0 ? 0xa0 : first == 0xf0 ? 0x90 : 0x80;
    unsigned char high = first == 0xed ? 0x9f : first == 0xf4 ? 0x8f : 0xbf;

    return second >= low && second <= high;
}

static size_t length_by_first_byte(unsigned char first)
{
    if (first < 0x80)
        return 1;
    if (first >= 0xc2 && first <= 0xdf)
        return 2;
    if (first >= 0xe0 && first <= 0xef)
        return 3;
    return first >= 0xf0 && first <= 0xf4 ? 4 : 0;
}

size_t utf8_step(const char *text, size_t length)
{
    const unsigned char *bytes = (const unsigned char *)text;
    size_t need;

    if (length == 0)
        return 0;
    need = length_by_first_byte(bytes[0]);
    if (need == 0 || need > length)
        return 0;
    if (need > 1 && !second_byte_fits(bytes[0], bytes[1]))
        return 0;
    for (size_t i = 2; i < need; i++)
        if ((bytes[i] & 0xc0) != 0x80)
            return 0;
    return need;
}

bool utf8_valid(const char *text, size_t length)
{
    size_t step;

    for (size_t at = 0; at < length; at += step) {
        step = utf8_step(text + at, length - at);
        if (step == 0)
            return false;
    }
    return true;
}

void utf8_trim_end(char *text)
{
    size_t length = strlen(text);
    size_t start = length;

    while (start > 0 && length - start < 3 && (text[start - 1] & 0xc0) == 0x80)
        start--;
    if (start > 0 && ((unsigned char)text[start - 1]) >= 0xc0)
        start--;
    if (start < length && utf8_step(text + start, length - start) == 0)
        text[start] = '\0';
}

size_t utf8_length(const char *text)
{
    size_t length = 0;

    for (; *text != '\0'; text++)
        length += ((unsigned char)*text & 0xC0) != 0x80;
    return length;
}
