/*
 * Civil dates, recurrence rules (examples that RFC 5545 prints, refusals) and due
 * dates. 10,000 random rules are compared with another program in
 * tests/http/recurrence.test.mjs.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "lib/schedule.h"

static int32_t day_of(int year, int month, int day)
{
    int32_t found = 0;

    ck_assert_int_eq(coil_day_from_date((struct coil_date){year, month, day}, &found),
                     COIL_OK);
    return found;
}

static void assert_day(int32_t got, int year, int month, int day)
{
    struct coil_date date = coil_date_from_day(got);

    ck_assert_msg(got == day_of(year, month, day),
                  "expected %04d-%02d-%02d, got %04d-%02d-%02d", year, month, day,
                  date.year, date.month, date.day);
}

/* Known days: 1970-01-01 a Thursday, 2000-02-29 a Tuesday, day 19782 is 2024-02-29. */
START_TEST(civil_dates_are_those_of_the_calendar)
{
    ck_assert_int_eq(day_of(1970, 1, 1), 0);
    ck_assert_int_eq(day_of(2024, 2, 29), 19782);
    ck_assert_int_eq(coil_weekday_from_day(0), COIL_TH);
    ck_assert_int_eq(coil_weekday_from_day(day_of(2000, 2, 29)), COIL_TU);
    ck_assert_int_eq(coil_weekday_from_day(day_of(1900, 1, 1)), COIL_MO);
    ck_assert_int_eq(coil_month_length(1900, 2), 28);
    ck_assert_int_eq(coil_month_length(2000, 2), 29);
    ck_assert_int_eq(coil_month_length(2001, 13), 0);
}
END_TEST

START_TEST(each_day_of_1400_years_follows_the_one_before)
{
    int32_t last = day_of(2999, 12, 31);
    struct coil_date was = coil_date_from_day(day_of(1600, 1, 1) - 1);
    int wrong = 0;

    for (int32_t day = day_of(1600, 1, 1); day <= last; day++) {
        struct coil_date is = coil_date_from_day(day);
        int32_t back = 0;

        wrong += coil_day_from_date(is, &back) != COIL_OK || back != day;
        if (is.day != was.day + 1)
            wrong += is.day != 1 || was.day != coil_month_length(was.year, was.month) ||
                     is.month != was.month % 12 + 1 ||
                     is.year != was.year + (was.month == 12);
        was = is;
    }
    ck_assert_int_eq(wrong, 0);
}
END_TEST

START_TEST(a_date_that_is_not_is_refused)
{
    const struct coil_date wrong[] = {{2023, 2, 29}, {1900, 2, 29}, {2024, 4, 31},
                                      {2024, 0, 1},  {2024, 13, 1}, {2024, 1, 0},
                                      {1599, 1, 1},  {3000, 1, 1}};
    int32_t day = 77;

    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        ck_assert_int_eq(coil_day_from_date(wrong[i], &day), COIL_ERR_DOMAIN);
    ck_assert_int_eq(day, 77);
}
END_TEST

struct example {
    const char *what;
    struct coil_date start;
    struct coil_rule rule;
    struct coil_date days[8]; /* year 0 ends */
};

