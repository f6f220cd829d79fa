/*
 * Dates and times as tables of readings have them, in English, German and Spanish.
 * Knows nothing of zones; reads only what a cell says.
 */
#ifndef IMPORT_DATES_H
#define IMPORT_DATES_H

#include "import.h"

enum import_date_kind {
    IMPORT_DATE_EMPTY,
    IMPORT_DATE_BAD,
    IMPORT_DATE_KNOWN,  /* year, month and day are sure */
    IMPORT_DATE_TRIPLE, /* three numbers; which one is the day, the file must settle */
    IMPORT_DATE_INSTANT /* epoch seconds, or a time with an offset from UTC */
};

struct import_date {
    enum import_date_kind kind;
    bool is_day;        /* of a known date: the calendar has it, and days says which */
    int64_t days;       /* since 1970-01-01 */
    int numbers[3];     /* of a triple, as written; years full or of two digits */
    bool year_is_short; /* of a triple: two digits */
    bool has_dots;      /* 25.11.2026 */
    bool has_time;
    int second_of_day;
    int64_t instant_s;
};

/*
 * Reads a cell: 2026-11-25, 25.11.2026, 25/11/26, 20261125, 25 Nov 2026,
 * 25. November 2026, Nov 25, 2026, 25 de noviembre de 2026, a weekday before any of
 * them, a time of day after it, ISO 8601 with Z or an offset, seconds or milliseconds
 * since 1970, and the day numbers of spreadsheets (days since 1899-12-30, from 25569,
 * which is 1970-01-01, to 80000; a fraction is the time of day).
 */
void import_date_read(const char *text, size_t length, struct import_date *out);

/* 14:05, 14:05:30, 2:05 pm, 14.05 Uhr, 14h05, 1405, or a fraction of a day. */
bool import_time_read(const char *text, size_t length, int *out_second_of_day);

/* Days since 1970 of a known date or of a triple in that order; false when the calendar
 * has no such day. Years of two digits are 1970 to 2069. */
bool import_date_days(const struct import_date *date, enum import_dates order,
                      int64_t *out_days);

/* What the triples of a file say about their order. */
struct import_votes {
    int64_t triples;
    int64_t possible[4];  /* by enum import_dates: such a day exists */
    int64_t in_future[4]; /* it exists, but lies ahead */
    int64_t dotted;
};

void import_votes_add(struct import_votes *votes, const struct import_date *date,
                      int64_t today_days);
/*
 * The order that fits the most triples. When two fit alike: the one with fewer days in
 * the future; then day first where dots were written; then month first in a zone of
 * America/, else day first. Only the first of these settles it: out_guessed says
 * whether anything else was needed.
 */
enum import_dates import_votes_decide(const struct import_votes *votes,
                                      const char *zone_name, bool *out_guessed);

/* Small letters without accents (ä to a, ß to ss), lowered digits as digits, other
 * bytes as they are; at most size - 1 bytes, ended by a NUL. Returns the length. */
size_t import_fold(const char *text, size_t length, char *out, size_t size);

#endif
