/* The demo household in a real store: whole, believable, and running at the end. */
#include <check.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server/db.h"
#include "server/demo.h"

#define DAY_S INT64_C(86400)

static struct db *db;
static struct clock clock_now;
static int64_t now_s;
static int64_t heater, water;

static void set_up(void)
{
    ck_assert_int_eq(db_open(":memory:", DB_READ_WRITE, &db), DB_OK);
    now_s = clock_wall_s(&clock_now);
    ck_assert_int_eq(demo_fill(db, &clock_now), DB_OK);
    ck_assert_int_eq(db_main_pair(db, &heater, &water), DB_OK);
}

static void tear_down(void)
{
    db_close(db);
}

static struct coil_verdict permit_at(int64_t as_of, bool by_recorded)
{
    struct coil_permit_facts *facts = calloc(1, sizeof *facts);
    struct coil_verdict verdict;

    ck_assert_int_eq(db_permit_facts(db, heater, water, as_of, by_recorded, facts),
                     DB_OK);
    coil_permit_from_facts(facts, &verdict);
    free(facts);
    return verdict;
}

START_TEST(demo_ends_with_a_heater_that_may_run_for_days)
{
    struct coil_verdict verdict = permit_at(now_s, false);

    ck_assert_msg(verdict.permit == COIL_RUN, "%s because of %s",
                  coil_permit_key(verdict.permit),
                  verdict.finding_count > 0 ? verdict.findings[0].rule : "nothing");
    ck_assert_int_ge(verdict.good_until_s, now_s + DAY_S);
    ck_assert_int_eq(permit_at(now_s, true).permit, COIL_RUN);
}
END_TEST

/* Newest reading by hand with pH (or chlorine) on the given side of a bound; in e6. */
static bool find_reading(enum coil_quantity quantity, int64_t low_e6, int64_t high_e6,
                         bool with_history, struct db_reading *out)
{
    const int page = 50;
    struct db_reading *list = calloc((size_t)page, sizeof *list);
    struct db_window window = {.subject_id = water,
                               .from = 0,
                               .until = INT64_MAX / 2,
                               .limit = page,
                               .with_history = with_history};
    size_t count = 0;
    bool found = false;

    do {
        ck_assert_int_eq(db_reading_list(db, &window, list, &count), DB_OK);
        for (size_t i = 0; i < count && !found; i++) {
            for (size_t k = 0; k < list[i].value_count; k++) {
                const struct db_value *value = &list[i].values[k];

                if (value->quantity == quantity && value->amount_e6 >= low_e6 &&
                    value->amount_e6 <= high_e6) {
                    *out = list[i];
                    found = true;
                }
            }
        }
        if (count > 0) {
            window.before_at = list[count - 1].fact.at;
            window.before_id = list[count - 1].fact.id;
        }
    } while (!found && count == (size_t)page);
    free(list);
    return found;
}

START_TEST(demo_holds_the_heater_after_the_acid)
{
    struct db_reading *reading = calloc(1, sizeof *reading);
    struct coil_verdict verdict;

    ck_assert(find_reading(COIL_PH, 0, 6700000, false, reading));
    verdict = permit_at(reading->fact.at + 60, false);
    ck_assert_int_eq(verdict.permit, COIL_HOLD);
    ck_assert_str_eq(verdict.findings[0].rule, "ph_low");
    free(reading);
}
END_TEST

START_TEST(demo_holds_the_heater_through_the_super_chlorination)
{
    struct db_reading *reading = calloc(1, sizeof *reading);
    struct db_heater_state *states = calloc(8, sizeof *states);
    struct db_window window = {
        .subject_id = heater, .from = 0, .until = INT64_MAX / 2, .limit = 8};
    size_t count = 0;

    ck_assert(find_reading(COIL_FREE_CHLORINE, 10000000, 500000000, false, reading));
    ck_assert_int_eq(permit_at(reading->fact.at + 60, false).permit, COIL_HOLD);
    ck_assert_int_eq(db_heater_state_list(db, &window, states, &count), DB_OK);
    ck_assert_uint_eq(count, 3); /* newest first: in line, off line, in line */
    ck_assert_int_eq(states[1].state, COIL_HEATER_OFF_LINE_FLUSHED);
    ck_assert_int_lt(states[1].fact.at, reading->fact.at);
    ck_assert_int_gt(states[0].fact.at, reading->fact.at);
    free(states);
    free(reading);
}
END_TEST

