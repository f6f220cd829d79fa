/* What fuel costs, warm-ups, and when another meter or thermometer began to measure. */
#include <string.h>

#include "db_private.h"

/* ---- tariff ---- */

#define TARIFF_COLUMNS                                                                 \
    "heater_id, version, at, actor_id, unit, price_e6, mj_per_unit_e6, currency"

enum db_status db_tariff_get(struct db *db, int64_t heater_id, struct db_tariff *out)
{
    struct db_heater heater;
    enum db_status status = db_heater_get(db, heater_id, &heater);
    sqlite3_stmt *stmt;

    if (status != DB_OK)
        return status;
    memset(out, 0, sizeof *out);
    out->heater_id = heater_id;
    stmt = db_prepare(db, "SELECT " TARIFF_COLUMNS " FROM tariff_version"
                          " WHERE heater_id = ?1 ORDER BY version DESC LIMIT 1");
    db_bind(stmt, 1, heater_id);
    if (db_step_row(db, stmt, &status)) {
        out->version = sqlite3_column_int64(stmt, 1);
        out->at = sqlite3_column_int64(stmt, 2);
        out->actor_id = sqlite3_column_int64(stmt, 3);
        out->unit = (enum coil_fuel_unit)sqlite3_column_int(stmt, 4);
        out->price_e6 = sqlite3_column_int64(stmt, 5);
        out->mj_per_unit_e6 = sqlite3_column_int64(stmt, 6);
        db_read_text(stmt, 7, out->currency, sizeof out->currency);
    }
    db_done(stmt);
    return status;
}

static enum db_status insert_tariff(struct db *db, const struct db_tariff *tariff)
{
    sqlite3_stmt *stmt = db_prepare(db, "INSERT INTO tariff_version (" TARIFF_COLUMNS
                                        ") VALUES (?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, tariff->heater_id, tariff->version + 1, tariff->at,
            tariff->actor_id, tariff->unit, tariff->price_e6, tariff->mj_per_unit_e6);
    db_bind_text(stmt, 8, tariff->currency);
    return db_run_once(db, stmt);
}

