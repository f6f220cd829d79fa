/* Opening: settings, whose file it is, migrations, files, transactions. */
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "server/db_care.h"
#include "server/db_flue.h"
#include "store_support.h"

static struct store store;

static void start_file(void)
{
    store_start(&store, false);
}

static void start_folder(void)
{
    store_folder(&store);
}

static void finish(void)
{
    store_finish(&store);
}

/* ---- settings ---- */

static void check_settings(struct db *db, const char *mode)
{
    sqlite3_stmt *stmt = NULL;
    int is_on = -1;

    ck_assert_int_eq(store_integer(db, "PRAGMA synchronous"), 2);
    ck_assert_int_eq(store_integer(db, "PRAGMA foreign_keys"), 1);
    ck_assert_int_eq(store_integer(db, "PRAGMA trusted_schema"), 0);
    ck_assert_int_eq(store_integer(db, "PRAGMA recursive_triggers"), 1);
    ck_assert_int_eq(store_integer(db, "PRAGMA cell_size_check"), 1);
    ck_assert_int_eq(store_integer(db, "PRAGMA busy_timeout"), 5000);
    ck_assert_int_eq(store_integer(db, "PRAGMA mmap_size"), 0);
    ck_assert_int_gt(store_integer(db, "PRAGMA journal_size_limit"), 0);
    sqlite3_db_config(db->handle, SQLITE_DBCONFIG_DEFENSIVE, -1, &is_on);
    ck_assert_int_eq(is_on, 1);
    sqlite3_db_config(db->handle, SQLITE_DBCONFIG_DQS_DML, -1, &is_on);
    ck_assert_int_eq(is_on, 0);
    sqlite3_db_config(db->handle, SQLITE_DBCONFIG_DQS_DDL, -1, &is_on);
    ck_assert_int_eq(is_on, 0);
    sqlite3_prepare_v2(db->handle, "PRAGMA journal_mode", -1, &stmt, NULL);
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    ck_assert_str_eq((const char *)sqlite3_column_text(stmt, 0), mode);
    sqlite3_finalize(stmt);
}

START_TEST(db_open_sets_every_setting_when_writing)
{
    check_settings(store.db, "wal");
}
END_TEST

START_TEST(db_open_sets_every_setting_when_reading)
{
    struct db *reader = NULL;

    ck_assert_int_eq(db_open(store.path, DB_READ_ONLY, &reader), DB_OK);
    check_settings(reader, "wal");
    db_close(reader);
}
END_TEST

START_TEST(db_files_are_for_their_owner_alone)
{
    static const char *const endings[] = {"", "-wal", "-shm"};
    struct store open;

    umask(0);
    store_start(&open, false);
    for (size_t i = 0; i < 3; i++) {
        struct stat info;
        char name[128];

        snprintf(name, sizeof name, "%s%s", open.path, endings[i]);
        ck_assert_msg(stat(name, &info) == 0, "%s", name);
        ck_assert_int_eq(info.st_mode & 07777, 0600);
    }
    store_finish(&open);
}
END_TEST

START_TEST(db_new_file_says_whose_it_is)
{
    ck_assert_int_eq(store_integer(store.db, "PRAGMA application_id"), 0x436F696C);
    ck_assert_int_eq(store_integer(store.db, "PRAGMA user_version"),
                     (int64_t)db_step_count);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM pragma_table_list"
                                             " WHERE schema = 'main' AND type = 'table'"
                                             " AND name NOT LIKE 'sqlite%'"
                                             " AND strict = 0"),
                     0);
}
END_TEST

/* ---- whose file it is ---- */

struct bytes {
    char *data;
    size_t length;
};

static struct bytes file_bytes(const char *path)
{
    struct bytes bytes = {NULL, 0};
    FILE *in = fopen(path, "rb");
    long length;

    ck_assert_ptr_nonnull(in);
    fseek(in, 0, SEEK_END);
    length = ftell(in);
    rewind(in);
    bytes.data = malloc((size_t)length + 1);
    bytes.length = fread(bytes.data, 1, (size_t)length, in);
    fclose(in);
    return bytes;
}

static void expect_refusal(enum db_status expected, enum db_mode mode)
{
    struct bytes before = file_bytes(store.path), after;
    struct db *db = NULL;

    ck_assert_int_eq(db_open(store.path, mode, &db), expected);
    ck_assert_ptr_null(db);
    after = file_bytes(store.path);
    ck_assert_uint_eq(before.length, after.length);
    ck_assert_mem_eq(before.data, after.data, before.length);
    free(before.data);
    free(after.data);
}

