/* When pump and burner ran. */
#include "db_private.h"

static void bind_run(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_run *run = record;

    db_bind(stmt, first, run->water_id);
    db_bind_id(stmt, first + 1, run->heater_id);
    db_bind(stmt, first + 2, run->machine, run->origin, run->ended_at);
}

static void read_run(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_run *run = record;

    run->water_id = sqlite3_column_int64(stmt, first);
    run->heater_id = sqlite3_column_int64(stmt, first + 1); /* NULL reads as 0 */
    run->machine = (enum db_machine)sqlite3_column_int(stmt, first + 2);
    run->origin = (enum db_origin)sqlite3_column_int(stmt, first + 3);
    run->ended_at = sqlite3_column_int64(stmt, first + 4);
}

const struct fact_table db_run_table = {
    .name = "run",
    .subject = "water_id",
    .columns = "water_id, heater_id, machine, origin, ended_at",
    .column_count = 5,
    .record_size = sizeof(struct db_run),
    .bind = bind_run,
    .read = read_run,
};

enum db_status db_run_add(struct db *db, struct db_run *run)
{
    return db_fact_add(db, &db_run_table, run);
}

enum db_status db_run_get(struct db *db, int64_t id, struct db_run *out)
{
    return db_fact_get(db, &db_run_table, id, out);
}

enum db_status db_run_list(struct db *db, const struct db_window *window,
                           struct db_run *out, size_t *out_count)
{
    return db_fact_list(db, &db_run_table, window, out, out_count);
}
