/*
 * Registry of the table checks: which function checks the rows of which CSV file.
 *
 * Each topic has one file tables_<topic>.c that exports one array of table_check, ended
 * by an entry whose file is NULL. To add a topic: declare its array here, name it in
 * the list in tables.c, name its file in meson.build. To add a check of a table: one
 * entry in the topic's array. A table of a new name goes into tables_known.c as well.
 *
 * One file may stand in several arrays (one checks these columns, one those): every
 * check runs on every row, and the row passes when all of them pass. A name that is
 * known but stands in no array is not checked yet.
 */
#ifndef COIL_TABLES_H
#define COIL_TABLES_H

#include <stddef.h>

#include "lib/status.h"
#include "tests/support/table.h"

/*
 * Checks one row. Returns 1 when it passes; else 0 and message (TABLE_MESSAGE_SIZE)
 * says what was expected and what was got. The runner adds file and line.
 */
struct table_check {
    const char *file; /* "saturation.csv" */
    int (*check_row)(const struct table *table, size_t row, char *message);
};

extern const struct table_check tables_units[];
extern const struct table_check tables_water[];
extern const struct table_check tables_index[];
extern const struct table_check tables_line[];
extern const struct table_check tables_loss[];
extern const struct table_check tables_sun[];
extern const struct table_check tables_equilibrium[];
extern const struct table_check tables_chlorine[];
extern const struct table_check tables_dose[];
extern const struct table_check tables_combustion[];
extern const struct table_check tables_heat[];
extern const struct table_check tables_worked[];
extern const struct table_check tables_limits[];
extern const struct table_check tables_metal[];

/* Every name that a table may have, NULL at the end. */
extern const char *const tables_known[];

/* What to do after the status of a computation was looked at. */
enum check_next {
    CHECK_FAILED = 0, /* return 0 */
    CHECK_PASSED = 1, /* return 1: the row had to be refused, and was */
    CHECK_GO_ON = 2   /* computed, as expected: compare the numbers */
};

/*
 * Reads an input. An empty cell gives NaN, so that the function under test has to
 * refuse it. Returns 0 with a message when the column is absent or holds other text.
 */
int check_input(const struct table *table, size_t row, const char *column,
                double *out_value, char *message);

/*
 * Compares one number with its column; an empty cell expects nothing and passes, an
 * absent column fails. NaN never passes. tolerance is absolute; the relative form
 * multiplies it with the size of the expected value.
 */
int check_near(const struct table *table, size_t row, const char *column, double got,
               double tolerance, char *message);
int check_near_relative(const struct table *table, size_t row, const char *column,
                        double got, double tolerance, char *message);

/*
 * Looks at the status of a computation. The row must be refused when
 *  - its column `status` names a refusal ("COIL_ERR_DOMAIN": exactly that one;
 *    "refused": any), or
 *  - it has no such word, and the columns in expected (names, NULL at the end) are all
 *    empty or hold the word "refused" or the name of a status.
 * Else it must be computed; a positive status (outside the source's range) is fine
 * unless the column `status` says COIL_OK or another one.
 */
enum check_next check_status(const struct table *table, size_t row,
                             enum coil_status got, const char *const *expected,
                             char *message);

/*
 * Half a unit of the last digit that a cell prints ("0.7": 0.05, "74": 0.5), and a
 * little for the rounding of doubles; 0 when the cell is empty or no plain number.
 */
double check_half_digit(const struct table *table, size_t row, const char *column);

/* Compares with half a unit of the last digit that the cell prints. */
int check_printed(const struct table *table, size_t row, const char *column, double got,
                  char *message);

/* Text of a cell, or NULL with a message when the column is absent. */
const char *check_text(const struct table *table, size_t row, const char *column,
                       char *message);

/* printf into message; always returns 0, so that a checker can return it. */
int check_fail(char *message, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

#endif
