/*
 * Series for plotting against the plain way: keep every fact in an array, look at all
 * of them for every question.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "store_support.h"

#define FACTS_MAX 6000
#define DAY_S 86400

struct model_fact {
    int64_t id, at, amount_e6;
    enum coil_quantity quantity;
    bool is_current;
    bool is_withdrawal;
};

static struct store store;
static struct model_fact facts[FACTS_MAX];
static size_t fact_count;

static void start(void)
{
    store_start(&store, true);
    fact_count = 0;
}

static void finish(void)
{
    store_finish(&store);
}

static void note(int64_t id, int64_t at, enum coil_quantity quantity, int64_t amount_e6)
{
    ck_assert_uint_lt(fact_count, FACTS_MAX);
    facts[fact_count++] = (struct model_fact){id, at, amount_e6, quantity, true, false};
}

static void add(int64_t at, enum coil_quantity quantity, int64_t amount_e6)
{
    note(store_add(&store, at, quantity, amount_e6), at, quantity, amount_e6);
}

/* ---- comparing ---- */

/* The plain answer for one column. */
struct model_column {
    size_t count;
    int64_t low_e6, high_e6;
    int64_t first_at, first_e6, last_at, last_e6;
};

static struct model_column look_at(enum coil_quantity quantity, int64_t from,
                                   int64_t until)
{
    struct model_column column = {0};

    for (size_t i = 0; i < fact_count; i++) { /* in order of their ids */
        const struct model_fact *fact = &facts[i];

        if (!fact->is_current || fact->quantity != quantity || fact->at < from ||
            fact->at > until)
            continue;
        if (column.count == 0 || fact->amount_e6 < column.low_e6)
            column.low_e6 = fact->amount_e6;
        if (column.count == 0 || fact->amount_e6 > column.high_e6)
            column.high_e6 = fact->amount_e6;
        if (column.count == 0 || fact->at < column.first_at) {
            column.first_at = fact->at;
            column.first_e6 = fact->amount_e6;
        }
        if (column.count == 0 || fact->at >= column.last_at) {
            column.last_at = fact->at;
            column.last_e6 = fact->amount_e6;
        }
        column.count++;
    }
    return column;
}

static bool is_fact(enum coil_quantity quantity, int64_t at, int64_t amount_e6)
{
    for (size_t i = 0; i < fact_count; i++)
        if (facts[i].is_current && facts[i].quantity == quantity && facts[i].at == at &&
            facts[i].amount_e6 == amount_e6)
            return true;
    return false;
}

static int64_t start_of(int64_t at, int64_t step_s)
{
    return at / step_s * step_s; /* no negative instants here */
}

/* Checks the points [first, end) that lie in one column of the answer. */
static void check_column(const struct db_series *series, enum coil_quantity quantity,
                         size_t first, size_t end, struct model_column expected)
{
    int64_t low = series->value_e6[first], high = low;

    ck_assert_uint_le(end - first, 4);
    for (size_t i = first; i < end; i++) {
        ck_assert(is_fact(quantity, series->time_s[i], series->value_e6[i]));
        low = series->value_e6[i] < low ? series->value_e6[i] : low;
        high = series->value_e6[i] > high ? series->value_e6[i] : high;
    }
    ck_assert_int_eq(low, expected.low_e6);
    ck_assert_int_eq(high, expected.high_e6);
    ck_assert_int_eq(series->time_s[first], expected.first_at);
    ck_assert_int_eq(series->value_e6[first], expected.first_e6);
    ck_assert_int_eq(series->time_s[end - 1], expected.last_at);
    ck_assert_int_eq(series->value_e6[end - 1], expected.last_e6);
}

