/* Care tasks and seasons: every change is a new version. And what tasks depend on. */
#include "db_care.h"

#include <string.h>

#include "db_private.h"

/* ---- tasks ---- */

#define TASK_COLUMNS                                                                   \
    "version, at, actor_id, name, timing, rrule, start_day, lead_days,"                \
    " every_burner_h_e6, event, after_days, soon_days, waits_for_season, moved_day,"   \
    " ended"

static enum db_status insert_task(struct db *db, const struct db_care_task *task,
                                  int64_t version)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "INSERT INTO care_task_version (task_id, " TASK_COLUMNS ") VALUES"
            " (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, task->id, version, task->at, task->actor_id);
    db_bind_text(stmt, 5, task->name);
    db_bind(stmt, 6, task->timing);
    db_bind_text(stmt, 7, task->rrule);
    db_bind(stmt, 8, task->start_day, task->lead_days, task->every_burner_h_e6,
            task->event, task->after_days, task->soon_days, task->waits_for_season);
    if (task->is_moved)
        db_bind(stmt, 15, task->moved_day); /* unbound: NULL */
    db_bind(stmt, 16, task->ended);
    return db_run_once(db, stmt);
}

/* A random name of the form of RFC 4122, version 4. */
static enum db_status insert_head(struct db *db, const struct db_care_task *task)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "INSERT INTO care_task (heater_id, is_cleaning, uid) VALUES (?1, ?2,"
            " lower(hex(randomblob(4)) || '-' || hex(randomblob(2)) || '-4' ||"
            " substr(hex(randomblob(2)), 2) || '-a' || substr(hex(randomblob(2)), 2) ||"
            " '-' || hex(randomblob(6))))");

    db_bind(stmt, 1, task->heater_id, task->is_cleaning);
    return db_run_once(db, stmt);
}

enum db_status db_care_task_add(struct db *db, struct db_care_task *task)
{
    struct db_scope scope;
    struct db_care_task made = *task;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = insert_head(db, &made);
    made.id = sqlite3_last_insert_rowid(db->handle);
    if (status == DB_OK)
        status = insert_task(db, &made, 1);
    if (status == DB_OK)
        status = db_care_task_get(db, made.id, &made);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        *task = made;
    return status;
}

enum db_status db_care_cleaning_add(struct db *db, int64_t heater_id, int64_t at,
                                    int64_t actor_id)
{
    struct db_care_task task = {.heater_id = heater_id,
                                .at = at,
                                .actor_id = actor_id,
                                .is_cleaning = true,
                                .name = DB_CLEANING_NAME,
                                .timing = DB_BEFORE_SEASON,
                                .start_day = (int32_t)(at / 86400),
                                .lead_days = DB_CLEANING_LEAD_DAYS,
                                .soon_days = 30};

    return db_care_task_add(db, &task);
}

enum db_status db_care_task_put(struct db *db, struct db_care_task *task)
{
    struct db_scope scope;
    struct db_care_task newest;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_care_task_get(db, task->id, &newest);
    if (status == DB_OK && newest.version != task->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_task(db, task, task->version + 1);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        task->version++;
    return status;
}

#define TASK_SELECT                                                                    \
    "SELECT t.id, t.heater_id, t.is_cleaning, t.uid, " TASK_COLUMNS                     \
    " FROM care_task t JOIN care_task_version v ON v.task_id = t.id AND v.version ="   \
    " (SELECT max(n.version) FROM care_task_version n WHERE n.task_id = t.id)"

static void read_task(sqlite3_stmt *stmt, struct db_care_task *out)
{
    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(stmt, 0);
    out->heater_id = sqlite3_column_int64(stmt, 1);
    out->is_cleaning = sqlite3_column_int(stmt, 2) != 0;
    db_read_text(stmt, 3, out->uid, sizeof out->uid);
    out->version = sqlite3_column_int64(stmt, 4);
    out->at = sqlite3_column_int64(stmt, 5);
    out->actor_id = sqlite3_column_int64(stmt, 6);
    db_read_text(stmt, 7, out->name, sizeof out->name);
    out->timing = (enum db_timing)sqlite3_column_int(stmt, 8);
    db_read_text(stmt, 9, out->rrule, sizeof out->rrule);
    out->start_day = sqlite3_column_int(stmt, 10);
    out->lead_days = sqlite3_column_int(stmt, 11);
    out->every_burner_h_e6 = sqlite3_column_int64(stmt, 12);
    out->event = (enum db_care_event)sqlite3_column_int(stmt, 13);
    out->after_days = sqlite3_column_int(stmt, 14);
    out->soon_days = sqlite3_column_int(stmt, 15);
    out->waits_for_season = sqlite3_column_int(stmt, 16) != 0;
    out->is_moved = sqlite3_column_type(stmt, 17) != SQLITE_NULL;
    out->moved_day = sqlite3_column_int(stmt, 17);
    out->ended = sqlite3_column_int(stmt, 18) != 0;
}

enum db_status db_care_task_get(struct db *db, int64_t id, struct db_care_task *out)
{
    sqlite3_stmt *stmt = db_prepare(db, TASK_SELECT " WHERE t.id = ?1");
    enum db_status status;

