/*
 * Reads the CSV tables of reference values.
 *
 * A table is a head of `# key: value` lines, one line of column names, and rows. Fields
 * may be quoted with "", quotes inside are doubled. Blank lines, comment lines
 * anywhere, CRLF, a byte order mark and a missing last newline are all fine. Blanks
 * around an unquoted field are not part of it.
 *
 * Knows nothing of what the columns mean.
 */
#ifndef COIL_TABLE_H
#define COIL_TABLE_H

#include <stddef.h>

/* Size of every message buffer here and in tests/lib/tables.h. */
#define TABLE_MESSAGE_SIZE 512

struct table;

/* What a cell holds when it is asked for as a number. */
enum table_cell {
    TABLE_NUMBER,     /* out_value is set; may be nan or inf when the text says so */
    TABLE_EMPTY,      /* nothing there */
    TABLE_NOT_NUMBER, /* some text */
    TABLE_NO_COLUMN   /* the table has no column of that name, or no such row */
};

/*
 * Reads a file. Gives a table that table_destroy releases, or NULL with the reason in
 * message ("line 7: 3 fields where the head has 5"). Refused: no file, NUL bytes, no
 * line of column names (a name that is empty or a number), the same name twice, a row
 * with more or fewer fields than names, a quote that is not closed, no row at all.
 */
struct table *table_load(const char *path, char *message);

/* The same for text in memory; borrows text during the call only. */
struct table *table_parse(const char *text, size_t length, char *message);

/* Accepts NULL. */
void table_destroy(struct table *table);

size_t table_row_count(const struct table *table);

/* Line of the file on which a row starts, from 1; 0 when there is no such row. */
size_t table_line(const struct table *table, size_t row);

/* Value of a `# key: value` line, NULL when absent. Lives as long as the table. */
const char *table_head(const struct table *table, const char *key);

/* 1 when title, source, kind, units and tolerance are all there and not empty; else 0
 * and message names the first that is missing. */
int table_head_complete(const struct table *table, char *message);

/* 1 or 0. */
int table_has_column(const struct table *table, const char *column);

/* Text of a cell, "" when empty, NULL when there is no such column or row. Lives as
 * long as the table. */
const char *table_text(const struct table *table, size_t row, const char *column);

/* A cell as a number, in the C locale; the whole text must be one number. Sets
 * out_value only when it returns TABLE_NUMBER. */
enum table_cell table_number(const struct table *table, size_t row, const char *column,
                             double *out_value);

#endif
