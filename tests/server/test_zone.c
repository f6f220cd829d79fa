/*
 * Civil time of zones, against a table made with other tools and, at random instants,
 * against the C library's own reading of the zone data.
 */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "server/zone.h"
#include "tests/support/table.h"

static struct table *table;

static struct zone *open_zone(const char *name)
{
    struct zone *zone = NULL;

    ck_assert_msg(zone_open(name, &zone) == ZONE_OK, "%s", name);
    return zone;
}

static int64_t number(size_t row, const char *column)
{
    return strtoll(table_text(table, row, column), NULL, 10);
}

START_TEST(zone_day_gives_what_the_table_says)
{
    size_t row = (size_t)_i;
    struct zone *zone = open_zone(table_text(table, row, "zone"));
    int year, month, day;
    int64_t start = 0;
    int64_t length = -1;

    ck_assert_int_eq(
        sscanf(table_text(table, row, "date"), "%d-%d-%d", &year, &month, &day), 3);
    ck_assert_int_eq(zone_day(zone, year, month, day, &start, &length), ZONE_OK);
    ck_assert_int_eq(start, number(row, "start_utc_s"));
    ck_assert_int_eq(length, number(row, "length_s"));
    zone_close(zone);
}
END_TEST

static enum zone_status at(const char *name, struct civil_time civil,
                           enum zone_fold fold, int64_t *out_first, int64_t *out_second)
{
    struct zone *zone = open_zone(name);
    enum zone_status status = zone_instant(zone, &civil, fold, out_first, out_second);

    zone_close(zone);
    return status;
}

START_TEST(zone_instant_refuses_a_skipped_time)
{
    int64_t first = 5, second = 6;

    ck_assert_int_eq(at("Europe/Berlin", (struct civil_time){2026, 3, 29, 2, 0, 0},
                        ZONE_FOLD_UNSAID, &first, &second),
                     ZONE_SKIPPED);
    ck_assert_int_eq(at("Europe/Berlin", (struct civil_time){2026, 3, 29, 2, 59, 59},
                        ZONE_FOLD_FIRST, &first, &second),
                     ZONE_SKIPPED);
    ck_assert_int_eq(at("Pacific/Apia", (struct civil_time){2011, 12, 30, 12, 0, 0},
                        ZONE_FOLD_SECOND, &first, &second),
                     ZONE_SKIPPED);
    ck_assert_int_eq(at("Australia/Lord_Howe",
                        (struct civil_time){2025, 10, 5, 2, 15, 0}, ZONE_FOLD_UNSAID,
                        &first, &second),
                     ZONE_SKIPPED);
    ck_assert_int_eq(first, 5);
    ck_assert_int_eq(second, 6);
    /* Its neighbours exist: 01:59:59 CET and 03:00 CEST are one second apart. */
    ck_assert_int_eq(at("Europe/Berlin", (struct civil_time){2026, 3, 29, 1, 59, 59},
                        ZONE_FOLD_UNSAID, &first, &second),
                     ZONE_OK);
    ck_assert_int_eq(first, 1774745999);
    ck_assert_int_eq(at("Europe/Berlin", (struct civil_time){2026, 3, 29, 3, 0, 0},
                        ZONE_FOLD_UNSAID, &first, &second),
                     ZONE_OK);
    ck_assert_int_eq(first, 1774746000);
    ck_assert_int_eq(second, first);
}
END_TEST