/* Examples of RFC 5545, 3.8.5.3, with the days that it prints. */
static const struct example examples[] = {
    {"first Friday, ten times",
     {1997, 9, 5},
     {.freq = COIL_MONTHLY,
      .interval = 1,
      .count = 10,
      .by_day_count = 1,
      .by_day = {{COIL_FR, 1}}},
     {{1997, 9, 5},
      {1997, 10, 3},
      {1997, 11, 7},
      {1997, 12, 5},
      {1998, 1, 2},
      {1998, 2, 6}}},
    {"every other month, first and last Sunday",
     {1997, 9, 7},
     {.freq = COIL_MONTHLY,
      .interval = 2,
      .count = 10,
      .by_day_count = 2,
      .by_day = {{COIL_SU, 1}, {COIL_SU, -1}}},
     {{1997, 9, 7},
      {1997, 9, 28},
      {1997, 11, 2},
      {1997, 11, 30},
      {1998, 1, 4},
      {1998, 1, 25}}},
    {"third to last day of the month",
     {1997, 9, 28},
     {.freq = COIL_MONTHLY, .interval = 1, .month_days_end = 1u << 3},
     {{1997, 9, 28},
      {1997, 10, 29},
      {1997, 11, 28},
      {1997, 12, 29},
      {1998, 1, 29},
      {1998, 2, 26}}},
    {"20th Monday of the year",
     {1997, 5, 19},
     {.freq = COIL_YEARLY, .interval = 1, .by_day_count = 1, .by_day = {{COIL_MO, 20}}},
     {{1997, 5, 19}, {1998, 5, 18}, {1999, 5, 17}}},
    {"every Friday the 13th",
     {1997, 9, 2},
     {.freq = COIL_MONTHLY,
      .interval = 1,
      .month_days = 1u << 13,
      .by_day_count = 1,
      .by_day = {{COIL_FR, 0}}},
     {{1998, 2, 13}, {1998, 3, 13}, {1998, 11, 13}, {1999, 8, 13}, {2000, 10, 13}}},
    {"election day: Tuesday after the first Monday of November, every 4 years",
     {1996, 11, 5},
     {.freq = COIL_YEARLY,
      .interval = 4,
      .months = 1u << 11,
      .month_days = 1u << 2 | 1u << 3 | 1u << 4 | 1u << 5 | 1u << 6 | 1u << 7 | 1u << 8,
      .by_day_count = 1,
      .by_day = {{COIL_TU, 0}}},
     {{1996, 11, 5}, {2000, 11, 7}, {2004, 11, 2}}},
    {"second to last weekday of the month",
     {1997, 9, 29},
     {.freq = COIL_MONTHLY,
      .interval = 1,
      .by_day_count = 5,
      .by_day = {{COIL_MO, 0}, {COIL_TU, 0}, {COIL_WE, 0}, {COIL_TH, 0}, {COIL_FR, 0}},
      .set_pos_count = 1,
      .set_pos = {-2}},
     {{1997, 9, 29}, {1997, 10, 30}, {1997, 11, 27}, {1997, 12, 30}, {1998, 1, 29}}},
    {"every other week, Tuesday and Sunday, week from Monday",
     {1997, 8, 5},
     {.freq = COIL_WEEKLY,
      .interval = 2,
      .count = 4,
      .by_day_count = 2,
      .by_day = {{COIL_TU, 0}, {COIL_SU, 0}},
      .week_start = COIL_MO},
     {{1997, 8, 5}, {1997, 8, 10}, {1997, 8, 19}, {1997, 8, 24}}},
    {"the same, week from Sunday",
     {1997, 8, 5},
     {.freq = COIL_WEEKLY,
      .interval = 2,
      .count = 4,
      .by_day_count = 2,
      .by_day = {{COIL_TU, 0}, {COIL_SU, 0}},
      .week_start = COIL_SU},
     {{1997, 8, 5}, {1997, 8, 17}, {1997, 8, 19}, {1997, 8, 31}}},
    {"a day that some months lack",
     {2007, 1, 15},
     {.freq = COIL_MONTHLY,
      .interval = 1,
      .count = 5,
      .month_days = 1u << 15 | 1u << 30},
     {{2007, 1, 15}, {2007, 1, 30}, {2007, 2, 15}, {2007, 3, 15}, {2007, 3, 30}}},
};

START_TEST(printed_examples_of_the_standard_come_out)
{
    const struct example *example = &examples[_i];
    struct coil_rule rule = example->rule;
    struct coil_rule_cursor cursor;
    int32_t day = 0;

    rule.start_day =
        day_of(example->start.year, example->start.month, example->start.day);
    ck_assert_int_eq(coil_rule_check(&rule), COIL_OK);
    coil_rule_begin(&rule, &cursor);
    for (int i = 0; i < 8 && example->days[i].year != 0; i++) {
        ck_assert_msg(coil_rule_next(&rule, &cursor, &day), "%s: ended", example->what);
        assert_day(day, example->days[i].year, example->days[i].month,
                   example->days[i].day);
    }
}
END_TEST