static void compare(enum coil_quantity quantity, int64_t from, int64_t until,
                    int columns)
{
    struct db_series series;
    size_t first = 0, counted = 0;
    int64_t column_at;

    ck_assert_int_eq(
        db_series(store.db, store.water_id, quantity, from, until, columns, &series),
        DB_OK);
    ck_assert_int_gt(series.step_s, 0);
    ck_assert_int_eq(series.step_s % series.bucket_s, 0);
    while (first < series.count) {
        int64_t column_from, column_until;
        size_t end = first;

        column_at = start_of(series.time_s[first], series.step_s);
        while (end < series.count &&
               start_of(series.time_s[end], series.step_s) == column_at)
            end++;
        column_from = column_at < from ? from : column_at;
        column_until = column_at + series.step_s - 1;
        column_until = column_until > until ? until : column_until;
        check_column(&series, quantity, first, end,
                     look_at(quantity, column_from, column_until));
        counted += look_at(quantity, column_from, column_until).count;
        ck_assert(end == series.count || series.time_s[end] > series.time_s[end - 1]);
        first = end;
    }
    /* No column with values is missing. */
    ck_assert_uint_eq(counted, look_at(quantity, from, until).count);
    ck_assert_int_eq(series.facts, (int64_t)counted);
    for (size_t i = 1; i < series.count; i++)
        ck_assert_int_ge(series.time_s[i], series.time_s[i - 1]);
    db_series_finish(&series);
}

static void check_rebuild(void)
{
    uint64_t kept = store_digest(store.db, "bucket");

    ck_assert_int_eq(db_series_rebuild(store.db), DB_OK);
    ck_assert_msg(store_digest(store.db, "bucket") == kept,
                  "the summaries made anew differ from those kept in step");
}

/* ---- random histories ---- */

static int64_t random_amount(uint64_t *random)
{
    return 6800000 + store_random(random, 14) * 100000; /* many equal ones */
}

static void random_correction(uint64_t *random)
{
    size_t index = (size_t)store_random(random, (int64_t)fact_count);
    struct model_fact *fact = &facts[index];
    int64_t at = fact->at, amount_e6 = random_amount(random);

    if (!fact->is_current && !fact->is_withdrawal)
        return;
    if (store_random(random, 3) == 0)
        at += store_random(random, 20000) - 10000;
    at = at < 0 ? 0 : at;
    if (!fact->is_withdrawal && store_random(random, 2) == 0) {
        int64_t id = store_withdraw(&store, fact->id);

        note(id, fact->at, fact->quantity, fact->amount_e6);
        facts[fact_count - 1].is_current = false;
        facts[fact_count - 1].is_withdrawal = true;
    } else {
        note(store_correct(&store, fact->id, at, amount_e6), at, fact->quantity,
             amount_e6);
    }
    facts[index].is_current = false;
    facts[index].is_withdrawal = false;
}

/* Rates from one in 5 s to one in 2 days, out of order, in transactions of any size. */
static void random_history(uint64_t *random, int64_t length_s, int count)
{
    int open = 0;

    for (int i = 0; i < count; i++) {
        int64_t at = store_random(random, length_s);

        if (open == 0) {
            ck_assert_int_eq(db_begin(store.db), DB_OK);
            open = (int)store_random(random, 60) + 1;
        }
        if (fact_count > 0 && store_random(random, 12) == 0)
            random_correction(random);
        else
            add(store_random(random, 4) == 0 ? at : (int64_t)i * length_s / count,
                store_random(random, 30) == 0 ? COIL_CALCIUM_HARDNESS : COIL_PH,
                random_amount(random));
        if (--open == 0)
            ck_assert_int_eq(db_commit(store.db), DB_OK);
    }
    if (open > 0)
        ck_assert_int_eq(db_commit(store.db), DB_OK);
}

static const int64_t lengths_s[] = {6000,       40000,       3 * DAY_S, 12 * DAY_S,
                                    90 * DAY_S, 700 * DAY_S, 20000,     4000 * DAY_S};

