/* Tasks, visits and seasons in the store, and what tasks depend on. */
#include <string.h>

#include "server/db_care.h"
#include "store_support.h"

static struct store store;

static void start(void)
{
    store_start(&store, true);
}

static void finish(void)
{
    store_finish(&store);
}

static struct db_care_task a_task(void)
{
    return (struct db_care_task){.heater_id = store.heater_id,
                                 .at = 6000,
                                 .actor_id = store.actor_id,
                                 .name = "Look at the flame",
                                 .timing = DB_BY_CALENDAR,
                                 .rrule = "FREQ=MONTHLY",
                                 .start_day = 20000,
                                 .soon_days = 7};
}

static struct db_care_visit a_visit(int64_t at, int64_t task_id)
{
    struct db_care_visit visit = {.heater_id = store.heater_id,
                                  .task_id = task_id,
                                  .technician = true,
                                  .checklist = "{}"};

    visit.fact = store_fact(&store, at);
    return visit;
}

START_TEST(a_new_heater_has_its_yearly_cleaning_and_nothing_else)
{
    struct db_care_task tasks[4];
    size_t count = 0;

    ck_assert_int_eq(db_care_task_list(store.db, store.heater_id, tasks, 4, &count),
                     DB_OK);
    ck_assert_uint_eq(count, 1);
    ck_assert(tasks[0].is_cleaning);
    ck_assert_int_eq(tasks[0].timing, DB_BEFORE_SEASON);
    ck_assert_int_eq(tasks[0].version, 1);
    ck_assert_uint_eq(strlen(tasks[0].uid), 36);
    ck_assert_int_eq(tasks[0].uid[14], '4');
}
END_TEST

START_TEST(a_task_keeps_its_uid_over_versions_and_an_old_one_is_refused)
{
    struct db_care_task task = a_task(), got;
    char uid[DB_UID_SIZE];

    ck_assert_int_eq(db_care_task_add(store.db, &task), DB_OK);
    memcpy(uid, task.uid, sizeof uid);
    task.is_moved = true;
    task.moved_day = -3;
    task.waits_for_season = true;
    ck_assert_int_eq(db_care_task_put(store.db, &task), DB_OK);
    ck_assert_int_eq(task.version, 2);
    ck_assert_int_eq(db_care_task_get(store.db, task.id, &got), DB_OK);
    ck_assert_str_eq(got.uid, uid);
    ck_assert_str_eq(got.rrule, "FREQ=MONTHLY");
    ck_assert(got.is_moved && got.moved_day == -3 && got.waits_for_season);
    got.version = 1;
    ck_assert_int_eq(db_care_task_put(store.db, &got), DB_CONFLICT);
    ck_assert_int_eq(db_care_task_get(store.db, 99, &got), DB_NOT_FOUND);
}
END_TEST

START_TEST(a_task_of_no_heater_is_not_kept)
{
    struct db_care_task task = a_task();

    task.heater_id = 99;
    ck_assert_int_ne(db_care_task_add(store.db, &task), DB_OK);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM care_task"), 1);
}
END_TEST

START_TEST(the_last_visit_is_the_latest_that_still_counts)
{
    struct db_care_visit visit = a_visit(9000, 1), last;
    int64_t changes = 0;

    ck_assert_int_eq(db_care_visit_last(store.db, 1, &last), DB_NOT_FOUND);
    ck_assert_int_eq(db_care_visit_add(store.db, &visit), DB_OK);
    visit = a_visit(8000, 1);
    visit.has_cost = visit.has_next_day = true;
    visit.cost_e6 = 180500000;
    memcpy(visit.currency, "EUR", 4);
    visit.next_day = 20500;
    ck_assert_int_eq(db_care_visit_add(store.db, &visit), DB_OK);
    ck_assert_int_eq(db_care_visit_last(store.db, 1, &last), DB_OK);
    ck_assert_int_eq(last.fact.at, 9000);
    ck_assert(!last.has_cost && !last.has_next_day);
    last.fact.supersedes = last.fact.id;
    last.fact.withdrawn = true;
    ck_assert_int_eq(db_care_visit_add(store.db, &last), DB_OK);
    ck_assert_int_eq(db_care_visit_last(store.db, 1, &last), DB_OK);
    ck_assert_int_eq(last.fact.at, 8000);
    ck_assert(last.has_cost && last.cost_e6 == 180500000 && last.next_day == 20500);
    ck_assert_str_eq(last.currency, "EUR");
    ck_assert_int_eq(db_care_visit_changes(store.db, 1, &changes), DB_OK);
    ck_assert_int_eq(changes, 3);
}
END_TEST