static void make_file(const char *sql)
{
    sqlite3 *handle = NULL;

    ck_assert_int_eq(sqlite3_open(store.path, &handle), SQLITE_OK);
    ck_assert_int_eq(sqlite3_exec(handle, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(handle);
}

START_TEST(db_open_leaves_a_newer_file_alone)
{
    make_file("PRAGMA journal_mode = wal; CREATE TABLE t (a); INSERT INTO t VALUES (1);"
              "PRAGMA application_id = 0x436F696C; PRAGMA user_version = 9999");
    expect_refusal(DB_NEWER, DB_READ_WRITE);
    expect_refusal(DB_NEWER, DB_READ_ONLY);
}
END_TEST

START_TEST(db_open_leaves_another_programs_file_alone)
{
    make_file(
        "CREATE TABLE t (a); PRAGMA application_id = 77; PRAGMA user_version = 1");
    expect_refusal(DB_FOREIGN, DB_READ_WRITE);
}
END_TEST

START_TEST(db_open_leaves_a_file_without_id_alone)
{
    make_file("CREATE TABLE t (a); INSERT INTO t VALUES (1)");
    expect_refusal(DB_FOREIGN, DB_READ_WRITE);
}
END_TEST

START_TEST(db_open_leaves_a_file_that_is_no_database_alone)
{
    FILE *out = fopen(store.path, "w");

    for (int i = 0; i < 2000; i++)
        fputs("date,ph\n", out);
    fclose(out);
    expect_refusal(DB_CORRUPT, DB_READ_WRITE);
}
END_TEST

START_TEST(db_open_refuses_a_folder)
{
    struct db *db = NULL;

    ck_assert_int_eq(db_open(store.folder, DB_READ_WRITE, &db), DB_CORRUPT);
}
END_TEST

START_TEST(db_open_makes_no_file_for_a_reader)
{
    struct db *db = NULL;

    ck_assert_int_eq(db_open(store.path, DB_READ_ONLY, &db), DB_NOT_FOUND);
    ck_assert_int_ne(access(store.path, F_OK), 0);
}
END_TEST

START_TEST(db_open_fills_an_empty_file)
{
    FILE *out = fopen(store.path, "w");

    fclose(out);
    ck_assert_int_eq(db_open(store.path, DB_READ_WRITE, &store.db), DB_OK);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM reading"), 0);
}
END_TEST

/* A damaged page is reported when it is read, and not taken for values. */
START_TEST(db_reports_a_damaged_page)
{
    struct db_reading list[3];
    struct db_window window = {
        .subject_id = store.water_id, .until = 100000, .limit = 3};
    char junk[4096];
    size_t count = 0;
    int64_t page;
    FILE *file;

    store_add(&store, 5000, COIL_PH, 7400000);
    page = store_integer(store.db, "SELECT rootpage FROM sqlite_schema"
                                   " WHERE name = 'reading'");
    db_close(store.db); /* the last connection moves the log into the file */
    store.db = NULL;
    file = fopen(store.path, "r+b");
    memset(junk, 0x5a, sizeof junk);
    fseek(file, (page - 1) * 4096, SEEK_SET);
    fwrite(junk, 1, sizeof junk, file);
    fclose(file);
    ck_assert_int_eq(db_open(store.path, DB_READ_WRITE, &store.db), DB_OK);
    ck_assert_int_eq(db_reading_list(store.db, &window, list, &count), DB_CORRUPT);
}
END_TEST

/* ---- migrations ---- */

static const struct db_step *two_steps(const char *second)
{
    static struct db_step steps[2];

    steps[0] = db_steps[0];
    steps[1] = (struct db_step){2, second};
    return steps;
}

static void make_version_1(void)
{
    ck_assert_int_eq(db_open_with(store.path, DB_READ_WRITE, db_steps, 1, &store.db),
                     DB_OK);
    ck_assert_int_eq(db_actor(store.db, "Robin", &store.actor_id), DB_OK);
    db_close(store.db);
    store.db = NULL;
}

START_TEST(db_migrate_keeps_a_copy_and_every_row)
{
    const struct db_step *steps = two_steps("CREATE TABLE extra (a INTEGER) STRICT");
    struct store copy = store;
    struct stat info;

    umask(022);
    make_version_1();
    ck_assert_int_eq(db_open_with(store.path, DB_READ_WRITE, steps, 2, &store.db),
                     DB_OK);
    ck_assert_int_eq(store_integer(store.db, "PRAGMA user_version"), 2);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM extra"), 0);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM actor"), 1);
    snprintf(copy.path, sizeof copy.path, "%s/pool.db.v1-1", store.folder);
    ck_assert_int_eq(stat(copy.path, &info), 0);
    ck_assert_int_eq(info.st_mode & 07777, 0600);
    ck_assert_int_eq(db_open_with(copy.path, DB_READ_WRITE, db_steps, 1, &copy.db),
                     DB_OK);
    ck_assert_int_eq(store_integer(copy.db, "PRAGMA user_version"), 1);
    ck_assert_int_eq(store_integer(copy.db, "SELECT count(*) FROM actor"), 1);
    db_close(copy.db);
}
END_TEST

