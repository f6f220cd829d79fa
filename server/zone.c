#include "zone.h"

#include <assert.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <glib.h>

#define DAY_S INT64_C(86400)
/* More than any zone's distance from UTC, so that the offsets in force this long before
 * and after a local time are all that it can have. */
#define REACH_S (26 * INT64_C(3600))
#define NAME_SIZE 64

struct zone {
    GTimeZone *glib;
    bool winter_is_saving; /* see shift_s */
    char name[NAME_SIZE];
};

/* ---- dates without zones ---- */

static bool is_leap(int year)
{
    return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

static int month_length(int year, int month)
{
    static const int lengths[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};

    return month == 2 && is_leap(year) ? 29 : lengths[month - 1];
}

/* Days since 1970-01-01 in the Gregorian calendar; counts years from March, so that the
 * leap day is the last of its year. year >= 0. */
static int64_t days_from_date(int year, int month, int day)
{
    int64_t y = month <= 2 ? year - 1 : year;
    int64_t era = (y >= 0 ? y : y - 399) / 400;
    int64_t year_of_era = y - era * 400;
    int64_t day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;

    return era * 146097 + year_of_era * 365 + year_of_era / 4 - year_of_era / 100 +
           day_of_year - 719468;
}

static void date_from_days(int64_t days, struct civil_time *out)
{
    int64_t z = days + 719468;
    int64_t era = (z >= 0 ? z : z - 146096) / 146097;
    int64_t doe = z - era * 146097;
    int64_t yoe = (doe - doe / 1460 + doe / 36524 - doe / 146096) / 365;
    int64_t doy = doe - (365 * yoe + yoe / 4 - yoe / 100);
    int64_t mp = (5 * doy + 2) / 153;

    out->day = (int)(doy - (153 * mp + 2) / 5 + 1);
    out->month = (int)(mp < 10 ? mp + 3 : mp - 9);
    out->year = (int)(yoe + era * 400 + (out->month <= 2));
}

static bool is_date(int year, int month, int day)
{
    return year >= 1 && year <= 9999 && month >= 1 && month <= 12 && day >= 1 &&
           day <= month_length(year, month);
}

bool zone_date_days(int year, int month, int day, int64_t *out_days)
{
    if (!is_date(year, month, day))
        return false;
    *out_days = days_from_date(year, month, day);
    return true;
}

static bool is_time(const struct civil_time *civil)
{
    return civil->hour >= 0 && civil->hour <= 23 && civil->minute >= 0 &&
           civil->minute <= 59 && civil->second >= 0 && civil->second <= 59;
}

/* ---- names ---- */

static bool is_name(const char *name)
{
    size_t length = strlen(name);

    if (length == 0 || length >= NAME_SIZE || name[0] == '/' || name[length - 1] == '/')
        return false;
    for (const char *at = name; *at != '\0'; at++)
        if (!g_ascii_isalnum(*at) && strchr("+-_/", *at) == NULL)
            return false;
    /* "right/" counts leap seconds, which UTC epoch seconds do not; "localtime" and
     * "posixrules" name whatever the machine has. */
    return strstr(name, "//") == NULL && strncmp(name, "right/", 6) != 0 &&
           strcmp(name, "localtime") != 0 && strcmp(name, "posixrules") != 0;
}

const char *zone_directory(void)
{
    const char *directory = getenv("TZDIR");

    return directory != NULL ? directory : "/usr/share/zoneinfo";
}

/*
 * GLib would take "+0530" or "ABC5" for a zone of its own making, and reports a file of
 * another kind as a bug in the program. So only the names of zone files get there.
 */
static bool has_zone_file(const char *name)
{
    char path[512];
    char magic[4] = "";
    FILE *file;
    bool found = false;

    if ((size_t)snprintf(path, sizeof path, "%s/%s", zone_directory(), name) >=
        sizeof path)
        return false;
    file = fopen(path, "rbe");
    if (file == NULL)
        return false;
    found = fread(magic, 1, sizeof magic, file) == sizeof magic &&
            memcmp(magic, "TZif", sizeof magic) == 0;
    fclose(file);
    return found;
}

enum zone_status zone_open(const char *name, struct zone **out_zone)
{
    GTimeZone *glib;
    struct zone *zone;

    if (name == NULL || !is_name(name))
        return ZONE_UNKNOWN;
    if (strcmp(name, "UTC") == 0)
        glib = g_time_zone_new_utc();
    else
        glib = has_zone_file(name) ? g_time_zone_new_identifier(name) : NULL;
    if (glib == NULL)
        return ZONE_UNKNOWN;
    zone = g_new0(struct zone, 1);
    zone->glib = glib;
    zone->winter_is_saving =
        strcmp(name, "Europe/Dublin") == 0 || strcmp(name, "Eire") == 0;
    snprintf(zone->name, sizeof zone->name, "%s", name);
    *out_zone = zone;
    return ZONE_OK;
}

void zone_close(struct zone *zone)
{
    if (zone == NULL)
        return;
    g_time_zone_unref(zone->glib);
    g_free(zone);
}

const char *zone_name(const struct zone *zone)
{
    return zone->name;
}

/* ---- instants ---- */

/*
 * GLib 2.74 misreads the rule for the years after a zone file's last listed change
 * where winter time is the one that is moved (Ireland). Its rule has not changed since
 * 1996 and the calendar repeats every 28 years until 2100, so there such instants are
 * looked up a number of 28-year spans earlier. From 2100 on that zone is not right.
 * Found by comparing all zones with the C library; tests/server/test_zone.c.
 */
static int64_t shift_s(const struct zone *zone, int64_t instant_s)
{
    const int64_t span_s = 10227 * DAY_S;        /* 28 years with 7 leap days */
    const int64_t known_s = INT64_C(2114380800); /* 2037-01-01 */

    if (!zone->winter_is_saving || instant_s < known_s)
        return 0;
    return ((instant_s - known_s) / span_s + 1) * span_s;
}

static int interval_at(const struct zone *zone, int64_t instant_s)
{
    return g_time_zone_find_interval(zone->glib, G_TIME_TYPE_UNIVERSAL, instant_s);
}

static int64_t offset_of(const struct zone *zone, int interval)
{
    return g_time_zone_get_offset(zone->glib, interval);
}

int zone_offset_s(const struct zone *zone, int64_t instant_s)
{
    instant_s -= shift_s(zone, instant_s);
    return (int)offset_of(zone, interval_at(zone, instant_s));
}

bool zone_steady(const struct zone *zone, int64_t from_s, int64_t until_s,
                 int *out_offset_s)
{
    int64_t shift = shift_s(zone, from_s);
    int interval;

    if (shift_s(zone, until_s) != shift)
        return false;
    interval = interval_at(zone, from_s - shift);
    if (interval_at(zone, until_s - shift) != interval)
        return false;
    *out_offset_s = (int)offset_of(zone, interval);
    return true;
}

/*
 * All instants that show a local time (seconds since 1970 as if it were UTC): it is one
 * for each stretch of steady offset around that holds the instant it would have there.
 * Returns how many, at most 2: the first and the last.
 */
static int find_instants(const struct zone *zone, int64_t local_s, int64_t out[2])
{
    int64_t shift = shift_s(zone, local_s);
    int last = interval_at(zone, local_s - shift + REACH_S);
    int count = 0;

    for (int i = interval_at(zone, local_s - shift - REACH_S); i <= last; i++) {
        int64_t instant_s = local_s - shift - offset_of(zone, i);

        if (interval_at(zone, instant_s) != i)
            continue;
        out[count == 0 ? 0 : 1] = instant_s + shift;
        count = count == 0 ? 1 : 2;
    }
    /* Two stretches with one offset (only the name changed) are no jump. */
    return count == 2 && out[0] == out[1] ? 1 : count;
}

enum zone_status zone_instant(const struct zone *zone, const struct civil_time *civil,
                              enum zone_fold fold, int64_t *out_first,
                              int64_t *out_second)
{
    int64_t local_s;
    int64_t found[2];
    int count;

    if (!is_date(civil->year, civil->month, civil->day) || !is_time(civil))
        return ZONE_NOT_A_DATE;
    local_s = days_from_date(civil->year, civil->month, civil->day) * DAY_S +
              civil->hour * 3600 + civil->minute * 60 + civil->second;
    count = find_instants(zone, local_s, found);
    if (count == 0)
        return ZONE_SKIPPED;
    if (count == 1 || fold == ZONE_FOLD_FIRST)
        found[1] = found[0];
    else if (fold == ZONE_FOLD_SECOND)
        found[0] = found[1];
    *out_first = found[0];
    *out_second = found[1];
    return found[0] == found[1] ? ZONE_OK : ZONE_TWICE;
}

/* The first instant at or after a day's local midnight. Where clocks go forward over
 * midnight that is the instant of the jump, found by halving. */
static int64_t day_start_s(const struct zone *zone, int64_t days)
{
    int64_t local_s = days * DAY_S;
    int64_t found[2];
    int64_t before_s = local_s - REACH_S;
    int64_t after_s = local_s + REACH_S;

    if (find_instants(zone, local_s, found) > 0)
        return found[0];
    while (after_s - before_s > 1) {
        int64_t middle_s = before_s + (after_s - before_s) / 2;

        if (middle_s + zone_offset_s(zone, middle_s) >= local_s)
            after_s = middle_s;
        else
            before_s = middle_s;
    }
    return after_s;
}

enum zone_status zone_day(const struct zone *zone, int year, int month, int day,
                          int64_t *out_start_s, int64_t *out_length_s)
{
    int64_t days;

    if (!is_date(year, month, day))
        return ZONE_NOT_A_DATE;
    days = days_from_date(year, month, day);
    *out_start_s = day_start_s(zone, days);
    *out_length_s = day_start_s(zone, days + 1) - *out_start_s;
    return ZONE_OK;
}

void zone_civil(const struct zone *zone, int64_t instant_s, struct civil_time *out)
{
    int64_t local_s = instant_s + zone_offset_s(zone, instant_s);
    int64_t days = local_s >= 0 ? local_s / DAY_S : -((DAY_S - 1 - local_s) / DAY_S);
    int64_t second = local_s - days * DAY_S;

    date_from_days(days, out);
    out->hour = (int)(second / 3600);
    out->minute = (int)(second / 60 % 60);
    out->second = (int)(second % 60);
}

void zone_format(const struct zone *zone, int64_t instant_s, char *out, size_t size)
{
    struct civil_time civil;
    int offset_min = zone_offset_s(zone, instant_s) / 60;
    int distance_min = offset_min < 0 ? -offset_min : offset_min;
    int length;

    zone_civil(zone, instant_s, &civil);
    length = snprintf(out, size, "%04d-%02d-%02dT%02d:%02d:%02d%c%02d:%02d", civil.year,
                      civil.month, civil.day, civil.hour, civil.minute, civil.second,
                      offset_min < 0 ? '-' : '+', distance_min / 60, distance_min % 60);
    assert(length > 0 && (size_t)length < size);
    (void)length;
}
