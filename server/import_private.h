/*
 * What the parts of the import share: how one file's rows are read.
 */
#ifndef IMPORT_PRIVATE_H
#define IMPORT_PRIVATE_H

#include "csv.h"
#include "import.h"
#include "import_header.h"
#include "import_zone.h"

struct import_reader {
    const struct import_options *options;
    struct import_plan plan;
    enum import_dates order;
    char decimal;
    bool comma_may_group; /* "3,200" and nothing in the file says what it means */
    struct import_zone kept;
    /* Instants of the two rows before, to tell the first and the second of a doubled
     * hour in a file that runs forward. */
    int64_t previous_s, before_previous_s;
    int previous_count;
};

/* Refuses a row: code is static, field at most 63 bytes. Keeps the first refusal. */
void import_refuse(struct import_row *row, const char *code, const char *field,
                   const char *format, ...) __attribute__((format(printf, 4, 5)));

/* Passes blanks at both ends. */
void import_trim(struct csv_field *field);

/*
 * How numbers are written in a file: cells with one comma or one point, and how many of
 * them could also be thousands ("3,200").
 */
struct import_marks {
    int64_t commas, points;
    int64_t commas_as_thousands, points_as_thousands;
};

void import_marks_add(struct import_marks *marks, const struct csv_field *field);
/* Decimal mark of the file; out_comma_may_group as in the reader. */
char import_marks_decide(const struct import_marks *marks, bool *out_comma_may_group);

/* Adds the values of a row to row->reading, or refuses the row. */
void import_values_read(const struct import_reader *reader, const struct csv_row *csv,
                        struct import_row *row);
/* What the row says about single values, once they are there; or refuses it. */
void import_details_read(const struct import_reader *reader, const struct csv_row *csv,
                         struct import_row *row);
/* Marks a row whose values contradict each other; after the two above. */
void import_values_compare(struct import_row *row);
/* The instant of a row, or refuses it. */
void import_moment_read(struct import_reader *reader, const struct csv_row *csv,
                        struct import_row *row);
/* Method, person and note of a row, or refuses it. */
void import_texts_read(const struct import_reader *reader, const struct csv_row *csv,
                       struct import_row *row);

#endif