    db_bind(stmt, 1, id);
    if (db_step_row(db, stmt, &status))
        read_task(stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

enum db_status db_care_task_list(struct db *db, int64_t heater_id,
                                 struct db_care_task *out, size_t max,
                                 size_t *out_count)
{
    sqlite3_stmt *stmt = db_prepare(db, TASK_SELECT
                                    " WHERE ?1 = 0 OR t.heater_id = ?1"
                                    " ORDER BY t.id LIMIT ?2");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, heater_id, (int64_t)max);
    while (db_step_row(db, stmt, &status))
        read_task(stmt, &out[(*out_count)++]);
    db_done(stmt);
    return status;
}

/* ---- seasons ---- */

enum db_status db_season_get(struct db *db, int64_t water_id, struct db_season *out)
{
    struct db_water water;
    enum db_status status = db_water_get(db, water_id, &water);
    struct coil_season *season = &out->season;
    sqlite3_stmt *stmt;

    if (status != DB_OK)
        return status;
    memset(out, 0, sizeof *out);
    out->water_id = water_id;
    stmt = db_prepare(db, "SELECT version, at, actor_id, open_month, open_day,"
                          " close_month, close_day FROM season_version"
                          " WHERE water_id = ?1 ORDER BY version DESC LIMIT 1");
    db_bind(stmt, 1, water_id);
    if (db_step_row(db, stmt, &status)) {
        out->version = sqlite3_column_int64(stmt, 0);
        out->at = sqlite3_column_int64(stmt, 1);
        out->actor_id = sqlite3_column_int64(stmt, 2);
        season->open_month = sqlite3_column_int(stmt, 3);
        season->open_day = sqlite3_column_int(stmt, 4);
        season->close_month = sqlite3_column_int(stmt, 5);
        season->close_day = sqlite3_column_int(stmt, 6);
        season->is_year_round = season->open_month == 0;
    }
    db_done(stmt);
    return status;
}

static enum db_status insert_season(struct db *db, const struct db_season *season)
{
    const struct coil_season *s = &season->season;
    bool all_year = s->is_year_round;
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO season_version (water_id, version, at, actor_id,"
                       " open_month, open_day, close_month, close_day) VALUES"
                       " (?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, season->water_id, season->version + 1, season->at,
            season->actor_id, all_year ? 0 : s->open_month, all_year ? 0 : s->open_day,
            all_year ? 0 : s->close_month, all_year ? 0 : s->close_day);
    return db_run_once(db, stmt);
}

enum db_status db_season_put(struct db *db, struct db_season *season)
{
    struct db_scope scope;
    struct db_season newest;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_season_get(db, season->water_id, &newest);
    if (status == DB_OK && newest.version != season->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_season(db, season);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        season->version++;
    return status;
}

/* ---- what tasks depend on ---- */

enum db_status db_burner_seconds(struct db *db, int64_t heater_id, int64_t from,
                                 int64_t until, int64_t *out_seconds)
{
    return db_ask(db,
                  "SELECT coalesce(sum(min(r.ended_at, ?3) - max(r.measured_at, ?2)), 0)"
                  " FROM run r WHERE r.heater_id = ?1 AND r.machine = 1"
                  " AND r.measured_at < ?3 AND r.ended_at > ?2 AND r.withdrawn = 0"
                  " AND NOT EXISTS (SELECT 1 FROM run s WHERE s.supersedes = r.id)",
                  out_seconds, heater_id, from, until);
}

enum db_status db_super_chlorinated_at(struct db *db, int64_t heater_id, int64_t until,
                                       int64_t *out_at)
{
#define SERVED                                                                         \
    " IN (SELECT water_id FROM heater_water WHERE heater_id = ?1 AND version ="        \
    " (SELECT max(version) FROM heater_version WHERE heater_id = ?1))"
    return db_ask(
        db,
        "SELECT max(coalesce((SELECT max(e.at) FROM super_plan p JOIN super_plan_event"
        " e ON e.plan_id = p.id WHERE p.water_id" SERVED " AND e.state = 4"
        " AND e.at <= ?2), 0), coalesce((SELECT max(d.measured_at) FROM dose d"
        " WHERE d.water_id" SERVED " AND d.super_chlorination = 1 AND d.withdrawn = 0"
        " AND d.measured_at <= ?2 AND NOT EXISTS"
        " (SELECT 1 FROM dose s WHERE s.supersedes = d.id)), 0))",
        out_at, heater_id, until);
#undef SERVED
}