START_TEST(zone_instant_gives_both_of_a_doubled_time)
{
    struct civil_time civil = {2026, 10, 25, 2, 30, 0};
    int64_t first = 0, second = 0;

    /* 02:30 CEST = 00:30 UTC, 02:30 CET = 01:30 UTC of 2026-10-25. */
    ck_assert_int_eq(at("Europe/Berlin", civil, ZONE_FOLD_UNSAID, &first, &second),
                     ZONE_TWICE);
    ck_assert_int_eq(first, 1792888200);
    ck_assert_int_eq(second, 1792891800);
    ck_assert_int_eq(at("Europe/Berlin", civil, ZONE_FOLD_FIRST, &first, &second),
                     ZONE_OK);
    ck_assert_int_eq(first, 1792888200);
    ck_assert_int_eq(second, 1792888200);
    ck_assert_int_eq(at("Europe/Berlin", civil, ZONE_FOLD_SECOND, &first, &second),
                     ZONE_OK);
    ck_assert_int_eq(first, 1792891800);
    ck_assert_int_eq(second, 1792891800);
    /* Half an hour: 01:45 at 14:45 and at 15:15 UTC [zdump]. */
    civil = (struct civil_time){2025, 4, 6, 1, 45, 0};
    ck_assert_int_eq(
        at("Australia/Lord_Howe", civil, ZONE_FOLD_UNSAID, &first, &second),
        ZONE_TWICE);
    ck_assert_int_eq(second - first, 1800);
    /* The fold does no harm where there is none. */
    civil = (struct civil_time){2026, 7, 1, 12, 0, 0};
    ck_assert_int_eq(at("Europe/Berlin", civil, ZONE_FOLD_SECOND, &first, &second),
                     ZONE_OK);
    ck_assert_int_eq(first, 1782900000);
}
END_TEST

START_TEST(zone_instant_refuses_what_is_no_date)
{
    static const struct civil_time bad[] = {
        {2026, 13, 1, 0, 0, 0}, {2026, 0, 1, 0, 0, 0},  {2026, 2, 29, 0, 0, 0},
        {2026, 2, 30, 0, 0, 0}, {1900, 2, 29, 0, 0, 0}, {2026, 4, 31, 0, 0, 0},
        {2026, 1, 0, 0, 0, 0},  {2026, 1, 32, 0, 0, 0}, {2026, 1, 1, 24, 0, 0},
        {2026, 1, 1, 25, 0, 0}, {2026, 1, 1, 0, 60, 0}, {2026, 1, 1, 0, 0, 60},
        {2026, 1, 1, -1, 0, 0}, {0, 1, 1, 0, 0, 0},     {10000, 1, 1, 0, 0, 0},
        {2026, 1, 1, 0, -1, 0}, {2026, -1, 1, 0, 0, 0},
    };
    struct zone *zone = open_zone("UTC");
    int64_t first, second;

    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        ck_assert_msg(zone_instant(zone, &bad[i], ZONE_FOLD_UNSAID, &first, &second) ==
                          ZONE_NOT_A_DATE,
                      "row %zu", i);
    ck_assert_int_eq(zone_day(zone, 2026, 2, 30, &first, &second), ZONE_NOT_A_DATE);
    ck_assert_int_eq(zone_instant(zone, &(struct civil_time){2000, 2, 29, 0, 0, 0},
                                  ZONE_FOLD_UNSAID, &first, &second),
                     ZONE_OK);
    ck_assert_int_eq(first, 951782400);
    zone_close(zone);
}
END_TEST

START_TEST(zone_date_days_counts_from_1970)
{
    int64_t days = 5;

    ck_assert(zone_date_days(1970, 1, 1, &days));
    ck_assert_int_eq(days, 0);
    ck_assert(zone_date_days(1969, 12, 31, &days));
    ck_assert_int_eq(days, -1);
    /* date -u -d 2026-11-25 +%s is 1795564800 */
    ck_assert(zone_date_days(2026, 11, 25, &days));
    ck_assert_int_eq(days, 20782);
    ck_assert(!zone_date_days(2026, 2, 29, &days));
    ck_assert_int_eq(days, 20782);
}
END_TEST

START_TEST(zone_open_refuses_names_that_are_no_zone)
{
    static const char *const bad[] = {
        "",
        "Europe/Nowhere",
        "europe/berlin",
        "Europe/Berlin ",
        " UTC",
        "Europe",
        "/etc/localtime",
        "/usr/share/zoneinfo/Europe/Berlin",
        "../zoneinfo/UTC",
        "Europe/../Europe/Berlin",
        "Europe//Berlin",
        "Europe/",
        "localtime",
        "posixrules",
        "right/UTC",
        "+0530",
        "-05",
        "ABC5",
        "EST5EDT,M3.2.0,M11.1.0",
        "UTC+1",
        "zone.tab",
        "tzdata.zi",
        "Europe/B\xC3\xA9rlin",
        "Europe/Berlin\n",
        "Zone$(id)",
        "a/very/long/name/that/no/zone/has/and/that/fills/more/than/we/keep",
    };
    struct zone *zone = NULL;

    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++)
        ck_assert_msg(zone_open(bad[i], &zone) == ZONE_UNKNOWN, "%s", bad[i]);
    ck_assert_int_eq(zone_open(NULL, &zone), ZONE_UNKNOWN);
    ck_assert_ptr_null(zone);
    zone_close(NULL);
}
END_TEST