START_TEST(db_migrate_undoes_a_step_that_fails)
{
    const struct db_step *steps =
        two_steps("CREATE TABLE extra (a INTEGER) STRICT; SELECT no_such_function()");

    make_version_1();
    ck_assert_int_eq(db_open_with(store.path, DB_READ_WRITE, steps, 2, &store.db),
                     DB_FAILED);
    ck_assert_int_eq(db_open_with(store.path, DB_READ_WRITE, db_steps, 1, &store.db),
                     DB_OK);
    ck_assert_int_eq(store_integer(store.db, "PRAGMA user_version"), 1);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM sqlite_schema"
                                             " WHERE name = 'extra'"),
                     0);
}
END_TEST

START_TEST(db_open_does_not_migrate_for_a_reader)
{
    const struct db_step *steps = two_steps("CREATE TABLE extra (a INTEGER) STRICT");

    make_version_1();
    ck_assert_int_eq(db_open_with(store.path, DB_READ_ONLY, steps, 2, &store.db),
                     DB_FAILED);
}
END_TEST

static void load_dump(const char *name)
{
    const char *root = getenv("COIL_SOURCE_ROOT"); /* set by meson */
    struct bytes dump;
    char path[512];

    snprintf(path, sizeof path, "%s/fixtures/db/%s", root != NULL ? root : ".", name);
    dump = file_bytes(path);
    dump.data[dump.length] = '\0';
    make_file(dump.data);
    free(dump.data);
}

/* The rows stand in fixtures/db/v001.sql. */
START_TEST(db_opens_the_dump_of_schema_1)
{
    struct db_reading readings[4];
    struct db_window window = {.subject_id = 1, .until = 1764000000, .limit = 4};
    struct db_heater heater;
    uint64_t summaries;
    size_t count = 0;

    load_dump("v001.sql");
    ck_assert_int_eq(db_open(store.path, DB_READ_WRITE, &store.db), DB_OK);
    ck_assert_int_eq(db_reading_list(store.db, &window, readings, &count), DB_OK);
    ck_assert_uint_eq(count, 2);
    ck_assert_int_eq(readings[0].fact.at, 1763900000);
    ck_assert_str_eq(readings[0].fact.actor, "Robin");
    ck_assert_uint_eq(readings[0].value_count, 2);
    ck_assert_int_eq(readings[0].values[0].amount_e6, 7300000);
    ck_assert_int_eq(readings[0].values[1].method, COIL_METHOD_PHOTOMETER);
    ck_assert_int_eq(readings[1].values[0].amount_e6, 7600000);
    ck_assert_int_eq(db_heater_get(store.db, 1, &heater), DB_OK);
    ck_assert_double_eq_tol(heater.limits[COIL_LIMIT_PH_LOW].value, 7.2, 1e-9);
    /* A heater of before care was kept has its yearly cleaning too. */
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM care_task t JOIN"
                                             " care_task_version v ON v.task_id = t.id"
                                             " WHERE t.heater_id = 1 AND is_cleaning = 1"
                                             " AND v.at = 1763000000 AND start_day ="
                                             " 1763000000 / 86400"),
                     1);
    /* The dump's summaries were written by hand; made anew they are the same. */
    summaries = store_digest(store.db, "bucket");
    ck_assert_int_eq(db_series_rebuild(store.db), DB_OK);
    ck_assert(store_digest(store.db, "bucket") == summaries);
}
END_TEST

