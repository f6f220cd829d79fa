/*
 * Log lines to standard error: "LEVEL where: text". Control bytes are escaped so that
 * no request can forge a line; callers pass no secrets and no query strings.
 */
#ifndef LOG_H
#define LOG_H

enum log_level { LOG_LEVEL_ERROR, LOG_LEVEL_WARNING, LOG_LEVEL_INFO };

void log_line(enum log_level level, const char *where, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

#endif