START_TEST(db_series_is_exact_for_random_histories)
{
    uint64_t random = (uint64_t)_i * 1000003u + 17u;
    int64_t length_s = lengths_s[_i];

    random_history(&random, length_s, 1500);
    for (int i = 0; i < 60; i++) {
        int64_t from = store_random(&random, length_s);
        int64_t until = from + store_random(&random, length_s - from + 1);
        int columns = 1 + (int)store_random(&random, i % 2 == 0 ? 40 : 1200);

        compare(COIL_PH, from, until, columns);
        compare(COIL_CALCIUM_HARDNESS, from, until, columns);
    }
    compare(COIL_PH, 0, length_s, 800);
    compare(COIL_PH, 0, 0, 1);
    check_rebuild();
}
END_TEST

/* Every level is read, and where it is said to be. */
START_TEST(db_series_reads_the_level_that_fits)
{
    static const struct {
        int64_t span_s, bucket_s;
    } rows[] = {{100, 1},
                {599 * 100, 1},
                {600 * 100, 600},
                {7199 * 100, 600},
                {7200 * 100, 7200},
                {86399 * 100, 7200},
                {86400 * 100, 86400},
                {365 * 100 * (int64_t)DAY_S, 86400}};
    struct db_series series;

    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        ck_assert_int_eq(db_series(store.db, store.water_id, COIL_PH, 1000000,
                                   1000000 + rows[i].span_s - 1, 100, &series),
                         DB_OK);
        ck_assert_int_eq(series.bucket_s, rows[i].bucket_s);
        ck_assert_uint_eq(series.count, 0);
        db_series_finish(&series);
    }
}
END_TEST

/* A dense probe: the fine level exists, and single values added later keep it in step.
 */
START_TEST(db_series_keeps_dense_values_in_step)
{
    uint64_t random = 5;

    ck_assert_int_eq(db_begin(store.db), DB_OK);
    for (int i = 0; i < 3000; i++)
        add(500000 + i * 20, COIL_PH, random_amount(&random));
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    ck_assert_int_gt(
        store_integer(store.db, "SELECT count(*) FROM bucket WHERE level_s = 600"), 50);
    for (int i = 0; i < 200; i++)
        add(500000 + store_random(&random, 60000), COIL_PH, random_amount(&random));
    compare(COIL_PH, 500000, 560000, 90);
    compare(COIL_PH, 503333, 558888, 50);
    check_rebuild();
}
END_TEST

/* Single values that make a span dense bit by bit. */
START_TEST(db_series_notices_when_a_span_becomes_dense)
{
    for (int i = 0; i < BUCKET_FINE_MIN; i++) {
        ck_assert_int_eq(
            store_integer(store.db, "SELECT count(*) FROM bucket WHERE level_s = 600"),
            0);
        add(700200 + i * 10, COIL_PH, 7000000 + i * 1000);
    }
    ck_assert_int_eq(
        store_integer(store.db, "SELECT count(*) FROM bucket WHERE level_s = 600"), 1);
    compare(COIL_PH, 690000, 710000, 20);
    store_withdraw(&store, facts[3].id);
    facts[3].is_current = false;
    ck_assert_int_eq(
        store_integer(store.db, "SELECT count(*) FROM bucket WHERE level_s = 600"), 0);
    compare(COIL_PH, 690000, 710000, 20);
    check_rebuild();
}
END_TEST

START_TEST(db_series_keeps_two_values_at_one_instant)
{
    struct db_series series;

    add(700000, COIL_PH, 7400000);
    add(700000, COIL_PH, 7600000);
    ck_assert_int_eq(
        db_series(store.db, store.water_id, COIL_PH, 0, 800000, 10, &series), DB_OK);
    ck_assert_uint_eq(series.count, 2);
    ck_assert_int_eq(series.time_s[0], 700000);
    ck_assert_int_eq(series.time_s[1], 700000);
    ck_assert_int_eq(series.value_e6[0], 7400000);
    ck_assert_int_eq(series.value_e6[1], 7600000);
    ck_assert_int_eq(series.facts, 2);
    db_series_finish(&series);
}
END_TEST

