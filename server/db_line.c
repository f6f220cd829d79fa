/* The line of a heater: every change is a new version, old ones stay. */
#include <stdlib.h>
#include <string.h>

#include "db_private.h"

/* As read_stops takes them. */
#define STOPS "water_stops, water_first, burner_stops, burner_first, risks, first_risk"

static void read_stops(sqlite3_stmt *stmt, int first,
                       struct coil_line_stops out[COIL_SIDE_COUNT],
                       struct coil_line_stops *out_risks)
{
    out[COIL_WATER_SIDE].count = sqlite3_column_int(stmt, first);
    out[COIL_WATER_SIDE].first = sqlite3_column_int(stmt, first + 1);
    out[COIL_BURNER_SIDE].count = sqlite3_column_int(stmt, first + 2);
    out[COIL_BURNER_SIDE].first = sqlite3_column_int(stmt, first + 3);
    out_risks->count = sqlite3_column_int(stmt, first + 4);
    out_risks->first = sqlite3_column_int(stmt, first + 5);
}

static enum db_status read_line(sqlite3_stmt *stmt, struct db_line *out)
{
    const char *document = (const char *)sqlite3_column_text(stmt, 3);

    out->document = document != NULL ? strdup(document) : NULL;
    if (out->document == NULL)
        return DB_FAILED;
    out->version = sqlite3_column_int64(stmt, 0);
    out->at = sqlite3_column_int64(stmt, 1);
    out->actor_id = sqlite3_column_int64(stmt, 2);
    read_stops(stmt, 4, out->stops, &out->risks);
    return DB_OK;
}

enum db_status db_line_get(struct db *db, int64_t heater_id, struct db_line *out)
{
    sqlite3_stmt *stmt = db_prepare(db, "SELECT version, at, actor_id, document, " STOPS
                                        " FROM line_version WHERE heater_id = ?1"
                                        " ORDER BY version DESC LIMIT 1");
    enum db_status status;

    memset(out, 0, sizeof *out);
    out->heater_id = heater_id;
    db_bind(stmt, 1, heater_id);
    if (db_step_row(db, stmt, &status))
        status = read_line(stmt, out);
    db_done(stmt);
    return status;
}

static enum db_status newest_version(struct db *db, int64_t heater_id,
                                     int64_t *out_version)
{
    return db_ask(db,
                  "SELECT coalesce(max(version), 0) FROM line_version"
                  " WHERE heater_id = ?1",
                  out_version, heater_id);
}

static enum db_status insert_line(struct db *db, const struct db_line *line)
{
    sqlite3_stmt *stmt = db_prepare(
        db,
        "INSERT INTO line_version (heater_id, version, at, actor_id, document, " STOPS
        ") VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, line->heater_id, line->version + 1, line->at, line->actor_id);
    db_bind_text(stmt, 5, line->document);
    db_bind(stmt, 6, line->stops[COIL_WATER_SIDE].count,
            line->stops[COIL_WATER_SIDE].first, line->stops[COIL_BURNER_SIDE].count,
            line->stops[COIL_BURNER_SIDE].first, line->risks.count, line->risks.first);
    return db_run_once(db, stmt);
}

enum db_status db_line_put(struct db *db, struct db_line *line)
{
    struct db_scope scope;
    int64_t newest = 0;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = newest_version(db, line->heater_id, &newest);
    if (status == DB_OK && newest != line->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_line(db, line);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        line->version++;
    return status;
}

/* The newest come first from the store. */
static void turn_round(struct db_line *lines, size_t count)
{
    for (size_t i = 0; i < count / 2; i++) {
        struct db_line other = lines[i];

        lines[i] = lines[count - 1 - i];
        lines[count - 1 - i] = other;
    }
}

enum db_status db_line_list(struct db *db, int64_t heater_id, int64_t from,
                            int64_t until, struct db_line *out, size_t max,
                            size_t *out_count)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT version, at, actor_id, document, " STOPS
                       " FROM line_version v WHERE heater_id = ?1"
                       " AND at < ?3 AND NOT EXISTS (SELECT 1 FROM line_version n"
                       " WHERE n.heater_id = ?1 AND n.version = v.version + 1"
                       " AND n.at <= max(?2, v.at)) ORDER BY version DESC LIMIT ?4");
    enum db_status status;
    size_t count = 0;

    db_bind(stmt, 1, heater_id, from, until, (int64_t)max);
    while (count < max && db_step_row(db, stmt, &status)) {
        memset(&out[count], 0, sizeof out[count]);
        out[count].heater_id = heater_id;
        status = read_line(stmt, &out[count]);
        if (status != DB_OK)
            break;
        count++;
    }
    db_done(stmt);
    for (size_t i = 0; status != DB_OK && i < count; i++)
        free(out[i].document);
    *out_count = status == DB_OK ? count : 0;
    turn_round(out, *out_count);
    return status;
}

enum db_status db_line_stops_at(struct db *db, int64_t heater_id, int64_t at,
                                struct coil_line_stops out_stops[COIL_SIDE_COUNT],
                                struct coil_line_stops *out_risks)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "SELECT " STOPS " FROM line_version WHERE heater_id = ?1 AND at <= ?2"
            " ORDER BY version DESC LIMIT 1");
    enum db_status status;

    memset(out_stops, 0, COIL_SIDE_COUNT * sizeof *out_stops);
    memset(out_risks, 0, sizeof *out_risks);
    db_bind(stmt, 1, heater_id, at);
    if (db_step_row(db, stmt, &status))
        read_stops(stmt, 0, out_stops, out_risks);
    db_done(stmt);
    return status;
}