START_TEST(count_and_until_end_a_rule)
{
    struct coil_rule rule = {.freq = COIL_DAILY, .interval = 1, .count = 10};
    struct coil_rule_cursor cursor;
    int32_t day = 0;
    int n = 0;

    rule.start_day = day_of(1997, 9, 2);
    for (coil_rule_begin(&rule, &cursor); coil_rule_next(&rule, &cursor, &day); n++)
        ;
    ck_assert_int_eq(n, 10);
    assert_day(day, 1997, 9, 11);
    rule.count = 0;
    rule.has_until = true;
    rule.until_day = day_of(1997, 12, 24);
    n = 0;
    for (coil_rule_begin(&rule, &cursor); coil_rule_next(&rule, &cursor, &day); n++)
        ;
    ck_assert_int_eq(n, 114); /* 29 + 31 + 30 + 24 */
    assert_day(day, 1997, 12, 24);
}
END_TEST

START_TEST(a_rule_that_never_occurs_ends)
{
    struct coil_rule rule = {
        .freq = COIL_DAILY, .interval = 1, .months = 1u << 2, .month_days = 1u << 30};
    int32_t day = 5;

    rule.start_day = day_of(2024, 1, 1);
    ck_assert(!coil_rule_after(&rule, rule.start_day, &day));
    ck_assert(!coil_rule_before(&rule, day_of(2390, 1, 1), &day));
    ck_assert_int_eq(day, 5);
}
END_TEST

START_TEST(before_and_after_are_neighbours_in_the_iteration)
{
    for (size_t i = 0; i < sizeof examples / sizeof examples[0]; i++) {
        struct coil_rule rule = examples[i].rule;
        struct coil_rule_cursor cursor;
        int32_t last = 0;
        int32_t day, found;
        bool has_last = false;

        rule.start_day = day_of(examples[i].start.year, examples[i].start.month,
                                examples[i].start.day);
        coil_rule_begin(&rule, &cursor);
        for (int n = 0; n < 40 && coil_rule_next(&rule, &cursor, &day); n++) {
            ck_assert(coil_rule_before(&rule, day, &found));
            ck_assert_int_eq(found, day);
            if (has_last) {
                ck_assert(coil_rule_after(&rule, last, &found));
                ck_assert_int_eq(found, day);
                ck_assert(coil_rule_before(&rule, day - 1, &found));
                ck_assert_int_eq(found, last);
            }
            last = day;
            has_last = true;
        }
        ck_assert(!coil_rule_before(&rule, rule.start_day - 1, &found));
    }
}
END_TEST

START_TEST(rules_that_the_standard_forbids_are_refused)
{
    const struct coil_rule wrong[] = {
        {.freq = COIL_YEARLY, .interval = 0},
        {.freq = (enum coil_freq)9, .interval = 1},
        {.freq = COIL_YEARLY, .interval = 1, .count = -1},
        {.freq = COIL_YEARLY, .interval = 1, .count = 1, .has_until = true},
        {.freq = COIL_YEARLY, .interval = 1, .has_until = true, .until_day = -1},
        {.freq = COIL_WEEKLY, .interval = 1, .month_days = 2},
        {.freq = COIL_WEEKLY,
         .interval = 1,
         .by_day_count = 1,
         .by_day = {{COIL_MO, 1}}},
        {.freq = COIL_DAILY,
         .interval = 1,
         .by_day_count = 1,
         .by_day = {{COIL_MO, -1}}},
        {.freq = COIL_MONTHLY,
         .interval = 1,
         .by_day_count = 1,
         .by_day = {{COIL_MO, 6}}},
        {.freq = COIL_YEARLY,
         .interval = 1,
         .by_day_count = 1,
         .by_day = {{COIL_MO, 54}}},
        {.freq = COIL_MONTHLY, .interval = 1, .months = 1},
        {.freq = COIL_MONTHLY, .interval = 1, .month_days = 1},
        {.freq = COIL_MONTHLY, .interval = 1, .set_pos_count = 1, .set_pos = {1}},
        {.freq = COIL_MONTHLY, .interval = 1, .month_days = 2, .set_pos_count = 1},
        {.freq = COIL_MONTHLY, .interval = 1, .by_day_count = 99},
        {.freq = COIL_MONTHLY, .interval = 1, .start_day = -200000},
    };

    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++)
        ck_assert_msg(coil_rule_check(&wrong[i]) == COIL_ERR_DOMAIN, "rule %zu", i);
}
END_TEST