/* The rows that each later dump adds stand in fixtures/db/v002.sql to v013.sql. */
static void check_shed_of_2(void)
{
    struct db_shed_item item;

    ck_assert_int_eq(db_shed_get(store.db, 1, &item), DB_OK);
    ck_assert_int_eq(item.version, 2);
    ck_assert_int_eq(item.product, COIL_SODIUM_BICARBONATE);
    ck_assert_int_eq(item.amount_left_e6, 4000000000);
    ck_assert(!item.knows_stored_temp);
    ck_assert_int_eq(item.measure_size_e6, 0);
}

static void check_line_of_3(void)
{
    struct db_line line;

    ck_assert_int_eq(db_line_get(store.db, 1, &line), DB_OK);
    ck_assert_int_eq(line.version, 1);
    ck_assert_str_eq(line.document, "{}");
    free(line.document);
}

static void check_plan_of_4(void)
{
    struct db_plan plan;

    ck_assert_int_eq(db_plan_get(store.db, 1, &plan, NULL), DB_OK);
    ck_assert_int_eq(plan.state, DB_PLAN_ABANDONED);
    ck_assert_str_eq(plan.events[1].actor, "Robin");
    ck_assert_str_eq(plan.events[1].note, "rain");
}

static void check_fill_of_5(void)
{
    struct db_fill_water fill;

    ck_assert_int_eq(db_fill_get(store.db, 1, &fill), DB_OK);
    ck_assert_int_eq(fill.values[DB_FILL_PH].value_e6, 7600000);
    ck_assert(!fill.values[DB_FILL_SALT].is_known);
}

static void check_people_of_6(void)
{
    ck_assert_int_eq(
        store_integer(store.db, "SELECT role FROM person WHERE name = 'Dana'"), 3);
}

static void check_visit_of_7(void)
{
    struct db_care_visit visit;

    ck_assert_int_eq(db_care_visit_get(store.db, 1, &visit), DB_OK);
    ck_assert_int_eq(visit.task_id, 1);
    ck_assert(visit.technician && !visit.skipped && !visit.has_may_run);
    ck_assert_str_eq(visit.findings, "burner cleaned");
    ck_assert_int_eq(visit.cost_e6, 180000000);
}

static void check_tariff_of_8(void)
{
    struct db_tariff tariff;

    ck_assert_int_eq(db_tariff_get(store.db, 1, &tariff), DB_OK);
    ck_assert_int_eq(tariff.version, 1);
    ck_assert_int_eq(tariff.price_e6, 1500000);
    ck_assert_str_eq(tariff.currency, "$");
}

static void check_wanted_of_9(void)
{
    struct db_wanted wanted;

    ck_assert_int_eq(db_wanted_get(store.db, 1, &wanted), DB_OK);
    ck_assert_int_eq(wanted.version, 1);
    ck_assert(wanted.ranges[COIL_AIM_PH].is_own && wanted.ranges[COIL_AIM_PH].is_set);
    ck_assert_int_eq(wanted.ranges[COIL_AIM_PH].low_e6, 7200000);
    ck_assert_int_eq(wanted.ranges[COIL_AIM_PH].high_e6, 7600000);
    ck_assert(!wanted.ranges[COIL_AIM_ALKALINITY].is_own);
    ck_assert_int_eq(wanted.limit_e6[DB_LIMIT_ACID], 5000000);
}

/* It adds columns only: a line of before has no risks. */
static void check_line_of_10(void)
{
    ck_assert_int_eq(store_integer(store.db, "SELECT risks + first_risk"
                                             " FROM line_version"),
                     0);
}

static void check_visit_of_11(void)
{
    struct db_care_visit visit;

    ck_assert_int_eq(db_care_visit_get(store.db, 2, &visit), DB_OK);
    ck_assert(visit.has_may_run && !visit.may_run);
}

static void check_flue_test_of_12(void)
{
    struct db_flue_test test;

    ck_assert_int_eq(db_flue_test_get(store.db, 1, &test), DB_OK);
    ck_assert_int_eq(test.found_safe, DB_FOUND_SAFE);
    ck_assert_int_eq(test.values[DB_FLUE_O2_PERCENT].value_e6, 6000000);
    ck_assert(!test.values[DB_FLUE_DRAUGHT_PA].is_known);
}

/* Entries from before the chain have no hash, and stay without. */
static void check_chain_of_13(void)
{
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM journal j LEFT JOIN"
                                             " chain c ON c.id = j.id"
                                             " WHERE j.id = 1 AND c.id IS NULL"),
                     1);
}