START_TEST(db_series_moves_a_corrected_value_to_its_new_water)
{
    struct db_water spa = {
        .at = 1, .actor_id = store.actor_id, .name = "Spa", .is_spa = true};
    struct db_reading reading = store_reading(&store, 5000, COIL_PH, 7400000);
    int64_t first = 0, last = 0;

    ck_assert_int_eq(db_water_add(store.db, &spa), DB_OK);
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    reading.fact.supersedes = reading.fact.id;
    reading.water_id = spa.id;
    reading.fact.at = 6000;
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    ck_assert_int_eq(db_series_extent(store.db, store.water_id, &first, &last), DB_OK);
    ck_assert_int_eq(first, 0);
    ck_assert_int_eq(last, 0);
    ck_assert_int_eq(db_series_extent(store.db, spa.id, &first, &last), DB_OK);
    ck_assert_int_eq(first, 6000);
    ck_assert_int_eq(last, 6000);
    check_rebuild();
}
END_TEST

START_TEST(db_series_extent_spans_all_quantities)
{
    int64_t first = 1, last = 1, id;

    ck_assert_int_eq(db_series_extent(store.db, store.water_id, &first, &last), DB_OK);
    ck_assert_int_eq(first, 0);
    ck_assert_int_eq(last, 0);
    store_add(&store, 400000, COIL_PH, 7400000);
    store_add(&store, 300000, COIL_SALT, 3000000000);
    id = store_add(&store, 900000, COIL_WATER_TEMP, 27000000);
    ck_assert_int_eq(db_series_extent(store.db, store.water_id, &first, &last), DB_OK);
    ck_assert_int_eq(first, 300000);
    ck_assert_int_eq(last, 900000);
    store_withdraw(&store, id);
    ck_assert_int_eq(db_series_extent(store.db, store.water_id, &first, &last), DB_OK);
    ck_assert_int_eq(last, 400000);
}
END_TEST

START_TEST(db_series_sees_its_own_open_transaction)
{
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    add(400000, COIL_PH, 7400000);
    compare(COIL_PH, 0, 900000, 10);
    add(400005, COIL_PH, 7900000);
    compare(COIL_PH, 0, 900000, 10);
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    compare(COIL_PH, 0, 900000, 10);
    check_rebuild();
}
END_TEST

START_TEST(db_series_takes_a_whole_batch_back)
{
    uint64_t random = 9;
    int64_t batch = 0, count = 0;

    for (int i = 0; i < 100; i++)
        add(i * 9000, COIL_PH, random_amount(&random));
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert_int_eq(db_batch_add(store.db, 5000, store.actor_id, "a.csv", 900, &batch),
                     DB_OK);
    for (int i = 0; i < 900; i++) {
        struct db_reading reading =
            store_reading(&store, i * 1000, COIL_PH, random_amount(&random));

        reading.fact.batch_id = batch;
        ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    }
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    ck_assert_int_eq(
        db_batch_withdraw(store.db, batch, store.actor_id, 6000, "wrong pool", &count),
        DB_OK);
    ck_assert_int_eq(count, 900);
    compare(COIL_PH, 0, 900000, 30);
    compare(COIL_PH, 100, 400000, 500);
    check_rebuild();
}
END_TEST

/* ---- how the work grows ---- */

static void check_plan(sqlite3 *handle, const char *sql)
{
    char explain[DB_SQL_SIZE + 32];
    sqlite3_stmt *stmt = NULL;

    snprintf(explain, sizeof explain, "EXPLAIN QUERY PLAN %s", sql);
    ck_assert_int_eq(sqlite3_prepare_v2(handle, explain, -1, &stmt, NULL), SQLITE_OK);
    while (sqlite3_step(stmt) == SQLITE_ROW) {
        const char *line = (const char *)sqlite3_column_text(stmt, 3);

        ck_assert_msg(strstr(line, "SCAN f") == NULL &&
                          strstr(line, "SCAN s") == NULL &&
                          strstr(line, "SCAN reading") == NULL &&
                          strstr(line, "SCAN bucket") == NULL &&
                          strstr(line, "TEMP B-TREE") == NULL,
                      "%s: %s", line, sql);
    }
    sqlite3_finalize(stmt);
}