START_TEST(a_yearly_task_of_29_february_comes_every_year)
{
    struct coil_rule rule;
    struct coil_rule_cursor cursor;
    int32_t day = 0;

    ck_assert_int_eq(coil_rule_set_yearly(&rule, 2, 29, day_of(2023, 6, 1)), COIL_OK);
    coil_rule_begin(&rule, &cursor);
    for (int year = 2024; year < 2110; year++) {
        ck_assert(coil_rule_next(&rule, &cursor, &day));
        assert_day(day, year, 2, coil_month_length(year, 2));
    }
    ck_assert_int_eq(coil_rule_set_yearly(&rule, 2, 30, 0), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_rule_set_yearly(&rule, 4, 1, day_of(2026, 4, 2)), COIL_OK);
    assert_day(rule.start_day, 2027, 4, 1);
}
END_TEST

START_TEST(seasons_pass_over_new_year_in_the_south)
{
    struct coil_season north = coil_season_usual(COIL_NORTH);
    struct coil_season south = coil_season_usual(COIL_SOUTH);
    struct coil_season leap = {false, 2, 29, 10, 1};

    ck_assert(coil_season_is_open(&north, day_of(2026, 7, 1)));
    ck_assert(!coil_season_is_open(&north, day_of(2026, 10, 1)));
    ck_assert(coil_season_is_open(&north, day_of(2026, 9, 30)));
    ck_assert(!coil_season_is_open(&south, day_of(2026, 7, 1)));
    ck_assert(coil_season_is_open(&south, day_of(2026, 12, 31)));
    ck_assert(coil_season_is_open(&south, day_of(2027, 1, 1)));
    assert_day(coil_season_next_opening(&north, day_of(2026, 5, 1)), 2026, 5, 1);
    assert_day(coil_season_next_opening(&north, day_of(2026, 5, 2)), 2027, 5, 1);
    assert_day(coil_season_next_opening(&south, day_of(2026, 12, 5)), 2027, 11, 1);
    assert_day(coil_season_next_opening(&leap, day_of(2027, 1, 1)), 2027, 3, 1);
    assert_day(coil_season_next_opening(&leap, day_of(2028, 1, 1)), 2028, 2, 29);
    leap.open_day = 30;
    ck_assert_int_eq(coil_season_check(&leap), COIL_ERR_DOMAIN);
    south.close_month = 11;
    ck_assert_int_eq(coil_season_check(&south), COIL_ERR_DOMAIN);
}
END_TEST

/* 30 days before 1 May is 1 April, before 1 November 2 October. */
START_TEST(cleaning_before_the_season_follows_the_hemisphere)
{
    struct coil_season season = coil_season_usual(COIL_NORTH);
    struct coil_season all_year = {.is_year_round = true};
    struct coil_rule rule;

    ck_assert_int_eq(
        coil_rule_before_season(&season, COIL_NORTH, 30, day_of(2026, 11, 25), &rule),
        COIL_OK);
    assert_day(rule.start_day, 2027, 4, 1);
    ck_assert_int_eq(
        coil_rule_before_season(&all_year, COIL_SOUTH, 30, day_of(2026, 11, 25), &rule),
        COIL_OK);
    assert_day(rule.start_day, 2027, 10, 2);
    ck_assert_int_eq(coil_rule_before_season(&season, COIL_NORTH, 181, 0, &rule),
                     COIL_ERR_DOMAIN);
}
END_TEST

static struct coil_task_due due_on(const struct coil_task *task,
                                   const struct coil_task_history *history,
                                   int32_t today)
{
    struct coil_season season = coil_season_usual(COIL_NORTH);
    struct coil_task_due due;

    ck_assert_int_eq(coil_task_due(task, history, &season, today, &due), COIL_OK);
    return due;
}

static struct coil_task yearly_cleaning(void)
{
    struct coil_task task = {.kind = COIL_TASK_CALENDAR, .soon_days = 30};

    ck_assert_int_eq(coil_rule_set_yearly(&task.rule, 4, 1, day_of(2026, 1, 1)),
                     COIL_OK);
    return task;
}