/* What a later schema adds is not known of anything that is older. */
static void check_what_came_last(int schema)
{
    struct db_wanted wanted;
    struct db_heater heater;

    if (schema < 9) {
        ck_assert_int_eq(db_wanted_get(store.db, 1, &wanted), DB_OK);
        ck_assert_int_eq(wanted.version, 0);
    }
    ck_assert_int_eq(db_heater_get(store.db, 1, &heater), DB_OK);
    ck_assert_int_eq(heater.flow_m3_per_h_e6, 0);
    ck_assert_double_eq_tol(heater.limits[COIL_LIMIT_PH_LOW].value, 7.2, 1e-9);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM photo"), 0);
}

#define FIRST_OF_LATER 2

START_TEST(db_opens_the_dumps_of_later_schemas)
{
    static void (*const checks[])(void) = {check_shed_of_2, check_line_of_3,
                                           check_plan_of_4, check_fill_of_5,
                                           check_people_of_6, check_visit_of_7,
                                           check_tariff_of_8, check_wanted_of_9,
                                           check_line_of_10, check_visit_of_11,
                                           check_flue_test_of_12, check_chain_of_13};
    char name[32];

    snprintf(name, sizeof name, "v%03d.sql", _i + FIRST_OF_LATER);
    load_dump(name);
    ck_assert_int_eq(db_open(store.path, DB_READ_WRITE, &store.db), DB_OK);
    ck_assert_int_eq(store_integer(store.db, "PRAGMA user_version"),
                     (int64_t)db_step_count);
    for (int i = 0; i <= _i; i++)
        checks[i]();
    check_what_came_last(_i + FIRST_OF_LATER);
}
END_TEST

/* ---- crashes ---- */

#define KILLS 60

static void fill_until_killed(const char *path)
{
    struct db *db = NULL;
    int64_t actor;

    if (db_open(path, DB_READ_WRITE, &db) != DB_OK)
        _exit(1);
    for (int i = 0;; i++) {
        char name[32];

        snprintf(name, sizeof name, "actor %d", i);
        if (db_actor(db, name, &actor) != DB_OK)
            _exit(2);
    }
}

/* Killed anywhere between the first byte of the file and its first rows, the store opens
 * again and is whole. */
START_TEST(db_open_survives_being_killed)
{
    uint64_t random = 3;

    for (int i = 0; i < KILLS; i++) {
        int outcome = 0;
        pid_t child = fork();

        ck_assert_int_ge(child, 0);
        if (child == 0)
            fill_until_killed(store.path);
        usleep((useconds_t)store_random(&random, 12000));
        kill(child, SIGKILL);
        ck_assert_int_eq(waitpid(child, &outcome, 0), child);
        ck_assert(WIFSIGNALED(outcome));
        ck_assert_int_eq(db_open(store.path, DB_READ_WRITE, &store.db), DB_OK);
        ck_assert_int_eq(store_integer(store.db, "PRAGMA user_version"),
                         (int64_t)db_step_count);
        ck_assert_int_eq(store_integer(store.db, "SELECT count(*) = coalesce(max(id), 0)"
                                                 " FROM actor"),
                         1);
        db_close(store.db);
        store.db = NULL;
        if (i % 2 == 0)
            unlink(store.path); /* and from nothing again */
    }
}
END_TEST

/* ---- transactions ---- */

START_TEST(db_reader_sees_what_is_committed_and_not_more)
{
    struct db *reader = NULL;
    struct db_reading reading = store_reading(&store, 5000, COIL_PH, 7400000), got;

    ck_assert_int_eq(db_open(store.path, DB_READ_ONLY, &reader), DB_OK);
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    ck_assert_int_eq(db_reading_get(reader, reading.fact.id, &got), DB_NOT_FOUND);
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    ck_assert_int_eq(db_reading_get(reader, reading.fact.id, &got), DB_OK);
    db_close(reader);
}
END_TEST

START_TEST(db_rollback_leaves_nothing)
{
    struct db_reading reading = store_reading(&store, 5000, COIL_PH, 7400000);
    uint64_t before = store_digest(store.db, "");
    int64_t newest = -1;

    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert_int_eq(db_reading_add(store.db, &reading), DB_OK);
    db_rollback(store.db);
    db_rollback(store.db); /* nothing open: fine */
    ck_assert(store_digest(store.db, "") == before);
    ck_assert_int_eq(db_newest_recorded_at(store.db, &newest), DB_OK);
    ck_assert_int_eq(newest, 0);
    store_add(&store, 90000, COIL_PH, 7400000);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM bucket"), 2);
}
END_TEST