/* No question of every day looks at all readings, or sorts them. */
START_TEST(db_statements_use_their_indexes)
{
    struct db_window window = {
        .subject_id = store.water_id, .until = 900000, .limit = 2};
    struct db_reading reading = store_reading(&store, 5000, COIL_PH, 7400000), page[2];
    struct db_dose doses[2];
    struct db_run runs[2];
    static struct coil_permit_facts permit;
    sqlite3_stmt *stmt = NULL;
    size_t count = 0, statements = 0;
    bool is_there = false;

    reading.method = reading.values[0].method = COIL_METHOD_PROBE;
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    note(store_correct(&store, reading.fact.id, 5000, 7500000), 5000, COIL_PH, 7500000);
    add(6000, COIL_PH, 7400000);
    compare(COIL_PH, 0, 10 * 365 * (int64_t)DAY_S, 300);
    compare(COIL_PH, 0, DAY_S, 300);
    ck_assert_int_eq(db_reading_exists(store.db, &reading, &is_there), DB_OK);
    ck_assert_int_eq(db_reading_list(store.db, &window, page, &count), DB_OK);
    ck_assert_int_eq(db_dose_list(store.db, &window, doses, &count), DB_OK);
    ck_assert_int_eq(db_run_list(store.db, &window, runs, &count), DB_OK);
    ck_assert_int_eq(db_permit_facts(store.db, store.heater_id, store.water_id, 900000,
                                     true, &permit),
                     DB_OK);
    while ((stmt = sqlite3_next_stmt(store.db->handle, stmt)) != NULL) {
        const char *sql = sqlite3_sql(stmt);

        if (strncmp(sql, "SELECT", 6) != 0 || strstr(sql, "_version") != NULL)
            continue; /* a handful of versions may well be sorted */
        check_plan(store.db->handle, sql);
        statements++;
    }
    ck_assert_uint_gt(statements, 15);
}
END_TEST

START_TEST(db_series_refuses_nonsense)
{
    struct db_series series;

    ck_assert_int_eq(db_series(store.db, 1, COIL_PH, 0, 10, 0, &series), DB_FAILED);
    ck_assert_int_eq(db_series(store.db, 1, COIL_QUANTITY_COUNT, 0, 10, 5, &series),
                     DB_FAILED);
    ck_assert_int_eq(db_series(store.db, 1, COIL_PH, 10, 0, 5, &series), DB_OK);
    ck_assert_uint_eq(series.count, 0);
    ck_assert_int_eq(db_series(store.db, 1, COIL_PH, INT64_MIN, INT64_MAX, 5, &series),
                     DB_OK);
    ck_assert_uint_eq(series.count, 0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("db_series");
    TCase *series = tcase_create("series");

    tcase_add_checked_fixture(series, start, finish);
    tcase_set_timeout(series, 100);
    tcase_add_loop_test(series, db_series_is_exact_for_random_histories, 0,
                        (int)(sizeof lengths_s / sizeof lengths_s[0]));
    tcase_add_test(series, db_series_reads_the_level_that_fits);
    tcase_add_test(series, db_series_keeps_dense_values_in_step);
    tcase_add_test(series, db_series_notices_when_a_span_becomes_dense);
    tcase_add_test(series, db_series_keeps_two_values_at_one_instant);
    tcase_add_test(series, db_series_moves_a_corrected_value_to_its_new_water);
    tcase_add_test(series, db_series_extent_spans_all_quantities);
    tcase_add_test(series, db_series_sees_its_own_open_transaction);
    tcase_add_test(series, db_series_takes_a_whole_batch_back);
    tcase_add_test(series, db_statements_use_their_indexes);
    tcase_add_test(series, db_series_refuses_nonsense);
    suite_add_tcase(suite, series);
    return store_run_suite(suite);
}
