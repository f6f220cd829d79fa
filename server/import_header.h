/*
 * The line of column names: which column holds what, in which unit, by the names that
 * people give them in English, German and Spanish.
 */
#ifndef IMPORT_HEADER_H
#define IMPORT_HEADER_H

#include "csv.h"
#include "import.h"
#include "import_units.h"

/* What the rows are read with. Column numbers are from 0, -1 for none. */
struct import_plan {
    int date, time, method, by, note, details; /* date: also of the role IMPORT_INSTANT */
    bool date_is_utc;
    enum import_dates declared; /* "Date (dd/mm/yyyy)"; IMPORT_DATES_AUTO if not */
    /* Value columns in ascending order of their quantity. */
    size_t value_count;
    struct {
        int column;
        enum coil_quantity quantity;
        struct import_scale scale;
    } values[COIL_QUANTITY_COUNT];
};

/* How well a row does as the line of names: 2 a time and a value, 1 either, 0 none. */
int import_header_score(const struct csv_row *row);

/*
 * Fills dialect->columns and the plan from the line of names. IMPORT_OK, or what is
 * wrong with it and a sentence in out_detail (200 bytes).
 */
enum import_fault import_header_read(const struct csv_row *row,
                                     const struct import_options *options,
                                     struct import_dialect *dialect,
                                     struct import_plan *plan, char *out_detail);

#endif
