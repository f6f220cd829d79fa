/*
 * The comparisons that every table check uses. See tables.h.
 */
#include "tests/lib/tables.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

int check_fail(char *message, const char *format, ...)
{
    va_list arguments;

    va_start(arguments, format);
    vsnprintf(message, TABLE_MESSAGE_SIZE, format, arguments);
    va_end(arguments);
    return 0;
}

const char *check_text(const struct table *table, size_t row, const char *column,
                       char *message)
{
    const char *text = table_text(table, row, column);

    if (text == NULL)
        check_fail(message, "the table has no column %s", column);
    return text;
}

int check_input(const struct table *table, size_t row, const char *column,
                double *out_value, char *message)
{
    switch (table_number(table, row, column, out_value)) {
    case TABLE_NUMBER:
        return 1;
    case TABLE_EMPTY:
        *out_value = NAN;
        return 1;
    case TABLE_NOT_NUMBER:
        return check_fail(message, "%s: \"%.100s\" is not a number", column,
                          table_text(table, row, column));
    case TABLE_NO_COLUMN:
        break;
    }
    return check_fail(message, "the table has no column %s", column);
}

static int compare(const struct table *table, size_t row, const char *column,
                   double got, double tolerance, int is_relative, char *message)
{
    double expected;

    switch (table_number(table, row, column, &expected)) {
    case TABLE_NUMBER:
        break;
    case TABLE_EMPTY:
        return 1;
    case TABLE_NOT_NUMBER:
        return check_fail(message, "%s: \"%.100s\" is not a number, got %.10g", column,
                          table_text(table, row, column), got);
    case TABLE_NO_COLUMN:
        return check_fail(message, "the table has no column %s", column);
    }
    if (is_relative)
        tolerance *= fabs(expected);
    if (fabs(got - expected) <= tolerance) /* false for NaN */
        return 1;
    return check_fail(message, "%s: expected %.10g +- %.3g, got %.10g", column,
                      expected, tolerance, got);
}

int check_near(const struct table *table, size_t row, const char *column, double got,
               double tolerance, char *message)
{
    return compare(table, row, column, got, tolerance, 0, message);
}

int check_near_relative(const struct table *table, size_t row, const char *column,
                        double got, double tolerance, char *message)
{
    return compare(table, row, column, got, tolerance, 1, message);
}

double check_half_digit(const struct table *table, size_t row, const char *column)
{
    const char *text = table_text(table, row, column);
    const char *point;
    double value;
    double half = 0.5;

    if (table_number(table, row, column, &value) != TABLE_NUMBER ||
        strspn(text, "+-.0123456789") != strlen(text))
        return 0.0;
    point = strchr(text, '.');
    if (point != NULL)
        half *= pow(10.0, -(double)strlen(point + 1));
    return half + 1e-9 * fabs(value);
}

int check_printed(const struct table *table, size_t row, const char *column, double got,
                  char *message)
{
    return check_near(table, row, column, got, check_half_digit(table, row, column),
                      message);
}

static int is_status_word(const char *text)
{
    return strcmp(text, "refused") == 0 || strncmp(text, "COIL_", 5) == 0;
}

/* The word that says how the row ends; NULL when it says nothing, "refused" when no
 * number is expected. */
static const char *expected_status(const struct table *table, size_t row,
                                   const char *const *expected)
{
    const char *status = table_text(table, row, "status");
    const char *word = "refused";

    if (status != NULL && is_status_word(status))
        return status;
    for (size_t i = 0; expected[i] != NULL; i++) {
        const char *text = table_text(table, row, expected[i]);

        if (text == NULL || *text == '\0')
            continue;
        if (!is_status_word(text))
            return NULL;
        word = text;
    }
    return word;
}

enum check_next check_status(const struct table *table, size_t row,
                             enum coil_status got, const char *const *expected,
                             char *message)
{
    const char *word = expected_status(table, row, expected);

    if (word == NULL && got >= 0)
        return CHECK_GO_ON;
    if (word != NULL && strcmp(word, "refused") == 0) {
        if (got < 0)
            return CHECK_PASSED;
    } else if (word != NULL && strcmp(word, coil_status_name(got)) == 0) {
        return got < 0 ? CHECK_PASSED : CHECK_GO_ON;
    }
    check_fail(message, "expected %s, got %s (%s)", word == NULL ? "a number" : word,
               coil_status_name(got), coil_status_text(got));
    return CHECK_FAILED;
}
