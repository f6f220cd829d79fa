/* In which state a heater was put. */
#include "db_private.h"

static void bind_state(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_heater_state *state = record;

    db_bind(stmt, first, state->heater_id, state->state, state->bypass_percent_open);
}

static void read_state(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_heater_state *state = record;

    state->heater_id = sqlite3_column_int64(stmt, first);
    state->state = (enum coil_heater_state)sqlite3_column_int(stmt, first + 1);
    state->bypass_percent_open = sqlite3_column_int(stmt, first + 2);
}

const struct fact_table db_heater_state_table = {
    .name = "heater_state",
    .subject = "heater_id",
    .columns = "heater_id, state, bypass_percent_open",
    .column_count = 3,
    .record_size = sizeof(struct db_heater_state),
    .bind = bind_state,
    .read = read_state,
};

enum db_status db_heater_state_add(struct db *db, struct db_heater_state *state)
{
    return db_fact_add(db, &db_heater_state_table, state);
}

enum db_status db_heater_state_get(struct db *db, int64_t id,
                                   struct db_heater_state *out)
{
    return db_fact_get(db, &db_heater_state_table, id, out);
}

enum db_status db_heater_state_list(struct db *db, const struct db_window *window,
                                    struct db_heater_state *out, size_t *out_count)
{
    return db_fact_list(db, &db_heater_state_table, window, out, out_count);
}
