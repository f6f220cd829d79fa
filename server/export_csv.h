/*
 * Facts as lines of CSV: RFC 4180, UTF-8, CRLF. What import reads of it is what was
 * written. Knows nothing of HTTP or SQLite.
 */
#ifndef EXPORT_CSV_H
#define EXPORT_CSV_H

#include "db.h"
#include "zone.h"

enum export_what {
    EXPORT_READINGS,
    EXPORT_DOSES,
    EXPORT_RUNS,
    EXPORT_HEATER_STATES
};

/* A day without a change of clocks, kept from fact to fact. */
struct export_day {
    int64_t from_s, until_s;
    char date[48];
};

struct export_csv {
    enum export_what what;
    bool for_spreadsheets; /* byte order mark first */
    char separator;        /* ',' or ';' */
    char decimal;          /* '.' or ',' */
    const struct zone *utc, *site; /* borrowed */
    struct export_day utc_day, site_day; /* zeroed at first */
};

/* Room for the longest line there can be. */
#define EXPORT_LINE_SIZE 8192

/* The line of names; a column of values is named by its key. Returns its length. */
size_t export_csv_names(struct export_csv *csv, char *out);

/* One struct db_reading, db_dose, db_run or db_heater_state. Texts that a spreadsheet
 * would run get a ' in front (and so do texts that look as if they had one). */
size_t export_csv_line(struct export_csv *csv, const void *fact, char *out);

#endif
