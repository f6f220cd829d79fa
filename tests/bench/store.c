/*
 * How fast the store takes a long history and how fast it plots it. Prints "name value
 * unit" lines; the figures depend on the machine, compare them within one run only.
 *
 * bench_store FILE ROWS STEP_S: makes FILE (which must not exist) with ROWS readings of
 * four values, one every STEP_S, and a hardness once a month.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "server/db.h"

#define FIRST_AT 1400000000
#define YEAR_S (365 * 86400)

static double now_s(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + (double)now.tv_nsec * 1e-9;
}

/* Of this process alone: steadier than the wall on a busy machine. */
static double cpu_s(void)
{
    struct timespec used;

    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &used);
    return (double)used.tv_sec + (double)used.tv_nsec * 1e-9;
}

static void must(enum db_status status, const char *what)
{
    if (status == DB_OK)
        return;
    fprintf(stderr, "%s: status %d\n", what, (int)status);
    exit(1);
}

static void say(const char *name, double value, const char *unit)
{
    printf("%-28s %12.3f %s\n", name, value, unit);
    fflush(stdout);
}

static void set_up(struct db *db, int64_t *out_actor, int64_t *out_water,
                   int64_t *out_heater)
{
    struct db_water water = {.at = 1, .name = "Pool", .volume_m3_e6 = 50000000};
    struct db_heater heater = {.at = 1, .name = "Heater", .water_count = 1};

    must(db_actor(db, "Bench", out_actor), "actor");
    water.actor_id = heater.actor_id = *out_actor;
    must(db_water_add(db, &water), "water");
    heater.water_ids[0] = *out_water = water.id;
    must(db_heater_add(db, &heater), "heater");
    *out_heater = heater.id;
}

/* A drifting water, so that values differ as measured ones do. */
static void fill_reading(struct db_reading *reading, int64_t i, int64_t step_s)
{
    static const enum coil_quantity kinds[] = {COIL_PH, COIL_FREE_CHLORINE,
                                               COIL_WATER_TEMP, COIL_ORP};
    const int64_t amounts[] = {
        7000000 + i * 7919 % 900000, 1000000 + i * 104729 % 3000000,
        25000000 + i * 31 % 4000000, 650000000 + i * 17 % 90000 * 1000};

    reading->fact.at = FIRST_AT + i * step_s;
    reading->fact.id = 0;
    reading->value_count = 4;
    for (int k = 0; k < 4; k++)
        reading->values[k] = (struct db_value){
            .quantity = kinds[k], .amount_e6 = amounts[k], .method = reading->method};
    if (i % (2592000 / step_s) == 0)
        reading->values[reading->value_count++] =
            (struct db_value){.quantity = COIL_CALCIUM_HARDNESS,
                              .amount_e6 = 250000000,
                              .method = COIL_METHOD_DROP_COUNT};
}

static void fill(struct db *db, int64_t actor, int64_t water, int64_t rows,
                 int64_t step_s)
{
    struct db_reading reading = {.water_id = water, .method = COIL_METHOD_PHOTOMETER};
    double start, cpu_start;

    reading.fact.actor_id = actor;
    reading.fact.recorded_at = FIRST_AT + rows * step_s;
    must(db_begin(db), "begin");
    must(db_batch_add(db, FIRST_AT, actor, "bench.csv", rows, &reading.fact.batch_id),
         "batch");
    must(db_bulk_begin(db, water), "bulk");
    start = now_s();
    cpu_start = cpu_s();
    for (int64_t i = 0; i < rows; i++) {
        bool is_there = false;

        fill_reading(&reading, i, step_s);
        must(db_reading_exists(db, &reading, &is_there), "exists");
        must(is_there ? DB_CONFLICT : db_reading_add(db, &reading), "add");
    }
    must(db_commit(db), "commit");
    say("store_import", now_s() - start, "s");
    say("store_import_cpu", cpu_s() - cpu_start, "s");
    say("store_import_rate", (double)rows / (now_s() - start), "readings/s");
}

static void plot(struct db *db, int64_t water, const char *name,
                 enum coil_quantity quantity, int64_t from, int64_t until)
{
    double best_s = 1e9;
    struct db_series series;
    char line[80];

    for (int i = 0; i < 7; i++) {
        double start = now_s();

        must(db_series(db, water, quantity, from, until, 1000, &series), "series");
        if (now_s() - start < best_s)
            best_s = now_s() - start;
        if (i < 6)
            db_series_finish(&series);
    }
    snprintf(line, sizeof line, "store_series_%s", name);
    say(line, best_s * 1e3, "ms");
    snprintf(line, sizeof line, "  level %lld s, facts %lld, points",
             (long long)series.bucket_s, (long long)series.facts);
    say(line, (double)series.count, "");
    db_series_finish(&series);
}

static void plot_all(struct db *db, int64_t water, int64_t until)
{
    plot(db, water, "all", COIL_PH, FIRST_AT, until);
    plot(db, water, "year", COIL_PH, until - YEAR_S, until);
    plot(db, water, "year_monthly", COIL_CALCIUM_HARDNESS, until - YEAR_S, until);
    plot(db, water, "quarter", COIL_PH, until - YEAR_S / 4, until);
    plot(db, water, "month", COIL_PH, until - 30 * 86400, until);
    plot(db, water, "week", COIL_PH, until - 7 * 86400, until);
    plot(db, water, "day", COIL_PH, until - 86400, until);
}

static void permit(struct db *db, int64_t heater, int64_t water, int64_t as_of)
{
    static struct coil_permit_facts facts;
    double start = now_s();

    for (int i = 0; i < 50; i++)
        must(db_permit_facts(db, heater, water, as_of, false, &facts), "permit");
    say("store_permit_facts", (now_s() - start) / 50 * 1e3, "ms");
}

static void single_adds(struct db *db, int64_t actor, int64_t water, int64_t at)
{
    struct db_reading reading = {.water_id = water, .method = COIL_METHOD_DROP_COUNT};
    double start = now_s();

    for (int64_t i = 0; i < 200; i++) {
        fill_reading(&reading, i, 1);
        reading.fact.at = at - 100000 + i * 300;
        reading.fact.recorded_at = at;
        reading.fact.actor_id = actor;
        must(db_reading_add(db, &reading), "single");
    }
    say("store_durable_adds", 200 / (now_s() - start), "readings/s");
}

int main(int argc, char **argv)
{
    int64_t rows = argc > 2 ? strtoll(argv[2], NULL, 10) : 0;
    int64_t step_s = argc > 3 ? strtoll(argv[3], NULL, 10) : 30;
    int64_t actor = 0, water = 0, heater = 0, until = FIRST_AT + rows * step_s;
    struct db *db = NULL;
    double start;

    if (rows < 1 || step_s < 1) {
        fputs("usage: bench_store FILE ROWS STEP_S\n", stderr);
        return 1;
    }
    must(db_open(argv[1], DB_READ_WRITE, &db), "open");
    set_up(db, &actor, &water, &heater);
    fill(db, actor, water, rows, step_s);
    start = now_s();
    db_close(db);
    say("store_close", now_s() - start, "s");
    start = now_s();
    must(db_open(argv[1], DB_READ_WRITE, &db), "open again");
    say("store_open", (now_s() - start) * 1e3, "ms");
    plot_all(db, water, until);
    permit(db, heater, water, until);
    single_adds(db, actor, water, until);
    start = now_s();
    must(db_series_rebuild(db), "rebuild");
    say("store_rebuild", now_s() - start, "s");
    db_close(db);
    return 0;
}