START_TEST(a_yearly_cleaning_goes_from_later_to_overdue)
{
    struct coil_task task = yearly_cleaning();
    struct coil_task_history never = {0};

    ck_assert_int_eq(due_on(&task, &never, day_of(2026, 3, 1)).state, COIL_DUE_LATER);
    ck_assert_int_eq(due_on(&task, &never, day_of(2026, 3, 2)).state, COIL_DUE_SOON);
    ck_assert_int_eq(due_on(&task, &never, day_of(2026, 3, 31)).state, COIL_DUE_SOON);
    ck_assert_int_eq(due_on(&task, &never, day_of(2026, 4, 1)).state, COIL_DUE_TODAY);
    ck_assert_int_eq(due_on(&task, &never, day_of(2026, 4, 2)).state, COIL_DUE_OVERDUE);
    /* Years later the first turn is still the open one. */
    assert_day(due_on(&task, &never, day_of(2031, 6, 1)).due_day, 2026, 4, 1);
}
END_TEST

/* Done on, and then due on. */
static const struct {
    struct coil_date done, due;
} done_and_due[] = {
    {{2027, 3, 20}, {2028, 4, 1}}, /* a little early: counts for April */
    {{2027, 4, 1}, {2028, 4, 1}},
    {{2027, 6, 15}, {2028, 4, 1}}, /* late: no second one at once */
    {{2027, 11, 1}, {2028, 4, 1}}, /* autumn: does not count for April */
    {{2025, 11, 1}, {2026, 4, 1}}, /* before the rule's first turn */
    {{2026, 3, 1}, {2027, 4, 1}},
};

START_TEST(what_was_done_decides_what_is_due_next)
{
    struct coil_task task = yearly_cleaning();
    struct coil_task_history history = {.is_done = true};
    const struct coil_date *done = &done_and_due[_i].done;
    const struct coil_date *due = &done_and_due[_i].due;

    history.done_day = day_of(done->year, done->month, done->day);
    assert_day(due_on(&task, &history, history.done_day).due_day, due->year, due->month,
               due->day);
}
END_TEST

START_TEST(missed_months_do_not_pile_up)
{
    struct coil_task task = {.kind = COIL_TASK_CALENDAR, .soon_days = 3};
    struct coil_task_history history = {.is_done = true};

    task.rule = (struct coil_rule){.freq = COIL_MONTHLY, .interval = 1};
    task.rule.start_day = day_of(2026, 1, 1);
    history.done_day = day_of(2026, 6, 12); /* January's, five months late */
    assert_day(due_on(&task, &history, history.done_day).due_day, 2026, 7, 1);
}
END_TEST

START_TEST(a_moved_turn_is_due_on_its_new_day)
{
    struct coil_task task = yearly_cleaning();
    struct coil_task_history history = {.is_moved = true};
    struct coil_task_due due;

    history.moved_day = day_of(2026, 5, 10);
    due = due_on(&task, &history, day_of(2026, 4, 20));
    assert_day(due.due_day, 2026, 5, 10);
    ck_assert_int_eq(due.state, COIL_DUE_SOON);
}
END_TEST

START_TEST(a_task_that_waits_for_the_season_moves_to_the_opening)
{
    struct coil_task task = {.kind = COIL_TASK_CALENDAR, .waits_for_season = true};
    struct coil_task_history history = {.is_done = true};

    task.rule = (struct coil_rule){.freq = COIL_MONTHLY, .interval = 1};
    task.rule.start_day = day_of(2026, 1, 15);
    history.done_day = day_of(2026, 9, 16);
    assert_day(due_on(&task, &history, day_of(2026, 10, 20)).due_day, 2027, 5, 1);
    task.waits_for_season = false;
    assert_day(due_on(&task, &history, day_of(2026, 10, 20)).due_day, 2026, 10, 15);
}
END_TEST

START_TEST(burner_hours_give_a_day_only_with_a_rate)
{
    struct coil_task task = {
        .kind = COIL_TASK_BURNER_HOURS, .every_burner_h = 500, .soon_days = 14};
    struct coil_task_history history = {.burner_h_at_done = 100, .burner_h_now = 300};
    struct coil_task_due due = due_on(&task, &history, 20000);

    ck_assert_int_eq(due.state, COIL_DUE_LATER);
    ck_assert(!due.has_day);
    ck_assert_double_eq_tol(due.burner_h_left, 300.0, 1e-12);
    history.burner_h_per_day = 4.0;
    due = due_on(&task, &history, 20000);
    ck_assert(due.has_day && due.is_estimate);
    ck_assert_int_eq(due.due_day, 20075);
    history.burner_h_per_day = 24.0; /* 12.5 days */
    ck_assert_int_eq(due_on(&task, &history, 20000).state, COIL_DUE_SOON);
    history.burner_h_now = 600.0;
    ck_assert_int_eq(due_on(&task, &history, 20000).state, COIL_DUE_TODAY);
    history.burner_h_now = 601.0;
    ck_assert_int_eq(due_on(&task, &history, 20000).state, COIL_DUE_OVERDUE);
}
END_TEST

