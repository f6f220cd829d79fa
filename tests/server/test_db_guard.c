/*
 * What is written stays as it was written: five statements that change or remove a row,
 * from the daemon's own connection and from the plain sqlite3 tool. And what must never
 * get in.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "server/db_care.h"
#include "server/db_flue.h"
#include "server/db_photo.h"
#include "store_support.h"

static struct store store;

static void finish(void)
{
    store_finish(&store);
}

/* One row in each guarded table at least. */
static void start(void)
{
    struct db_site site = {.at = 1000, .name = "Home", .zone = "Etc/UTC"};
    struct db_heater heater;
    int64_t batch;

    store_start(&store, false);
    site.actor_id = store.actor_id;
    ck_assert_int_eq(db_site_put(store.db, &site), DB_OK);
    ck_assert_int_eq(db_heater_get(store.db, store.heater_id, &heater), DB_OK);
    heater.limits[COIL_LIMIT_PH_LOW] = (struct coil_limit){true, 7.2, COIL_MANUAL};
    ck_assert_int_eq(db_heater_put(store.db, &heater), DB_OK);
    store_add(&store, 5000, COIL_PH, 7400000);
    ck_assert_int_eq(
        db_dose_add(store.db, &(struct db_dose){.fact = store_fact(&store, 5000),
                                                .water_id = store.water_id,
                                                .product = COIL_SODIUM_BISULFATE,
                                                .amount_e6 = 500000000}),
        DB_OK);
    ck_assert_int_eq(
        db_run_add(store.db, &(struct db_run){.fact = store_fact(&store, 5000),
                                              .water_id = store.water_id,
                                              .ended_at = 6000}),
        DB_OK);
    ck_assert_int_eq(
        db_heater_state_add(store.db,
                            &(struct db_heater_state){.fact = store_fact(&store, 5000),
                                                      .heater_id = store.heater_id}),
        DB_OK);
    ck_assert_int_eq(db_batch_add(store.db, 5000, store.actor_id, "a.csv", 3, &batch),
                     DB_OK);
    ck_assert_int_eq(
        db_journal_add(store.db, 5000, 0, "::1", "add", "reading", 1, NULL, "{}"),
        DB_OK);
    ck_assert_int_eq(
        db_shed_add(store.db, &(struct db_shed_item){.at = 5000,
                                                     .actor_id = store.actor_id,
                                                     .product = COIL_BORAX,
                                                     .strength_e6 = 99000000,
                                                     .amount_left_e6 = 1000000}),
        DB_OK);
    ck_assert_int_eq(
        db_fill_put(store.db, &(struct db_fill_water){.at = 5000,
                                                      .actor_id = store.actor_id,
                                                      .water_id = store.water_id}),
        DB_OK);
    ck_assert_int_eq(
        db_wanted_put(store.db,
                      &(struct db_wanted){.at = 5000,
                                          .actor_id = store.actor_id,
                                          .water_id = store.water_id,
                                          .ranges[COIL_AIM_PH] = {.is_own = true},
                                          .limit_e6[DB_LIMIT_ACID] = 10000000}),
        DB_OK);
    ck_assert_int_eq(
        db_line_put(store.db, &(struct db_line){.heater_id = store.heater_id,
                                                .at = 5000,
                                                .actor_id = store.actor_id,
                                                .document = (char[]){"{}"}}),
        DB_OK);
    ck_assert_int_eq(
        db_care_visit_add(store.db,
                          &(struct db_care_visit){.fact = store_fact(&store, 5000),
                                                  .heater_id = store.heater_id,
                                                  .task_id = 1,
                                                  .checklist = "{}"}),
        DB_OK);
    ck_assert_int_eq(
        db_season_put(store.db, &(struct db_season){.water_id = store.water_id,
                                                    .at = 5000,
                                                    .actor_id = store.actor_id,
                                                    .season = {.is_year_round = true}}),
        DB_OK);
    ck_assert_int_eq(
        db_plate_put(store.db, &(struct db_plate){.heater_id = store.heater_id,
                                                  .at = 5000,
                                                  .actor_id = store.actor_id}),
        DB_OK);
    ck_assert_int_eq(
        db_flue_test_add(store.db,
                         &(struct db_flue_test){.fact = store_fact(&store, 5000),
                                                .heater_id = store.heater_id}),
        DB_OK);
    ck_assert_int_eq(
        db_photo_add(store.db, &(struct db_photo){.fact = store_fact(&store, 5000),
                                                  .heater_id = store.heater_id,
                                                  .of_id = 1,
                                                  .hash = "0123456789abcdef"
                                                          "0123456789abcdef"
                                                          "0123456789abcdef"
                                                          "0123456789abcdef",
                                                  .width = 1,
                                                  .height = 1,
                                                  .byte_count = 9}),
        DB_OK);
    ck_assert_int_eq(
        db_symptom_add(store.db, &(struct db_symptom){.fact = store_fact(&store, 5000),
                                                      .heater_id = store.heater_id}),
        DB_OK);
    ck_assert_int_eq(db_clock_jump_add(store.db, 5000, 3600), DB_OK);
    ck_assert_int_eq(db_clock_confirm(store.db, 5000, store.actor_id), DB_OK);
}