START_TEST(zone_open_knows_utc_without_zone_data)
{
    struct zone *zone = NULL;

    setenv("TZDIR", "/nonexistent", 1);
    ck_assert_int_eq(zone_open("UTC", &zone), ZONE_OK);
    ck_assert_str_eq(zone_name(zone), "UTC");
    ck_assert_int_eq(zone_offset_s(zone, 1700000000), 0);
    zone_close(zone);
    ck_assert_int_eq(zone_open("Europe/Berlin", &zone), ZONE_UNKNOWN);
    unsetenv("TZDIR");
}
END_TEST

START_TEST(zone_format_writes_the_offset)
{
    static const struct {
        const char *zone;
        int64_t instant_s;
        const char *text;
    } rows[] = {
        /* each printed by: TZ=ZONE date -d @INSTANT +%Y-%m-%dT%H:%M:%S%:z */
        {"Europe/Berlin", 1795611900, "2026-11-25T14:05:00+01:00"},
        {"America/New_York", 1782900000, "2026-07-01T06:00:00-04:00"},
        {"Asia/Kathmandu", 1767204900, "2026-01-01T00:00:00+05:45"},
        {"UTC", 0, "1970-01-01T00:00:00+00:00"},
        {"America/St_Johns", 1767225600, "2025-12-31T20:30:00-03:30"},
        {"America/New_York", -1, "1969-12-31T18:59:59-05:00"},
    };
    char text[26];

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        struct zone *zone = open_zone(rows[i].zone);

        zone_format(zone, rows[i].instant_s, text, sizeof text);
        ck_assert_str_eq(text, rows[i].text);
        zone_close(zone);
    }
}
END_TEST

START_TEST(zone_steady_tells_of_a_jump)
{
    struct zone *zone = open_zone("Europe/Berlin");
    int offset = 0;

    ck_assert(zone_steady(zone, 1774746000, 1792889999, &offset));
    ck_assert_int_eq(offset, 7200);
    ck_assert(!zone_steady(zone, 1774745999, 1774746000, &offset));
    ck_assert(!zone_steady(zone, 1792889999, 1792890000, &offset));
    zone_close(zone);
}
END_TEST

static const char *const compared[] = {
    "Europe/Berlin",      "America/New_York",  "Australia/Lord_Howe",
    "Asia/Kolkata",       "Asia/Kathmandu",    "Pacific/Chatham",
    "Pacific/Apia",       "Africa/Casablanca", "America/Sao_Paulo",
    "Africa/Cairo",       "Europe/Dublin",     "America/St_Johns",
    "Pacific/Kiritimati", "Etc/GMT+12",        "Asia/Tehran",
    "America/Phoenix",
};

/* 400 instants for each zone in 1970 … 2099, much of it after the last change that the
 * zone's file lists one by one. */
