#include "log.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#define LINE_SIZE 1200

static const char *const level_words[] = {"error", "warning", "info"};

/* Control bytes and the backslash become \xHH, so that a line stays one line. */
static size_t escape(const char *text, char *out, size_t size)
{
    size_t used = 0;

    for (; *text != '\0' && used + 5 < size; text++) {
        unsigned char byte = (unsigned char)*text;

        if (byte < 0x20 || byte == 0x7f || byte == '\\')
            used += (size_t)snprintf(out + used, size - used, "\\x%02x", byte);
        else
            out[used++] = *text;
    }
    out[used] = '\0';
    return used;
}

void log_line(enum log_level level, const char *where, const char *format, ...)
{
    char text[LINE_SIZE / 4];
    char line[LINE_SIZE + 64];
    va_list values;
    int head;
    size_t used;

    va_start(values, format);
    vsnprintf(text, sizeof text, format, values);
    va_end(values);
    head = snprintf(line, 60, "%s %s: ", level_words[level], where);
    used = head < 0 ? 0 : head < 60 ? (size_t)head : 59;
    used += escape(text, line + used, LINE_SIZE);
    line[used++] = '\n';
    /* one write, so that lines of two threads do not mix */
    if (write(STDERR_FILENO, line, used) < 0)
        return; /* nowhere left to complain */
}