/* Table, its key, and a column that somebody might want to change. */
static const struct {
    const char *table, *key, *column;
} guarded[] = {
    {"reading", "id", "ph_e6"},
    {"reading", "id", "id"},
    {"reading", "id", "withdrawn"},
    {"dose", "id", "amount_e6"},
    {"run", "id", "ended_at"},
    {"heater_state", "id", "bypass_percent_open"},
    {"actor", "id", "id"},
    {"site_version", "version", "at"},
    {"water", "id", "id"},
    {"water_version", "water_id, version", "volume_m3_e6"},
    {"heater", "id", "id"},
    {"heater_version", "heater_id, version", "input_w_e6"},
    {"heater_water", "heater_id, version, position", "position"},
    {"heater_limit", "heater_id, version, name", "value_e6"},
    {"shed_item", "id", "id"},
    {"shed_item_version", "item_id, version", "amount_left_e6"},
    {"fill_water_version", "water_id, version", "at"},
    {"wanted_version", "water_id, version", "at"},
    {"wanted_range", "water_id, version, quantity", "quantity"},
    {"dose_limit", "water_id, version, name", "value_e6"},
    {"batch", "id", "row_count"},
    {"journal", "id", "at"},
    {"line_version", "heater_id, version", "water_stops"},
    {"care_task", "id", "heater_id"},
    {"care_task_version", "task_id, version", "soon_days"},
    {"care_visit", "id", "technician"},
    {"rating_plate_version", "heater_id, version", "condensing"},
    {"flue_test", "id", "sampled"},
    {"symptom", "id", "kind"},
    {"photo", "id", "of_id"},
    {"season_version", "water_id, version", "open_day"},
    {"clock_jump", "id", "jump_s"},
    {"clock_confirmation", "id", "at"},
};
#define GUARDED_COUNT (sizeof guarded / sizeof guarded[0])

#define BREACHES 5

static void breach(size_t row, int kind, char *out, size_t size)
{
    const char *table = guarded[row].table, *column = guarded[row].column;

    switch (kind) {
    case 0:
        snprintf(out, size, "UPDATE %s SET %s = %s + 1", table, column, column);
        break;
    case 1:
        snprintf(out, size, "DELETE FROM %s", table);
        break;
    case 2:
        snprintf(out, size, "INSERT OR REPLACE INTO %s SELECT * FROM %s", table, table);
        break;
    case 3:
        snprintf(
            out, size,
            "INSERT INTO %s SELECT * FROM %s WHERE 1 ON CONFLICT (%s) DO UPDATE SET"
            " %s = excluded.%s + 1",
            table, table, guarded[row].key, column, column);
        break;
    default:
        snprintf(out, size, "UPDATE OR REPLACE %s SET %s = %s + 1", table, column,
                 column);
    }
}

START_TEST(db_refuses_to_change_what_is_written)
{
    char sql[512];

    ck_assert_int_gt(store_integer(store.db, "SELECT count(*) FROM heater_limit"), 0);
    for (int kind = 0; kind < BREACHES; kind++) {
        uint64_t before = store_digest(store.db, "");

        breach((size_t)_i, kind, sql, sizeof sql);
        ck_assert_msg(sqlite3_exec(store.db->handle, sql, NULL, NULL, NULL) ==
                          SQLITE_CONSTRAINT_TRIGGER,
                      "%s: %s", sql, sqlite3_errmsg(store.db->handle));
        ck_assert_msg(store_digest(store.db, "") == before, "%s", sql);
    }
}
END_TEST