START_TEST(zone_civil_agrees_with_the_c_library)
{
    const char *name = compared[_i];
    struct zone *zone = open_zone(name);
    uint64_t state = 7 + (uint64_t)_i;

    setenv("TZ", name, 1);
    tzset();
    for (int i = 0; i < 400; i++) {
        struct civil_time civil;
        struct tm tm;
        time_t instant;
        int64_t first = 0, second = 0;

        state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
        instant = (time_t)((state >> 16) % UINT64_C(4102444800));
        ck_assert_ptr_nonnull(localtime_r(&instant, &tm));
        zone_civil(zone, instant, &civil);
        ck_assert_msg(civil.year == tm.tm_year + 1900 && civil.month == tm.tm_mon + 1 &&
                          civil.day == tm.tm_mday && civil.hour == tm.tm_hour &&
                          civil.minute == tm.tm_min && civil.second == tm.tm_sec,
                      "%s at %lld", name, (long long)instant);
        ck_assert_int_eq(zone_offset_s(zone, instant), tm.tm_gmtoff);
        /* And back: one of the instants that show this time is the one it came from. */
        ck_assert_int_ne(zone_instant(zone, &civil, ZONE_FOLD_UNSAID, &first, &second),
                         ZONE_SKIPPED);
        ck_assert(first == instant || second == instant);
    }
    unsetenv("TZ");
    zone_close(zone);
}
END_TEST

/* Every half hour of a year: back and forth without a loss. */
START_TEST(zone_every_half_hour_comes_back)
{
    struct zone *zone = open_zone(compared[_i]);

    for (int64_t instant = 1704067200; instant < 1704067200 + 366 * 86400;
         instant += 1800) {
        struct civil_time civil;
        int64_t first = 0, second = 0;

        zone_civil(zone, instant, &civil);
        /* Check reports passed assertions too, which is slow in a long loop. */
        if (zone_instant(zone, &civil, ZONE_FOLD_UNSAID, &first, &second) ==
                ZONE_SKIPPED ||
            (first != instant && second != instant) || first > second)
            ck_abort_msg("%lld", (long long)instant);
    }
    zone_close(zone);
}
END_TEST

START_TEST(zone_days_follow_each_other_without_a_gap)
{
    struct zone *zone = open_zone(compared[_i]);
    int64_t next = 0;
    int64_t total = 0;

    for (int month = 1; month <= 12; month++) {
        for (int day = 1; day <= 31; day++) {
            int64_t start, length;

            if (zone_day(zone, 2024, month, day, &start, &length) != ZONE_OK)
                continue;
            ck_assert(next == 0 || start == next);
            next = start + length;
            total += length;
        }
    }
    /* A leap year; whoever moves clocks moves them back within it. */
    ck_assert_int_eq(total, 366 * 86400);
    zone_close(zone);
}
END_TEST

int main(void)
{
    const int zones = (int)(sizeof compared / sizeof compared[0]);
    const char *root = getenv("COIL_SOURCE_ROOT"); /* set by meson */
    char path[512];
    char message[TABLE_MESSAGE_SIZE];
    Suite *suite = suite_create("zone");
    TCase *days = tcase_create("days");
    TCase *code = tcase_create("code");
    TCase *library = tcase_create("library");
    SRunner *runner;
    int failed;

    snprintf(path, sizeof path, "%s/fixtures/zone_days.csv", root != NULL ? root : ".");
    table = table_load(path, message);
    if (table == NULL) {
        fprintf(stderr, "zone_days.csv: %s\n", message);
        return 1;
    }
    tcase_add_loop_test(days, zone_day_gives_what_the_table_says, 0,
                        (int)table_row_count(table));
    tcase_add_test(code, zone_instant_refuses_a_skipped_time);
    tcase_add_test(code, zone_instant_gives_both_of_a_doubled_time);
    tcase_add_test(code, zone_instant_refuses_what_is_no_date);
    tcase_add_test(code, zone_date_days_counts_from_1970);
    tcase_add_test(code, zone_open_refuses_names_that_are_no_zone);
    tcase_add_test(code, zone_open_knows_utc_without_zone_data);
    tcase_add_test(code, zone_format_writes_the_offset);
    tcase_add_test(code, zone_steady_tells_of_a_jump);
    tcase_add_loop_test(library, zone_civil_agrees_with_the_c_library, 0, zones);
    tcase_add_loop_test(library, zone_every_half_hour_comes_back, 0, 8);
    tcase_add_loop_test(library, zone_days_follow_each_other_without_a_gap, 0, zones);
    tcase_set_timeout(library, 30);
    suite_add_tcase(suite, days);
    suite_add_tcase(suite, code);
    suite_add_tcase(suite, library);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    table_destroy(table);
    return failed == 0 ? 0 : 1;
}
