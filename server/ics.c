#include "ics.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define LINE_BYTES 75

static void put(struct ics *ics, const char *bytes, size_t length)
{
    if (!ics->failed && ics->length + length + 1 > ics->size) {
        size_t size = (ics->size + length + 512) * 2;
        char *bigger = realloc(ics->text, size);

        ics->failed = bigger == NULL;
        if (!ics->failed) {
            ics->text = bigger;
            ics->size = size;
        }
    }
    if (ics->failed)
        return;
    memcpy(ics->text + ics->length, bytes, length);
    ics->length += length;
    ics->text[ics->length] = '\0';
}

/* Bytes of the UTF-8 letter at text; never past its end. */
static size_t letter_length(const char *text)
{
    size_t length = 1;

    while (((unsigned char)text[length] & 0xC0) == 0x80)
        length++;
    return length;
}

/* One unfolded line. */
static void fold(struct ics *ics, const char *line)
{
    size_t used = 0;

    while (*line != '\0') {
        size_t length = letter_length(line);

        if (used + length > LINE_BYTES) {
            put(ics, "\r\n ", 3);
            used = 1;
        }
        put(ics, line, length);
        used += length;
        line += length;
    }
    put(ics, "\r\n", 2);
}

void ics_line(struct ics *ics, const char *name, const char *value)
{
    size_t size = strlen(name) + strlen(value) + 2;
    char *line = malloc(size);

    if (line == NULL) {
        ics->failed = true;
        return;
    }
    snprintf(line, size, "%s:%s", name, value);
    fold(ics, line);
    free(line);
}

void ics_text(struct ics *ics, const char *name, const char *value)
{
    char *escaped = malloc(2 * strlen(value) + 1), *at = escaped;

    if (escaped == NULL) {
        ics->failed = true;
        return;
    }
    for (; *value != '\0'; value++) {
        if (strchr("\\;,\n", *value) != NULL) {
            *at++ = '\\';
            *at++ = *value == '\n' ? 'n' : *value;
        } else if ((unsigned char)*value >= 0x20 && *value != 0x7F) {
            *at++ = *value;
        }
    }
    *at = '\0';
    ics_line(ics, name, escaped);
    free(escaped);
}

void ics_number(struct ics *ics, const char *name, int64_t value)
{
    char text[24];

    snprintf(text, sizeof text, "%lld", (long long)value);
    ics_line(ics, name, text);
}

void ics_instant(struct ics *ics, const char *name, int64_t at)
{
    time_t instant = (time_t)at;
    struct tm tm;
    char text[40];

    if (gmtime_r(&instant, &tm) == NULL ||
        strftime(text, sizeof text, "%Y%m%dT%H%M%SZ", &tm) == 0)
        text[0] = '\0';
    ics_line(ics, name, text);
}
