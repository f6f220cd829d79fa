/*
 * Rows and fields of a CSV text in memory, as RFC 4180 has them and as people have
 * them: fields in quotes may hold separators, line ends and doubled quotes; lines end
 * with CRLF, LF or CR. Knows nothing of what fields mean. Borrows the text; copies
 * nothing.
 */
#ifndef CSV_H
#define CSV_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define CSV_FIELDS_MAX 64

struct csv_field {
    const char *text; /* without the quotes around, not terminated */
    size_t length;
    bool has_doubled; /* quotes inside still stand doubled: csv_unquote */
    bool is_quoted;   /* stood in quotes: blanks at its ends belong to it */
};

struct csv_row {
    int64_t line;     /* of its first byte, from 1 */
    const char *text; /* the whole row without its line end */
    size_t length;
    size_t count;       /* of all fields, also of those past the maximum */
    bool has_odd_quote; /* text follows a closing quote */
    struct csv_field fields[CSV_FIELDS_MAX];
};

enum csv_status { CSV_ROW, CSV_END, CSV_QUOTE_OPEN };

struct csv {
    const char *at, *end;
    int64_t line;
    char separator;
};

void csv_init(struct csv *csv, const char *text, size_t length, char separator);

/*
 * Fills the next row; an empty line is a row of one empty field. CSV_QUOTE_OPEN when a
 * quoted field never ends (row->line says where its row began). Outside a quoted field
 * a quote is a letter like any other.
 */
enum csv_status csv_next(struct csv *csv, struct csv_row *row);

/* Copies a field, doubled quotes made single, at most size - 1 bytes, and ends it with
 * a NUL. Returns the whole length, which may be more than what was copied. */
size_t csv_unquote(const struct csv_field *field, char *out, size_t size);

#endif
