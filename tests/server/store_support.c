#include <check.h>
#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "store_support.h"

void store_folder(struct store *store)
{
    const char *base = getenv("TMPDIR");

    memset(store, 0, sizeof *store);
    snprintf(store->folder, sizeof store->folder, "%s/coil-store-XXXXXX",
             base != NULL && strlen(base) < 40 ? base : "/tmp");
    ck_assert_ptr_nonnull(mkdtemp(store->folder));
    snprintf(store->path, sizeof store->path, "%s/pool.db", store->folder);
}

static void add_things(struct store *store)
{
    struct db_water water = {.at = 1000, .name = "Pool", .volume_m3_e6 = 50000000};
    struct db_heater heater = {.at = 1000,
                               .name = "Heater",
                               .water_count = 1,
                               .bypass = COIL_BYPASS_FULL,
                               .bypass_usual_percent = -1};

    ck_assert_int_eq(db_actor(store->db, "Dana", &store->actor_id), DB_OK);
    water.actor_id = heater.actor_id = store->actor_id;
    ck_assert_int_eq(db_water_add(store->db, &water), DB_OK);
    store->water_id = heater.water_ids[0] = water.id;
    ck_assert_int_eq(db_heater_add(store->db, &heater), DB_OK);
    store->heater_id = heater.id;
}

void store_start(struct store *store, bool in_memory)
{
    memset(store, 0, sizeof *store);
    if (in_memory)
        snprintf(store->path, sizeof store->path, ":memory:");
    else
        store_folder(store);
    ck_assert_int_eq(db_open(store->path, DB_READ_WRITE, &store->db), DB_OK);
    add_things(store);
}

static void remove_folder(const char *folder)
{
    DIR *dir = opendir(folder);
    struct dirent *entry;

    while (dir != NULL && (entry = readdir(dir)) != NULL)
        if (entry->d_name[0] != '.')
            unlinkat(dirfd(dir), entry->d_name, 0);
    if (dir != NULL)
        closedir(dir);
    rmdir(folder);
}

void store_finish(struct store *store)
{
    db_close(store->db);
    if (store->folder[0] != '\0')
        remove_folder(store->folder);
}

struct db_fact store_fact(const struct store *store, int64_t at)
{
    return (struct db_fact){
        .at = at, .recorded_at = at + 60, .actor_id = store->actor_id};
}

struct db_reading store_reading(const struct store *store, int64_t at,
                                enum coil_quantity quantity, int64_t amount_e6)
{
    return (struct db_reading){
        .fact = store_fact(store, at),
        .water_id = store->water_id,
        .method = COIL_METHOD_DROP_COUNT,
        .value_count = 1,
        .values = {{.quantity = quantity,
                    .amount_e6 = amount_e6,
                    .method = COIL_METHOD_DROP_COUNT}},
    };
}

int64_t store_add(struct store *store, int64_t at, enum coil_quantity quantity,
                  int64_t amount_e6)
{
    struct db_reading reading = store_reading(store, at, quantity, amount_e6);

    ck_assert_int_eq(db_reading_add(store->db, &reading), DB_OK);
    return reading.fact.id;
}

int64_t store_correct(struct store *store, int64_t id, int64_t at, int64_t amount_e6)
{
    struct db_reading reading;

    ck_assert_int_eq(db_reading_get(store->db, id, &reading), DB_OK);
    reading.fact = store_fact(store, at);
    reading.fact.supersedes = id;
    reading.values[0].amount_e6 = amount_e6;
    ck_assert_int_eq(db_reading_add(store->db, &reading), DB_OK);
    return reading.fact.id;
}

int64_t store_withdraw(struct store *store, int64_t id)
{
    struct db_reading reading = {.fact = store_fact(store, 5)};

    reading.fact.supersedes = id;
    reading.fact.withdrawn = true;
    ck_assert_int_eq(db_reading_add(store->db, &reading), DB_OK);
    return reading.fact.id;
}

void store_exec(struct db *db, const char *sql)
{
    char *message = NULL;
    int code = sqlite3_exec(db->handle, sql, NULL, NULL, &message);

    ck_assert_msg(code == SQLITE_OK, "%s: %s", sql, message);
}

int64_t store_integer(struct db *db, const char *sql)
{
    sqlite3_stmt *stmt = NULL;
    int64_t value;

    ck_assert_msg(sqlite3_prepare_v2(db->handle, sql, -1, &stmt, NULL) == SQLITE_OK,
                  "%s: %s", sql, sqlite3_errmsg(db->handle));
    ck_assert_int_eq(sqlite3_step(stmt), SQLITE_ROW);
    value = sqlite3_column_int64(stmt, 0);
    sqlite3_finalize(stmt);
    return value;
}

static uint64_t digest_rows(struct db *db, const char *table, uint64_t digest)
{
    char sql[128];
    sqlite3_stmt *stmt = NULL;

    snprintf(sql, sizeof sql, "SELECT * FROM %s ORDER BY 1, 2, 3, 4", table);
    if (sqlite3_prepare_v2(db->handle, sql, -1, &stmt, NULL) != SQLITE_OK) {
        snprintf(sql, sizeof sql, "SELECT * FROM %s ORDER BY 1", table);
        ck_assert_int_eq(sqlite3_prepare_v2(db->handle, sql, -1, &stmt, NULL),
                         SQLITE_OK);
    }
    while (sqlite3_step(stmt) == SQLITE_ROW)
        for (int i = 0; i < sqlite3_column_count(stmt); i++) {
            const char *text = (const char *)sqlite3_column_text(stmt, i);

            for (text = text == NULL ? "\x01" : text; *text != '\0'; text++)
                digest = (digest ^ (unsigned char)*text) * 1099511628211u;
            digest = (digest ^ 0x1f) * 1099511628211u;
        }
    sqlite3_finalize(stmt);
    return digest;
}

uint64_t store_digest(struct db *db, const char *table)
{
    uint64_t digest = 14695981039346656037u;
    sqlite3_stmt *stmt = NULL;

    if (table[0] != '\0')
        return digest_rows(db, table, digest);
    ck_assert_int_eq(sqlite3_prepare_v2(db->handle,
                                        "SELECT name FROM sqlite_schema"
                                        " WHERE type = 'table' ORDER BY name",
                                        -1, &stmt, NULL),
                     SQLITE_OK);
    while (sqlite3_step(stmt) == SQLITE_ROW)
        digest = digest_rows(db, (const char *)sqlite3_column_text(stmt, 0), digest);
    sqlite3_finalize(stmt);
    return digest;
}

/* SplitMix64, public domain: https://prng.di.unimi.it/splitmix64.c */
int64_t store_random(uint64_t *state, int64_t below)
{
    uint64_t z = (*state += 0x9e3779b97f4a7c15u);

    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (int64_t)((z ^ (z >> 31)) % (uint64_t)below);
}

int store_run_suite(Suite *suite)
{
    SRunner *runner = srunner_create(suite);
    int failed;

    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? 0 : 1;
}