START_TEST(a_task_after_an_event_waits_for_one_and_ends_when_done)
{
    struct coil_task task = {
        .kind = COIL_TASK_AFTER_EVENT, .after_days = 2, .soon_days = 5};
    struct coil_task_history history = {0};

    ck_assert_int_eq(due_on(&task, &history, 100).state, COIL_DUE_NOTHING);
    history.has_event = true;
    history.event_day = 100;
    ck_assert_int_eq(due_on(&task, &history, 100).state, COIL_DUE_SOON);
    ck_assert_int_eq(due_on(&task, &history, 103).state, COIL_DUE_OVERDUE);
    history.is_done = true;
    history.done_day = 103;
    ck_assert_int_eq(due_on(&task, &history, 104).state, COIL_DUE_NOTHING);
    history.event_day = 110;
    ck_assert_int_eq(due_on(&task, &history, 112).state, COIL_DUE_TODAY);
}
END_TEST

START_TEST(a_task_that_cannot_be_is_refused)
{
    struct coil_task task = yearly_cleaning();
    struct coil_task hours = {.kind = COIL_TASK_BURNER_HOURS, .every_burner_h = 500};
    struct coil_task_history history = {.burner_h_at_done = 10, .burner_h_now = 5};
    struct coil_task_due due = {.due_day = 7};

    task.soon_days = -1;
    ck_assert_int_eq(coil_task_due(&task, &history, NULL, 0, &due), COIL_ERR_DOMAIN);
    ck_assert_int_eq(coil_task_due(&hours, &history, NULL, 0, &due),
                     COIL_ERR_DOMAIN); /* hours ran backwards */
    history.burner_h_now = NAN;
    ck_assert_int_eq(coil_task_due(&hours, &history, NULL, 0, &due),
                     COIL_ERR_NOT_FINITE);
    hours.kind = (enum coil_task_kind)12;
    ck_assert_int_eq(coil_task_due(&hours, &history, NULL, 0, &due), COIL_ERR_DOMAIN);
    ck_assert_int_eq(due.due_day, 7);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("schedule");
    TCase *tcase = tcase_create("schedule");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, civil_dates_are_those_of_the_calendar);
    tcase_add_test(tcase, each_day_of_1400_years_follows_the_one_before);
    tcase_add_test(tcase, a_date_that_is_not_is_refused);
    tcase_add_loop_test(tcase, printed_examples_of_the_standard_come_out, 0,
                        sizeof examples / sizeof examples[0]);
    tcase_add_test(tcase, count_and_until_end_a_rule);
    tcase_add_test(tcase, a_rule_that_never_occurs_ends);
    tcase_add_test(tcase, before_and_after_are_neighbours_in_the_iteration);
    tcase_add_test(tcase, rules_that_the_standard_forbids_are_refused);
    tcase_add_test(tcase, a_yearly_task_of_29_february_comes_every_year);
    tcase_add_test(tcase, seasons_pass_over_new_year_in_the_south);
    tcase_add_test(tcase, cleaning_before_the_season_follows_the_hemisphere);
    tcase_add_test(tcase, a_yearly_cleaning_goes_from_later_to_overdue);
    tcase_add_loop_test(tcase, what_was_done_decides_what_is_due_next, 0,
                        sizeof done_and_due / sizeof done_and_due[0]);
    tcase_add_test(tcase, missed_months_do_not_pile_up);
    tcase_add_test(tcase, a_moved_turn_is_due_on_its_new_day);
    tcase_add_test(tcase, a_task_that_waits_for_the_season_moves_to_the_opening);
    tcase_add_test(tcase, burner_hours_give_a_day_only_with_a_rate);
    tcase_add_test(tcase, a_task_after_an_event_waits_for_one_and_ends_when_done);
    tcase_add_test(tcase, a_task_that_cannot_be_is_refused);
    tcase_set_timeout(tcase, 60);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
