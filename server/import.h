/*
 * Tables of readings as people have them, turned into readings. Knows CSV, header names
 * and dates; nothing of HTTP or SQLite: rows go out through a callback.
 */
#ifndef IMPORT_H
#define IMPORT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "db.h"
#include "zone.h"

enum import_dates { IMPORT_DATES_AUTO, IMPORT_DATES_YMD, IMPORT_DATES_DMY,
                    IMPORT_DATES_MDY };

#define IMPORT_COLUMNS_MAX 64
#define IMPORT_HEADER_SIZE 80

struct import_options {
    const struct zone *zone;   /* of the file's local times */
    enum import_dates dates;
    char decimal;              /* '.', ',' or 0 to detect */
    char separator;            /* ',', ';', '\t' or 0 to detect */
    enum coil_method method;   /* of rows that do not say */
    /* Unit that a value's column is taken in, whatever its name says; "" for as named.
     * Must fit the quantity (import_unit_find). */
    char units[COIL_QUANTITY_COUNT][16];
    int64_t now_s;             /* later instants are refused */
};

enum import_role {
    IMPORT_IGNORED,
    IMPORT_DATE,      /* date, or date and time */
    IMPORT_TIME,
    IMPORT_INSTANT,   /* epoch seconds or ISO 8601 with offset */
    IMPORT_VALUE,
    IMPORT_METHOD,
    IMPORT_BY,
    IMPORT_NOTE,
    IMPORT_DETAILS    /* of single values, as exports write them */
};

struct import_column {
    char header[IMPORT_HEADER_SIZE]; /* as written, cut */
    enum import_role role;
    enum coil_quantity quantity;     /* of IMPORT_VALUE */
    char unit[16];                   /* as found or chosen, or "" */
};

/* What was found out about the file before its rows. */
struct import_dialect {
    char separator;
    char decimal;
    enum import_dates dates;
    bool bom;
    bool dates_guessed;   /* nothing in the file settles day against month */
    size_t column_count;
    struct import_column columns[IMPORT_COLUMNS_MAX];
};

enum import_fault {
    IMPORT_OK,
    IMPORT_EMPTY,
    IMPORT_NOT_UTF8,
    IMPORT_NUL_BYTE,
    IMPORT_NOT_CSV,        /* a spreadsheet, image or archive by its first bytes */
    IMPORT_NO_HEADER,
    IMPORT_NO_TIME_COLUMN,
    IMPORT_NO_VALUE_COLUMN,
    IMPORT_COLUMN_TWICE,
    IMPORT_TOO_MANY_COLUMNS,
    IMPORT_QUOTE_OPEN,     /* a quoted field never ends */
    IMPORT_UNIT_WRONG /* "pH (ppm)" */
};

struct import_row {
    int64_t line;        /* of its first byte, from 1 */
    const char *text;    /* the raw row, not terminated; borrowed for the call */
    size_t text_length;
    /* Refused rows: a stable code and what is wrong; else code is NULL. */
    const char *code;
    char field[64];
    char detail[200];
    bool doubtful;       /* a value outside the plausible range: taken, but listed */
    bool day_only;       /* the line has a day and no time */
    struct db_reading reading; /* water_id, actor_id and batch_id left 0 */
    char by[DB_NAME_SIZE];
};

/* Called for each row in file order; returns false to stop. The row is borrowed; its
 * reading's water, actor and batch are for the taker to fill. */
typedef bool (*import_take)(void *context, struct import_row *row);

/*
 * Reads a whole file (borrowed) and hands out its rows. Bad rows are handed out with a
 * code, they do not stop the reading. Works in bounded memory whatever the size.
 * out_dialect is filled as far as it was found, also on a fault; out_detail (200 bytes)
 * receives a sentence for people on a fault.
 */
enum import_fault import_read(const uint8_t *bytes, size_t length,
                              const struct import_options *options,
                              struct import_dialect *out_dialect, import_take take,
                              void *context, char *out_detail);

#endif