/* The tool has none of our settings: no foreign keys, no recursive triggers. */
static void run_tool(const char *sql, char *out, size_t size)
{
    char command[1024];
    FILE *pipe;
    size_t length;

    snprintf(command, sizeof command, "sqlite3 -batch '%s' \"%s\" 2>&1", store.path,
             sql);
    pipe = popen(command, "r");
    ck_assert_ptr_nonnull(pipe);
    length = fread(out, 1, size - 1, pipe);
    out[length] = '\0';
    pclose(pipe);
}

START_TEST(db_file_refuses_changes_from_the_sqlite_tool)
{
    char sql[512], said[512];

    run_tool("SELECT 40 + 2", said, sizeof said);
    ck_assert_msg(strcmp(said, "42\n") == 0, "the sqlite3 tool is needed: %s", said);
    for (int kind = 0; kind < BREACHES; kind++) {
        uint64_t before = store_digest(store.db, "");

        breach((size_t)_i, kind, sql, sizeof sql);
        run_tool(sql, said, sizeof said);
        ck_assert_msg(strstr(said, "append-only") != NULL, "%s: %s", sql, said);
        ck_assert_msg(store_digest(store.db, "") == before, "%s", sql);
    }
}
END_TEST

/* REPLACE would go through any other unique index. */
START_TEST(db_guarded_tables_have_one_key_only)
{
    char sql[256];

    for (size_t i = 0; i < GUARDED_COUNT; i++) {
        snprintf(sql, sizeof sql,
                 "SELECT count(*) FROM pragma_index_list('%s') WHERE \"unique\" = 1"
                 " AND origin <> 'pk'",
                 guarded[i].table);
        ck_assert_int_eq(store_integer(store.db, sql), 0);
    }
}
END_TEST

/* A table that somebody adds later and forgets to guard. People and their logins are no
 * facts: the journal tells what was changed there. */
START_TEST(db_every_table_is_guarded_or_named_as_derived)
{
    ck_assert_int_eq(
        store_integer(store.db,
                      "SELECT count(*) FROM sqlite_schema t WHERE type = 'table'"
                      " AND name NOT IN ('answer', 'bucket', 'derived', 'person',"
                      " 'session', 'known_device', 'token', 'door') AND 3 <>"
                      " (SELECT count(*) FROM sqlite_schema WHERE type = 'trigger'"
                      " AND tbl_name = t.name)"),
        0);
}
END_TEST

/* Even a program that looks past our checks cannot supersede one fact twice. */
START_TEST(db_file_refuses_a_second_correction)
{
    char said[512];
    int64_t id = store_add(&store, 7000, COIL_PH, 7400000);

    store_correct(&store, id, 7000, 7500000);
    run_tool(
        "INSERT INTO reading (measured_at, recorded_at, actor_id, supersedes,"
        " withdrawn, note, reason, water_id, method, ph_e6) SELECT measured_at,"
        " recorded_at, actor_id, id, 0, '', '', water_id, method, ph_e6 FROM reading"
        " WHERE measured_at = 7000 AND supersedes IS NULL",
        said, sizeof said);
    ck_assert_msg(strstr(said, "superseded already") != NULL, "%s", said);
}
END_TEST

/* ---- many readings at once ---- */

static const char raw_insert[] =
    "INSERT INTO reading (measured_at, recorded_at, actor_id, withdrawn, note, reason,"
    " water_id, method, ph_e6) VALUES (1, 1, %d, 0, '', '', 1, 0, %d)";

static void expect_guarded(void)
{
    uint64_t before = store_digest(store.db, "");
    char sql[512];
    int is_on = 0;

    ck_assert_int_eq(store_integer(store.db, "PRAGMA foreign_keys"), 1);
    sqlite3_db_config(store.db->handle, SQLITE_DBCONFIG_ENABLE_TRIGGER, -1, &is_on);
    ck_assert_int_eq(is_on, 1);
    for (int kind = 0; kind < BREACHES; kind++) {
        breach(0, kind, sql, sizeof sql);
        ck_assert_int_eq(sqlite3_exec(store.db->handle, sql, NULL, NULL, NULL),
                         SQLITE_CONSTRAINT_TRIGGER);
    }
    /* the first of these breaks a CHECK, the second a reference */
    snprintf(sql, sizeof sql, raw_insert, 1, 14000000);
    ck_assert_int_eq(sqlite3_exec(store.db->handle, sql, NULL, NULL, NULL),
                     SQLITE_CONSTRAINT_CHECK);
    snprintf(sql, sizeof sql, raw_insert, 77, 7000000);
    ck_assert_int_eq(sqlite3_exec(store.db->handle, sql, NULL, NULL, NULL),
                     SQLITE_CONSTRAINT_FOREIGNKEY);
    ck_assert(store_digest(store.db, "") == before);
}