START_TEST(db_begin_reports_busy_while_another_writes)
{
    struct db *other = NULL;

    ck_assert_int_eq(db_open(store.path, DB_READ_WRITE, &other), DB_OK);
    store_exec(other, "PRAGMA busy_timeout = 10");
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert_int_eq(db_begin(other), DB_BUSY);
    db_rollback(store.db);
    ck_assert_int_eq(db_begin(other), DB_OK);
    db_rollback(other);
    db_close(other);
}
END_TEST

START_TEST(db_is_writable_leaves_nothing_behind)
{
    uint64_t before = store_digest(store.db, "");
    struct db *reader = NULL;

    ck_assert(db_is_writable(store.db));
    ck_assert(store_digest(store.db, "") == before);
    ck_assert_int_eq(db_begin(store.db), DB_OK);
    ck_assert(db_is_writable(store.db));
    ck_assert_int_eq(db_commit(store.db), DB_OK);
    ck_assert(store_digest(store.db, "") == before);
    ck_assert_int_eq(db_open(store.path, DB_READ_ONLY, &reader), DB_OK);
    ck_assert(!db_is_writable(reader));
    db_close(reader);
}
END_TEST

/* The page count stands for the disk: what has no room is DB_FULL, nothing is lost, and
 * all goes on when there is room again. */
START_TEST(db_full_loses_nothing_and_recovers)
{
    enum db_status status = DB_OK;
    int added = 0;
    char sql[64];

    snprintf(sql, sizeof sql, "PRAGMA max_page_count = %lld",
             (long long)store_integer(store.db, "PRAGMA page_count") + 2);
    store_integer(store.db, sql);
    for (; status == DB_OK && added < 2000; added++) {
        struct db_reading reading =
            store_reading(&store, 5000 + added * 60, COIL_PH, 7400000);

        memset(reading.fact.note, 'n', sizeof reading.fact.note - 1);
        status = db_reading_add(store.db, &reading);
    }
    ck_assert_int_eq(status, DB_FULL);
    ck_assert_int_eq(store_integer(store.db, "SELECT count(*) FROM reading"),
                     added - 1);
    store_integer(store.db, "PRAGMA max_page_count = 1000000");
    store_add(&store, 900000, COIL_PH, 7400000);
    ck_assert(db_is_writable(store.db));
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("db_open");
    TCase *file = tcase_create("file");
    TCase *folder = tcase_create("folder");

    tcase_add_checked_fixture(file, start_file, finish);
    tcase_add_test(file, db_open_sets_every_setting_when_writing);
    tcase_add_test(file, db_open_sets_every_setting_when_reading);
    tcase_add_test(file, db_files_are_for_their_owner_alone);
    tcase_add_test(file, db_new_file_says_whose_it_is);
    tcase_add_test(file, db_reports_a_damaged_page);
    tcase_add_test(file, db_reader_sees_what_is_committed_and_not_more);
    tcase_add_test(file, db_rollback_leaves_nothing);
    tcase_add_test(file, db_begin_reports_busy_while_another_writes);
    tcase_add_test(file, db_is_writable_leaves_nothing_behind);
    tcase_add_test(file, db_full_loses_nothing_and_recovers);
    tcase_add_checked_fixture(folder, start_folder, finish);
    tcase_add_test(folder, db_open_leaves_a_newer_file_alone);
    tcase_add_test(folder, db_open_leaves_another_programs_file_alone);
    tcase_add_test(folder, db_open_leaves_a_file_without_id_alone);
    tcase_add_test(folder, db_open_leaves_a_file_that_is_no_database_alone);
    tcase_add_test(folder, db_open_refuses_a_folder);
    tcase_add_test(folder, db_open_makes_no_file_for_a_reader);
    tcase_add_test(folder, db_open_fills_an_empty_file);
    tcase_add_test(folder, db_migrate_keeps_a_copy_and_every_row);
    tcase_add_test(folder, db_migrate_undoes_a_step_that_fails);
    tcase_add_test(folder, db_open_does_not_migrate_for_a_reader);
    tcase_add_test(folder, db_opens_the_dump_of_schema_1);
    tcase_add_loop_test(folder, db_opens_the_dumps_of_later_schemas, 0, 12);
    tcase_add_test(folder, db_open_survives_being_killed);
    tcase_set_timeout(folder, 60);
    suite_add_tcase(suite, file);
    suite_add_tcase(suite, folder);
    return store_run_suite(suite);
}