/* Twenty days into the month without a look, nothing says that the heater may run. */
START_TEST(demo_asks_for_a_test_in_the_forgotten_month)
{
    ck_assert_int_eq(permit_at(now_s - 311 * DAY_S, false).permit, COIL_TEST);
}
END_TEST

START_TEST(demo_keeps_the_mistyped_value_and_its_correction)
{
    const int64_t low_e6 = 1500000000, high_e6 = 5000000000;
    struct db_reading *old = calloc(1, sizeof *old);
    struct db_reading *new = calloc(1, sizeof *new);

    /* No current fact says so any more; the history does, and what replaced it. */
    ck_assert(!find_reading(COIL_CALCIUM_HARDNESS, low_e6, high_e6, false, old));
    ck_assert(find_reading(COIL_CALCIUM_HARDNESS, low_e6, high_e6, true, old));
    ck_assert_int_ne(old->fact.superseded_by, 0);
    ck_assert_int_eq(db_reading_get(db, old->fact.superseded_by, new), DB_OK);
    ck_assert_int_eq(new->fact.supersedes, old->fact.id);
    ck_assert_int_eq(new->fact.at, old->fact.at);
    ck_assert_int_gt(strlen(new->fact.reason), 0);
    free(new);
    free(old);
}
END_TEST

START_TEST(demo_is_whole)
{
    struct db_site site;
    struct db_water waters[4];
    struct db_heater heaters[4];
    size_t count = 0;
    int64_t first = 0, last = 0, newest = 0;

    ck_assert_int_eq(db_site_get(db, &site), DB_OK);
    ck_assert_str_eq(site.name, "Marlow Lane");
    ck_assert_int_eq(db_water_list(db, waters, 4, &count), DB_OK);
    ck_assert_uint_eq(count, 1);
    ck_assert_int_eq(db_heater_list(db, heaters, 4, &count), DB_OK);
    ck_assert_uint_eq(count, 1);
    ck_assert_int_eq(heaters[0].bypass, COIL_BYPASS_FULL);
    ck_assert_int_eq(db_series_extent(db, water, &first, &last), DB_OK);
    ck_assert_int_ge(first, now_s - 3 * 366 * DAY_S);
    ck_assert_int_le(first, now_s - 3 * 364 * DAY_S);
    ck_assert_int_ge(last, now_s - DAY_S);
    ck_assert_int_le(last, now_s);
    ck_assert_int_eq(db_newest_recorded_at(db, &newest), DB_OK);
    ck_assert_int_le(newest, now_s);
}
END_TEST

START_TEST(demo_fill_leaves_a_store_in_use_alone)
{
    ck_assert_int_eq(demo_fill(db, &clock_now), DB_CONFLICT);
    /* and its transaction is closed */
    ck_assert_int_eq(db_begin(db), DB_OK);
    db_rollback(db);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("demo");
    TCase *tests = tcase_create("demo");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tests, 120);
    /* Once for all: each test runs in a copy of the process. */
    tcase_add_unchecked_fixture(tests, set_up, tear_down);
    tcase_add_test(tests, demo_ends_with_a_heater_that_may_run_for_days);
    tcase_add_test(tests, demo_holds_the_heater_after_the_acid);
    tcase_add_test(tests, demo_holds_the_heater_through_the_super_chlorination);
    tcase_add_test(tests, demo_asks_for_a_test_in_the_forgotten_month);
    tcase_add_test(tests, demo_keeps_the_mistyped_value_and_its_correction);
    tcase_add_test(tests, demo_is_whole);
    tcase_add_test(tests, demo_fill_leaves_a_store_in_use_alone);
    suite_add_tcase(suite, tests);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? 0 : 1;
}
