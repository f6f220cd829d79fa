/*
 * Civil time of a site's IANA zone. The only file that knows GLib, whose GTimeZone
 * reads the system's zone data.
 */
#ifndef ZONE_H
#define ZONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct zone;

enum zone_status {
    ZONE_OK,
    ZONE_UNKNOWN, /* no such zone in the system's zone data, or a name with odd bytes */
    ZONE_SKIPPED, /* the local time does not exist: clocks went forward over it */
    ZONE_TWICE,   /* the local time happens twice and nobody said which */
    ZONE_NOT_A_DATE /* month 13, 30 February, 25:00 … */
};

struct civil_time {
    int year, month, day, hour, minute, second; /* month and day from 1 */
};

enum zone_fold { ZONE_FOLD_UNSAID, ZONE_FOLD_FIRST, ZONE_FOLD_SECOND };

/* Days from 1970-01-01 to a date of the years 1 to 9999; false when there is no such
 * date (30 February, month 13). */
bool zone_date_days(int year, int month, int day, int64_t *out_days);

/* Where the system's zone data lies. */
const char *zone_directory(void);

/* Gives a zone (zone_close releases it). Only names with letters, digits, + - _ / are
 * looked up; no leading slash, no "..". "UTC" always works. */
enum zone_status zone_open(const char *name, struct zone **out_zone);
void zone_close(struct zone *zone);             /* NULL is fine */
const char *zone_name(const struct zone *zone); /* lives as long as the zone */

/* UTC instant of a civil time. For ZONE_TWICE both instants are filled, first < second;
 * for ZONE_OK out_second equals out_first. Other statuses leave them untouched. */
enum zone_status zone_instant(const struct zone *zone, const struct civil_time *civil,
                              enum zone_fold fold, int64_t *out_first,
                              int64_t *out_second);
void zone_civil(const struct zone *zone, int64_t instant_s, struct civil_time *out);
int zone_offset_s(const struct zone *zone, int64_t instant_s); /* local minus UTC */
/* True when local time runs without a jump from from_s to until_s; its offset then. */
bool zone_steady(const struct zone *zone, int64_t from_s, int64_t until_s,
                 int *out_offset_s);
/* A civil day: its first instant, and its length: 86400, or 82800, 88200, 90000 … when
 * clocks are moved in it, 0 for a day that a place left out. ZONE_NOT_A_DATE leaves the
 * outputs untouched. */
enum zone_status zone_day(const struct zone *zone, int year, int month, int day,
                          int64_t *out_start_s, int64_t *out_length_s);
/* "2026-11-25T14:05:00+01:00"; size >= 26. */
void zone_format(const struct zone *zone, int64_t instant_s, char *out, size_t size);

#endif
