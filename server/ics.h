/*
 * Lines of an iCalendar text [rfc-5545]: escaped, folded at 75 bytes without cutting a
 * letter, ended with CRLF. Knows nothing of tasks.
 */
#ifndef ICS_H
#define ICS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct ics {
    char *text; /* owned; free releases it; NULL at first */
    size_t length, size;
    bool failed; /* no memory: nothing more is written */
};

/* "NAME:value", the value as it is. */
void ics_line(struct ics *ics, const char *name, const char *value);
/* The same for a text of people: commas, semicolons, backslashes and line ends are
 * escaped, other control bytes left out. */
void ics_text(struct ics *ics, const char *name, const char *value);
void ics_number(struct ics *ics, const char *name, int64_t value);
/* An instant as "20270401T120000Z". */
void ics_instant(struct ics *ics, const char *name, int64_t at);

#endif