static void begin_bulk(void)
{
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert_int_eq(db_bulk_begin(store.db, store.water_id), DB_OK);
    store_add(&store, 7000, COIL_PH, 7400000);
}

START_TEST(db_bulk_leaves_the_guards_as_they_were)
{
    begin_bulk();
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    expect_guarded();
    begin_bulk();
    db_rollback(store.db);
    expect_guarded();
    begin_bulk();
    db_bulk_end(store.db);
    expect_guarded();
    db_bulk_end(store.db); /* none begun: fine */
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    expect_guarded();
}
END_TEST

/* One thing wrong with a reading at a time: what foreign keys, checks and triggers
 * refuse. False when there is no such fault. */
static bool spoil(struct db_reading *reading, int fault)
{
    const int64_t past_the_last = INT64_C(253402300800); /* 1 January 10000 */

    switch (fault) {
    case 0: reading->water_id = 77; break;
    case 1: reading->fact.actor_id = 77; break;
    case 2: reading->fact.actor_id = 0; break;
    case 3: reading->fact.batch_id = 77; break;
    case 4: reading->fact.supersedes = 77; break;
    case 5: reading->fact.withdrawn = true; break;
    case 6: reading->fact.at = -1; break;
    case 7: reading->fact.at = past_the_last; break;
    case 8: reading->fact.recorded_at = -1; break;
    case 9: reading->fact.recorded_at = past_the_last; break;
    case 10: reading->method = (enum coil_method)COIL_METHOD_COUNT; break;
    case 11: reading->method = (enum coil_method)-1; break;
    case 12: reading->value_count = 0; break;
    case 13:
        reading->values[1] = reading->values[0];
        reading->value_count = 2;
        break;
    case 14: reading->values[0].quantity = COIL_QUANTITY_COUNT; break;
    default: return false;
    }
    return true;
}

/* Just outside what each value may be. */
static struct db_reading impossible(int quantity, bool is_high)
{
    const struct coil_quantity_info *info =
        coil_quantity_info((enum coil_quantity)quantity);
    int64_t amount_e6 =
        is_high ? (int64_t)(info->possible_high * 1e6 + 0.5) + 1
                : (int64_t)floor(info->possible_low * 1e6 + 0.5) - 1;

    return store_reading(&store, 8000, (enum coil_quantity)quantity, amount_e6);
}

static void expect_refused(bool in_bulk)
{
    struct db_reading good = store_reading(&store, 8000, COIL_PH, 7400000), bad = good;
    int faults = 0;

    for (; spoil(&bad, faults); faults++, bad = good)
        ck_assert_msg(db_reading_add(store.db, &bad) != DB_OK, "%d bulk %d", faults,
                      in_bulk);
    ck_assert_int_eq(faults, 15);
    for (int quantity = 0; quantity < COIL_QUANTITY_COUNT; quantity++)
        for (int is_high = 0; is_high < 2; is_high++) {
            bad = impossible(quantity, is_high != 0);
            ck_assert_msg(db_reading_add(store.db, &bad) != DB_OK, "%d %d bulk %d",
                          quantity, is_high, in_bulk);
        }
}

START_TEST(db_bulk_refuses_what_a_single_add_refuses)
{
    struct db_reading good = store_reading(&store, 8000, COIL_PH, 7400000);
    int64_t before = store_integer(store.db, "SELECT count(*) FROM reading");

    expect_refused(false); /* the schema refuses each of them */
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert_int_eq(db_bulk_begin(store.db, 77), DB_NOT_FOUND);
    ck_assert_int_eq(db_bulk_begin(store.db, store.water_id), DB_OK);
    expect_refused(true);
    ck_assert_int_eq(db_reading_add(store.db, &good), DB_OK);
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM reading"),
                     before + 1);
    ck_assert_int_eq(
        store_integer(store.db, "SELECT count(*) FROM pragma_foreign_key_check"), 0);
}
END_TEST

/* A hundred and one readings with other values each: rows come in their order, whole, and
 * also those of a handful that is not full. */