enum db_status db_tariff_put(struct db *db, struct db_tariff *tariff)
{
    struct db_scope scope;
    struct db_tariff newest;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_tariff_get(db, tariff->heater_id, &newest);
    if (status == DB_OK && newest.version != tariff->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_tariff(db, tariff);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        tariff->version++;
    return status;
}

/* ---- warm-ups ---- */

static void bind_maybe(sqlite3_stmt *stmt, int index, int64_t value)
{
    if (value != DB_NOT_KNOWN)
        db_bind(stmt, index, value); /* unbound: NULL */
}

static int64_t read_maybe(sqlite3_stmt *stmt, int column)
{
    return sqlite3_column_type(stmt, column) == SQLITE_NULL
               ? DB_NOT_KNOWN
               : sqlite3_column_int64(stmt, column);
}

static void bind_warm_up(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_warm_up *w = record;
    const bool by_meter = w->source == COIL_FUEL_BY_METER;

    db_bind(stmt, first, w->heater_id, w->water_id, w->ended_at, w->start_temp_e6,
            w->end_temp_e6, w->source, w->unit);
    bind_maybe(stmt, first + 7, by_meter ? w->meter_start_e6 : DB_NOT_KNOWN);
    bind_maybe(stmt, first + 8, by_meter ? w->meter_end_e6 : DB_NOT_KNOWN);
    bind_maybe(stmt, first + 9, w->meter_step_e6);
    bind_maybe(stmt, first + 10, w->mj_per_unit_e6);
    db_bind(stmt, first + 11, w->shared_percent_e6);
    bind_maybe(stmt, first + 12, by_meter ? DB_NOT_KNOWN : w->burner_h_e6);
    db_bind(stmt, first + 13, w->is_shared, w->probe_in_sun, w->is_condensing,
            w->cover);
    bind_maybe(stmt, first + 17, w->air_temp_e6);
    bind_maybe(stmt, first + 18, w->humidity_percent_e6);
    bind_maybe(stmt, first + 19, w->wind_e6);
    bind_maybe(stmt, first + 20, w->cloud_percent_e6);
}

static void read_warm_up(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_warm_up *w = record;

    w->heater_id = sqlite3_column_int64(stmt, first);
    w->water_id = sqlite3_column_int64(stmt, first + 1);
    w->ended_at = sqlite3_column_int64(stmt, first + 2);
    w->start_temp_e6 = sqlite3_column_int64(stmt, first + 3);
    w->end_temp_e6 = sqlite3_column_int64(stmt, first + 4);
    w->source = (enum coil_fuel_source)sqlite3_column_int(stmt, first + 5);
    w->unit = (enum coil_fuel_unit)sqlite3_column_int(stmt, first + 6);
    w->meter_start_e6 = read_maybe(stmt, first + 7);
    w->meter_end_e6 = read_maybe(stmt, first + 8);
    w->meter_step_e6 = read_maybe(stmt, first + 9);
    w->mj_per_unit_e6 = read_maybe(stmt, first + 10);
    w->shared_percent_e6 = sqlite3_column_int64(stmt, first + 11);
    w->burner_h_e6 = read_maybe(stmt, first + 12);
    w->is_shared = sqlite3_column_int(stmt, first + 13) != 0;
    w->probe_in_sun = sqlite3_column_int(stmt, first + 14) != 0;
    w->is_condensing = sqlite3_column_int(stmt, first + 15) != 0;
    w->cover = (enum db_warm_up_cover)sqlite3_column_int(stmt, first + 16);
    w->air_temp_e6 = read_maybe(stmt, first + 17);
    w->humidity_percent_e6 = read_maybe(stmt, first + 18);
    w->wind_e6 = read_maybe(stmt, first + 19);
    w->cloud_percent_e6 = read_maybe(stmt, first + 20);
}

const struct fact_table db_warm_up_table = {
    .name = "warm_up",
    .subject = "heater_id",
    .columns =
        "heater_id, water_id, ended_at, start_temp_e6, end_temp_e6, source, unit,"
        " meter_start_e6, meter_end_e6, meter_step_e6, mj_per_unit_e6,"
        " shared_percent_e6, burner_h_e6, is_shared, probe_in_sun, is_condensing,"
        " cover, air_temp_e6, humidity_percent_e6, wind_e6, cloud_percent_e6",
    .column_count = 21,
    .record_size = sizeof(struct db_warm_up),
    .bind = bind_warm_up,
    .read = read_warm_up,
};

enum db_status db_warm_up_add(struct db *db, struct db_warm_up *warm_up)
{
    return db_fact_add(db, &db_warm_up_table, warm_up);
}

enum db_status db_warm_up_get(struct db *db, int64_t id, struct db_warm_up *out)
{
    return db_fact_get(db, &db_warm_up_table, id, out);
}

enum db_status db_warm_up_list(struct db *db, const struct db_window *window,
                               struct db_warm_up *out, size_t *out_count)
{
    return db_fact_list(db, &db_warm_up_table, window, out, out_count);
}

enum db_status db_warm_up_each(struct db *db, int64_t heater_id, int64_t now,
                               bool (*take)(void *context, const void *warm_up),
                               void *context)
{
    const struct db_asof asof = {.at = now, .known_at = INT64_MAX};
    struct db_warm_up record;

    return db_fact_each(db, &db_warm_up_table, heater_id, asof, take, &record, context);
}

/* ---- new meters and thermometers ---- */

static void bind_change(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_meter_change *change = record;

    db_bind(stmt, first, change->heater_id, change->what);
}

static void read_change(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_meter_change *change = record;

    change->heater_id = sqlite3_column_int64(stmt, first);
    change->what = (enum db_meter_what)sqlite3_column_int(stmt, first + 1);
}

const struct fact_table db_meter_change_table = {
    .name = "meter_change",
    .subject = "heater_id",
    .columns = "heater_id, what",
    .column_count = 2,
    .record_size = sizeof(struct db_meter_change),
    .bind = bind_change,
    .read = read_change,
};

enum db_status db_meter_change_add(struct db *db, struct db_meter_change *change)
{
    return db_fact_add(db, &db_meter_change_table, change);
}

enum db_status db_meter_change_get(struct db *db, int64_t id,
                                   struct db_meter_change *out)
{
    return db_fact_get(db, &db_meter_change_table, id, out);
}

enum db_status db_meter_change_list(struct db *db, const struct db_window *window,
                                    struct db_meter_change *out, size_t *out_count)
{
    return db_fact_list(db, &db_meter_change_table, window, out, out_count);
}