START_TEST(burner_seconds_are_cut_at_both_ends_and_leave_withdrawn_runs_out)
{
    struct db_run run = {.water_id = store.water_id,
                         .heater_id = store.heater_id,
                         .machine = DB_BURNER,
                         .ended_at = 13600};
    int64_t seconds = -1;

    run.fact = store_fact(&store, 10000);
    ck_assert_int_eq(db_run_add(store.db, &run), DB_OK);
    ck_assert_int_eq(
        db_burner_seconds(store.db, store.heater_id, 0, 99999, &seconds), DB_OK);
    ck_assert_int_eq(seconds, 3600);
    ck_assert_int_eq(
        db_burner_seconds(store.db, store.heater_id, 11000, 12000, &seconds), DB_OK);
    ck_assert_int_eq(seconds, 1000);
    run.fact.supersedes = run.fact.id;
    run.fact.withdrawn = true;
    ck_assert_int_eq(db_run_add(store.db, &run), DB_OK);
    ck_assert_int_eq(
        db_burner_seconds(store.db, store.heater_id, 0, 99999, &seconds), DB_OK);
    ck_assert_int_eq(seconds, 0);
}
END_TEST

START_TEST(a_super_chlorination_is_the_newest_marked_dose)
{
    struct db_dose dose = {.water_id = store.water_id,
                           .product = COIL_SODIUM_BISULFATE,
                           .amount_e6 = 1000000,
                           .super_chlorination = true};
    int64_t at = -1;

    ck_assert_int_eq(
        db_super_chlorinated_at(store.db, store.heater_id, 99999, &at), DB_OK);
    ck_assert_int_eq(at, 0);
    dose.fact = store_fact(&store, 7000);
    ck_assert_int_eq(db_dose_add(store.db, &dose), DB_OK);
    ck_assert_int_eq(
        db_super_chlorinated_at(store.db, store.heater_id, 99999, &at), DB_OK);
    ck_assert_int_eq(at, 7000);
    ck_assert_int_eq(
        db_super_chlorinated_at(store.db, store.heater_id, 6999, &at), DB_OK);
    ck_assert_int_eq(at, 0);
}
END_TEST

START_TEST(a_season_is_a_version_of_its_water)
{
    struct db_season season;

    ck_assert_int_eq(db_season_get(store.db, store.water_id, &season), DB_OK);
    ck_assert_int_eq(season.version, 0);
    season.at = 7000;
    season.actor_id = store.actor_id;
    season.season = (struct coil_season){false, 5, 15, 9, 30};
    ck_assert_int_eq(db_season_put(store.db, &season), DB_OK);
    ck_assert_int_eq(db_season_get(store.db, store.water_id, &season), DB_OK);
    ck_assert_int_eq(season.version, 1);
    ck_assert_int_eq(season.season.close_month, 9);
    ck_assert(!season.season.is_year_round);
    season.version = 0;
    ck_assert_int_eq(db_season_put(store.db, &season), DB_CONFLICT);
    ck_assert_int_eq(db_season_get(store.db, 99, &season), DB_NOT_FOUND);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("db_care");
    TCase *tcase = tcase_create("all");

    tcase_add_checked_fixture(tcase, start, finish);
    tcase_add_test(tcase, a_new_heater_has_its_yearly_cleaning_and_nothing_else);
    tcase_add_test(tcase, a_task_keeps_its_uid_over_versions_and_an_old_one_is_refused);
    tcase_add_test(tcase, a_task_of_no_heater_is_not_kept);
    tcase_add_test(tcase, the_last_visit_is_the_latest_that_still_counts);
    tcase_add_test(tcase,
                   burner_seconds_are_cut_at_both_ends_and_leave_withdrawn_runs_out);
    tcase_add_test(tcase, a_super_chlorination_is_the_newest_marked_dose);
    tcase_add_test(tcase, a_season_is_a_version_of_its_water);
    suite_add_tcase(suite, tcase);
    return store_run_suite(suite);
}