START_TEST(db_bulk_keeps_every_row_as_a_single_add_does)
{
    uint64_t single, many;

    for (int round = 0; round < 2; round++) {
        ck_assert_int_eq(db_begin(store.db), DB_OK);
        if (round == 1)
            ck_assert_int_eq(db_bulk_begin(store.db, store.water_id), DB_OK);
        for (int i = 0; i < 101; i++) {
            struct db_reading reading = store_reading(
                &store, 100000 + i * 60, (enum coil_quantity)(i % 3), 7100000 + i);

            reading.values[1] = (struct db_value){.quantity = COIL_WATER_TEMP,
                                                  .amount_e6 = 20000000 + i,
                                                  .method = COIL_METHOD_PROBE,
                                                  .diluted = i % 2 == 0};
            reading.value_count = 2;
            snprintf(reading.fact.note, sizeof reading.fact.note, "%s%d",
                     i % 4 == 0 ? "" : "note ", i % 4 == 0 ? 0 : i);
            ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
        }
        ck_assert_int_eq(db_buckets_flush(store.db), DB_OK);
        ck_assert_int_eq(db_bulk_end(store.db), DB_OK);
        *(round == 0 ? &single : &many) = store_digest(store.db, "");
        ck_assert_int_eq(
            store_integer(store.db, "SELECT count(*) FROM reading"
                                    " WHERE measured_at >= 100000"),
            101);
        db_rollback(store.db);
    }
    ck_assert(single == many);
}
END_TEST

static bool is_there(const struct db_reading *reading)
{
    bool exists = false;

    ck_assert_int_eq(db_reading_exists(store.db, reading, &exists), DB_OK);
    return exists;
}

START_TEST(db_bulk_still_knows_what_is_there_already)
{
    struct db_reading old = store_reading(&store, 5000, COIL_PH, 7400000);
    struct db_reading early = store_reading(&store, 100, COIL_PH, 7400000);
    struct db_reading late = store_reading(&store, 90000, COIL_PH, 7400000);
    struct db_reading between = store_reading(&store, 60000, COIL_PH, 7400000);

    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert_int_eq(db_bulk_begin(store.db, store.water_id), DB_OK);
    ck_assert(is_there(&old)); /* from before */
    ck_assert(!is_there(&early) && !is_there(&late) && !is_there(&between));
    ck_assert_int_eq(db_reading_add(store.db, &late), DB_OK);
    ck_assert(is_there(&late) && !is_there(&between));
    ck_assert_int_eq(db_reading_add(store.db, &between), DB_OK);
    ck_assert_int_eq(db_reading_add(store.db, &early), DB_OK);
    ck_assert(is_there(&early) && is_there(&late) && is_there(&between));
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    ck_assert(is_there(&early) && is_there(&late) && is_there(&between));
}
END_TEST

/* ---- what must never get in ---- */

static int64_t millionths(double value)
{
    return (int64_t)llround(value * 1e6);
}

static enum db_status try_value(int quantity, int64_t amount_e6)
{
    struct db_reading reading =
        store_reading(&store, 8000, (enum coil_quantity)quantity, amount_e6);

    return db_reading_add(store.db, &reading);
}

START_TEST(db_takes_the_possible_range_of_each_quantity_and_not_more)
{
    const struct coil_quantity_info *info = coil_quantity_info((enum coil_quantity)_i);
    int64_t low_e6 = millionths(info->possible_low);
    int64_t high_e6 = millionths(info->possible_high);
    int64_t before = store_integer(store.db, "SELECT count(*) FROM reading");

    ck_assert_int_eq(try_value(_i, low_e6), DB_OK);
    ck_assert_int_eq(try_value(_i, high_e6), DB_OK);
    ck_assert_int_eq(try_value(_i, low_e6 - 1), DB_FAILED);
    ck_assert_int_eq(try_value(_i, high_e6 + 1), DB_FAILED);
    ck_assert_int_eq(try_value(_i, INT64_MIN), DB_FAILED);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM reading"),
                     before + 2);
}
END_TEST

