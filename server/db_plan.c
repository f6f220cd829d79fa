/* Super-chlorinations: a start and the events since; nothing is overwritten. */
#include <stdlib.h>
#include <string.h>

#include "db_private.h"

static enum db_status insert_event(struct db *db, int64_t plan_id, int64_t version,
                                   const struct db_plan_event *event)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO super_plan_event (plan_id, version, at, actor_id,"
                       " state, step, note) VALUES (?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, plan_id, version, event->at, event->actor_id, event->state);
    db_bind_text(stmt, 6, event->step);
    db_bind_text(stmt, 7, event->note);
    return db_run_once(db, stmt);
}

enum db_status db_plan_add(struct db *db, struct db_plan *plan, const char *proposal)
{
    const struct db_plan_event start = {.at = plan->at, .actor_id = plan->actor_id,
                                        .state = DB_PLAN_PLANNED};
    struct db_scope scope;
    int64_t running = 0;
    sqlite3_stmt *stmt;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_plan_running(db, plan->water_id, INT64_MAX, &running, NULL);
    if (status == DB_OK)
        return db_scope_end(&scope, DB_CONFLICT);
    stmt = db_prepare(db, "INSERT INTO super_plan (heater_id, water_id, at, actor_id,"
                          " proposal) VALUES (?, ?, ?, ?, ?)");
    db_bind(stmt, 1, plan->heater_id, plan->water_id, plan->at, plan->actor_id);
    db_bind_text(stmt, 5, proposal);
    status = status == DB_NOT_FOUND ? db_run_once(db, stmt) : status;
    plan->id = sqlite3_last_insert_rowid(db->handle);
    if (status == DB_OK)
        status = insert_event(db, plan->id, 1, &start);
    plan->state = DB_PLAN_PLANNED;
    plan->version = 1;
    return db_scope_end(&scope, status);
}

static void read_event(sqlite3_stmt *stmt, struct db_plan_event *out)
{
    memset(out, 0, sizeof *out);
    out->at = sqlite3_column_int64(stmt, 0);
    out->state = (enum db_plan_state)sqlite3_column_int(stmt, 1);
    db_read_text(stmt, 2, out->step, sizeof out->step);
    db_read_text(stmt, 3, out->note, sizeof out->note);
    db_read_text(stmt, 4, out->actor, sizeof out->actor);
}

static enum db_status read_events(struct db *db, struct db_plan *plan)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT e.at, e.state, e.step, e.note, a.name"
                       " FROM super_plan_event e JOIN actor a ON a.id = e.actor_id"
                       " WHERE e.plan_id = ?1 ORDER BY e.version");
    enum db_status status;

    plan->event_count = 0;
    db_bind(stmt, 1, plan->id);
    while (plan->event_count < DB_PLAN_EVENTS_MAX && db_step_row(db, stmt, &status))
        read_event(stmt, &plan->events[plan->event_count++]);
    db_done(stmt);
    plan->version = (int64_t)plan->event_count;
    if (plan->event_count > 0)
        plan->state = plan->events[plan->event_count - 1].state;
    return plan->event_count == 0 ? DB_NOT_FOUND : DB_OK;
}

enum db_status db_plan_get(struct db *db, int64_t id, struct db_plan *out,
                           char **out_proposal)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT p.heater_id, p.water_id, p.at, p.actor_id, a.name,"
                       " p.proposal FROM super_plan p JOIN actor a ON a.id = p.actor_id"
                       " WHERE p.id = ?1");
    enum db_status status;

    memset(out, 0, sizeof *out);
    db_bind(stmt, 1, id);
    if (!db_step_row(db, stmt, &status)) {
        db_done(stmt);
        return status == DB_OK ? DB_NOT_FOUND : status;
    }
    out->id = id;
    out->heater_id = sqlite3_column_int64(stmt, 0);
    out->water_id = sqlite3_column_int64(stmt, 1);
    out->at = sqlite3_column_int64(stmt, 2);
    out->actor_id = sqlite3_column_int64(stmt, 3);
    db_read_text(stmt, 4, out->actor, sizeof out->actor);
    if (out_proposal != NULL) {
        *out_proposal = strdup((const char *)sqlite3_column_text(stmt, 5));
        status = *out_proposal == NULL ? DB_FAILED : DB_OK;
    }
    db_done(stmt);
    if (status != DB_OK)
        return status;
    status = read_events(db, out);
    if (status != DB_OK && out_proposal != NULL) {
        free(*out_proposal);
        *out_proposal = NULL;
    }
    return status;
}

enum db_status db_plan_event_add(struct db *db, int64_t id, int64_t version,
                                 const struct db_plan_event *event)
{
    struct db_scope scope;
    int64_t newest = 0;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_ask(db, "SELECT max(version) FROM super_plan_event WHERE plan_id = ?1",
                    &newest, id);
    if (status == DB_OK && newest == 0)
        status = DB_NOT_FOUND;
    if (status == DB_OK && (newest != version || newest >= DB_PLAN_EVENTS_MAX))
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_event(db, id, version + 1, event);
    return db_scope_end(&scope, status);
}

/* The newest plan of a water that was begun by then, if it had not ended by then. */
enum db_status db_plan_running(struct db *db, int64_t water_id, int64_t as_of,
                               int64_t *out_id, int64_t *out_at)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "SELECT p.id, p.at, (SELECT e.state FROM super_plan_event e WHERE"
            " e.plan_id = p.id AND e.at <= ?2 ORDER BY e.version DESC LIMIT 1)"
            " FROM super_plan p WHERE p.water_id = ?1 AND p.at <= ?2"
            " ORDER BY p.at DESC, p.id DESC LIMIT 1");
    enum db_status status;
    bool is_running = false;

    db_bind(stmt, 1, water_id, as_of);
    if (db_step_row(db, stmt, &status)) {
        is_running = sqlite3_column_type(stmt, 2) == SQLITE_NULL ||
                     sqlite3_column_int(stmt, 2) < DB_PLAN_CONFIRMED_BACK;
        *out_id = sqlite3_column_int64(stmt, 0);
        if (out_at != NULL)
            *out_at = sqlite3_column_int64(stmt, 1);
    }
    db_done(stmt);
    return status == DB_OK && !is_running ? DB_NOT_FOUND : status;
}

enum db_status db_plan_list(struct db *db, int64_t water_id, int64_t from,
                            int64_t until, int64_t *out_ids, size_t max,
                            size_t *out_count)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "SELECT p.id FROM super_plan p WHERE p.water_id = ?1 AND p.at <= ?3 AND"
            " (SELECT max(e.at) FROM super_plan_event e WHERE e.plan_id = p.id) >= ?2"
            " ORDER BY p.at DESC, p.id DESC LIMIT ?4");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, water_id, from, until, (int64_t)max);
    while (db_step_row(db, stmt, &status))
        out_ids[(*out_count)++] = sqlite3_column_int64(stmt, 0);
    db_done(stmt);
    return status;
}
