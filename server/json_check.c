#include "json_check.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "utf8.h"

struct scan {
    const char *text;
    size_t length, at;
    int depth;
};

static enum json_fault scan_value(struct scan *scan);

/* The byte at the cursor; 0 at the end (a NUL inside is refused beforehand). */
static char peek(const struct scan *scan)
{
    return scan->at < scan->length ? scan->text[scan->at] : '\0';
}

static void skip_space(struct scan *scan)
{
    while (peek(scan) == ' ' || peek(scan) == '\t' || peek(scan) == '\n' ||
           peek(scan) == '\r')
        scan->at++;
}

static bool take(struct scan *scan, char byte)
{
    if (peek(scan) != byte)
        return false;
    scan->at++;
    return true;
}

static bool take_word(struct scan *scan, const char *word)
{
    size_t length = strlen(word);

    if (scan->length - scan->at < length ||
        memcmp(scan->text + scan->at, word, length) != 0)
        return false;
    scan->at += length;
    return true;
}

static bool take_digits(struct scan *scan)
{
    size_t start = scan->at;

    while (peek(scan) >= '0' && peek(scan) <= '9')
        scan->at++;
    return scan->at > start;
}

static enum json_fault scan_number(struct scan *scan)
{
    size_t start = scan->at;

    take(scan, '-');
    if (!take(scan, '0') && !take_digits(scan))
        return JSON_SYNTAX;
    if (take(scan, '.') && !take_digits(scan))
        return JSON_SYNTAX;
    if (take(scan, 'e') || take(scan, 'E')) {
        if (!take(scan, '+'))
            take(scan, '-');
        if (!take_digits(scan))
            return JSON_SYNTAX;
    }
    /* the C locale is never left, so the point is a point */
    return isfinite(strtod(scan->text + start, NULL)) ? JSON_OK : JSON_NUMBER_RANGE;
}

/* Four hexadecimal digits after \u; -1 when they are not there. */
static long take_code_unit(struct scan *scan)
{
    long unit = 0;

    for (int i = 0; i < 4; i++) {
        char byte = peek(scan);
        int digit = byte >= '0' && byte <= '9'   ? byte - '0'
                    : byte >= 'a' && byte <= 'f' ? byte - 'a' + 10
                    : byte >= 'A' && byte <= 'F' ? byte - 'A' + 10
                                                 : -1;

        if (digit < 0)
            return -1;
        unit = unit * 16 + digit;
        scan->at++;
    }
    return unit;
}

/* After the backslash. U+0000 would end a C string early; lone surrogates are not text.
 */
static enum json_fault scan_escape(struct scan *scan)
{
    char byte = peek(scan);
    long unit;

    if (byte == '\0')
        return JSON_SYNTAX;
    scan->at++;
    if (strchr("\"\\/bfnrt", byte) != NULL)
        return JSON_OK;
    if (byte != 'u')
        return JSON_SYNTAX;
    unit = take_code_unit(scan);
    if (unit < 0)
        return JSON_SYNTAX;
    if (unit == 0)
        return JSON_CONTROL_BYTE;
    if (unit >= 0xdc00 && unit <= 0xdfff)
        return JSON_NOT_UTF8;
    if (unit >= 0xd800 && unit <= 0xdbff) {
        if (!take_word(scan, "\\u"))
            return JSON_NOT_UTF8;
        unit = take_code_unit(scan);
        if (unit < 0xdc00 || unit > 0xdfff)
            return JSON_NOT_UTF8;
    }
    return JSON_OK;
}

static enum json_fault scan_string(struct scan *scan)
{
    enum json_fault fault;

    if (!take(scan, '"'))
        return JSON_SYNTAX;
    while (scan->at < scan->length) {
        if (take(scan, '"'))
            return JSON_OK;
        if ((unsigned char)peek(scan) < 0x20)
            return JSON_CONTROL_BYTE;
        if (!take(scan, '\\')) {
            scan->at++;
            continue;
        }
        fault = scan_escape(scan);
        if (fault != JSON_OK)
            return fault;
    }
    return JSON_SYNTAX;
}

static enum json_fault scan_member(struct scan *scan)
{
    enum json_fault fault;

    skip_space(scan);
    fault = scan_string(scan);
    if (fault != JSON_OK)
        return fault;
    skip_space(scan);
    if (!take(scan, ':'))
        return JSON_SYNTAX;
    return scan_value(scan);
}

/* An object or array whose opening byte was taken. */
static enum json_fault scan_inside(struct scan *scan, char close)
{
    enum json_fault fault = JSON_OK;

    if (++scan->depth > JSON_DEPTH_MAX)
        return JSON_TOO_DEEP;
    skip_space(scan);
    if (!take(scan, close)) {
        do {
            fault = close == '}' ? scan_member(scan) : scan_value(scan);
            if (fault != JSON_OK)
                return fault;
        } while (take(scan, ','));
        if (!take(scan, close))
            return JSON_SYNTAX;
    }
    scan->depth--;
    return JSON_OK;
}

static enum json_fault scan_value(struct scan *scan)
{
    enum json_fault fault;

    skip_space(scan);
    if (peek(scan) == '"')
        fault = scan_string(scan);
    else if (take(scan, '{'))
        fault = scan_inside(scan, '}');
    else if (take(scan, '['))
        fault = scan_inside(scan, ']');
    else if (take_word(scan, "true") || take_word(scan, "false") ||
             take_word(scan, "null"))
        fault = JSON_OK;
    else
        fault = scan_number(scan);
    skip_space(scan);
    return fault;
}

enum json_fault json_check(const char *text, size_t length)
{
    struct scan scan = {.text = text, .length = length};
    enum json_fault fault;

    if (memchr(text, '\0', length) != NULL)
        return JSON_CONTROL_BYTE;
    if (!utf8_valid(text, length))
        return JSON_NOT_UTF8;
    skip_space(&scan);
    if (scan.at == length)
        return JSON_EMPTY;
    fault = scan_value(&scan);
    if (fault == JSON_OK && scan.at != length)
        fault = JSON_SYNTAX;
    return fault;
}