START_TEST(db_refuses_a_reading_without_sense)
{
    struct db_reading none = store_reading(&store, 8000, COIL_PH, 7400000),
                      twice = none, foreign = none, early = none, late = none,
                      method = none, many = none, water = none, actor = none;
    uint64_t before = store_digest(store.db, "");

    none.value_count = 0;
    ck_assert_int_eq(db_reading_add(store.db, &none), DB_FAILED);
    twice.value_count = 2;
    twice.values[1] = twice.values[0];
    ck_assert_int_eq(db_reading_add(store.db, &twice), DB_FAILED);
    foreign.values[0].quantity = COIL_QUANTITY_COUNT;
    ck_assert_int_eq(db_reading_add(store.db, &foreign), DB_FAILED);
    early.fact.at = -1;
    ck_assert_int_eq(db_reading_add(store.db, &early), DB_FAILED);
    late.fact.recorded_at = INT64_MAX;
    ck_assert_int_eq(db_reading_add(store.db, &late), DB_FAILED);
    method.method = COIL_METHOD_COUNT;
    ck_assert_int_eq(db_reading_add(store.db, &method), DB_FAILED);
    many.value_count = COIL_QUANTITY_COUNT + 1;
    ck_assert_int_eq(db_reading_add(store.db, &many), DB_FAILED);
    water.water_id = 77;
    ck_assert_int_eq(db_reading_add(store.db, &water), DB_NOT_FOUND);
    actor.fact.actor_id = 77;
    ck_assert_int_eq(db_reading_add(store.db, &actor), DB_NOT_FOUND);
    ck_assert(store_digest(store.db, "") == before);
}
END_TEST

START_TEST(db_never_takes_nan_or_infinity_as_a_limit)
{
    static const double values[] = {NAN, INFINITY, -INFINITY, 1e300};
    struct db_heater heater;
    uint64_t before = store_digest(store.db, "");

    ck_assert_int_eq(db_heater_get(store.db, store.heater_id, &heater), DB_OK);
    for (size_t i = 0; i < 4; i++) {
        heater.limits[COIL_LIMIT_PH_HIGH] =
            (struct coil_limit){true, values[i], COIL_OWN};
        ck_assert_int_eq(db_heater_put(store.db, &heater), DB_FAILED);
    }
    ck_assert(store_digest(store.db, "") == before);
}
END_TEST

START_TEST(db_refuses_a_run_that_ends_before_it_starts)
{
    struct db_run run = {
        .fact = store_fact(&store, 5000), .water_id = store.water_id, .ended_at = 5000};

    ck_assert_int_eq(db_run_add(store.db, &run), DB_FAILED);
    run.ended_at = 5001;
    ck_assert_int_eq(db_run_add(store.db, &run), DB_OK);
}
END_TEST

START_TEST(db_refuses_a_heater_without_waters_or_with_unknown_ones)
{
    struct db_heater heater = {.at = 1, .actor_id = store.actor_id, .name = "Second"};

    ck_assert_int_eq(db_heater_add(store.db, &heater), DB_FAILED);
    heater.water_count = DB_HEATER_WATERS_MAX + 1;
    ck_assert_int_eq(db_heater_add(store.db, &heater), DB_FAILED);
    heater.water_count = 1;
    heater.water_ids[0] = 77;
    ck_assert_int_eq(db_heater_add(store.db, &heater), DB_NOT_FOUND);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM heater"), 1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("db_guard");
    TCase *guard = tcase_create("guard");

    tcase_add_checked_fixture(guard, start, finish);
    tcase_set_timeout(guard, 30);
    tcase_add_loop_test(guard, db_refuses_to_change_what_is_written, 0,
                        (int)GUARDED_COUNT);
    tcase_add_loop_test(guard, db_file_refuses_changes_from_the_sqlite_tool, 0,
                        (int)GUARDED_COUNT);
    tcase_add_test(guard, db_guarded_tables_have_one_key_only);
    tcase_add_test(guard, db_every_table_is_guarded_or_named_as_derived);
    tcase_add_test(guard, db_file_refuses_a_second_correction);
    tcase_add_test(guard, db_bulk_leaves_the_guards_as_they_were);
    tcase_add_test(guard, db_bulk_refuses_what_a_single_add_refuses);
    tcase_add_test(guard, db_bulk_keeps_every_row_as_a_single_add_does);
    tcase_add_test(guard, db_bulk_still_knows_what_is_there_already);
    tcase_add_loop_test(guard,
                        db_takes_the_possible_range_of_each_quantity_and_not_more, 0,
                        COIL_QUANTITY_COUNT);
    tcase_add_test(guard, db_refuses_a_reading_without_sense);
    tcase_add_test(guard, db_never_takes_nan_or_infinity_as_a_limit);
    tcase_add_test(guard, db_refuses_a_run_that_ends_before_it_starts);
    tcase_add_test(guard, db_refuses_a_heater_without_waters_or_with_unknown_ones);
    suite_add_tcase(suite, guard);
    return store_run_suite(suite);
}
