/* Visits: when somebody cared for a heater, or the turn was skipped. */
#include "db_care.h"
#include "db_private.h"

static void bind_visit(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_care_visit *visit = record;

    db_bind(stmt, first, visit->heater_id);
    db_bind_id(stmt, first + 1, visit->task_id);
    db_bind(stmt, first + 2, visit->kind, visit->skipped, visit->technician);
    db_bind_text(stmt, first + 5, visit->done_by);
    db_bind_text(stmt, first + 6, visit->findings);
    if (visit->has_cost)
        db_bind(stmt, first + 7, visit->cost_e6);
    db_bind_text(stmt, first + 8, visit->currency);
    if (visit->has_next_day)
        db_bind(stmt, first + 9, visit->next_day);
    db_bind_text(stmt, first + 10, visit->checklist);
    if (visit->has_may_run)
        db_bind(stmt, first + 11, visit->may_run);
}

static void read_visit(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_care_visit *visit = record;

    visit->heater_id = sqlite3_column_int64(stmt, first);
    visit->task_id = sqlite3_column_int64(stmt, first + 1); /* NULL reads as 0 */
    visit->kind = (enum db_visit_kind)sqlite3_column_int(stmt, first + 2);
    visit->skipped = sqlite3_column_int(stmt, first + 3) != 0;
    visit->technician = sqlite3_column_int(stmt, first + 4) != 0;
    db_read_text(stmt, first + 5, visit->done_by, sizeof visit->done_by);
    db_read_text(stmt, first + 6, visit->findings, sizeof visit->findings);
    visit->has_cost = sqlite3_column_type(stmt, first + 7) != SQLITE_NULL;
    visit->cost_e6 = sqlite3_column_int64(stmt, first + 7);
    db_read_text(stmt, first + 8, visit->currency, sizeof visit->currency);
    visit->has_next_day = sqlite3_column_type(stmt, first + 9) != SQLITE_NULL;
    visit->next_day = sqlite3_column_int(stmt, first + 9);
    db_read_text(stmt, first + 10, visit->checklist, sizeof visit->checklist);
    visit->has_may_run = sqlite3_column_type(stmt, first + 11) != SQLITE_NULL;
    visit->may_run = sqlite3_column_int(stmt, first + 11) != 0;
}

const struct fact_table db_care_visit_table = {
    .name = "care_visit",
    .subject = "heater_id",
    .columns = "heater_id, task_id, kind, outcome, technician, done_by, findings,"
               " cost_e6, currency, next_day, checklist, may_run",
    .column_count = 12,
    .record_size = sizeof(struct db_care_visit),
    .bind = bind_visit,
    .read = read_visit,
};

enum db_status db_care_visit_add(struct db *db, struct db_care_visit *visit)
{
    return db_fact_add(db, &db_care_visit_table, visit);
}

enum db_status db_care_visit_get(struct db *db, int64_t id, struct db_care_visit *out)
{
    return db_fact_get(db, &db_care_visit_table, id, out);
}

enum db_status db_care_visit_list(struct db *db, const struct db_window *window,
                                  struct db_care_visit *out, size_t *out_count)
{
    return db_fact_list(db, &db_care_visit_table, window, out, out_count);
}

enum db_status db_care_visit_last(struct db *db, int64_t task_id,
                                  struct db_care_visit *out)
{
    int64_t id = 0;
    enum db_status status =
        db_ask(db,
               "SELECT f.id FROM care_visit f WHERE f.task_id = ?1 AND f.withdrawn = 0"
               " AND NOT EXISTS (SELECT 1 FROM care_visit s WHERE s.supersedes = f.id)"
               " ORDER BY f.measured_at DESC, f.id DESC LIMIT 1",
               &id, task_id);

    return status == DB_OK ? db_care_visit_get(db, id, out) : status;
}

enum db_status db_care_visit_changes(struct db *db, int64_t task_id, int64_t *out_count)
{
    return db_ask(db, "SELECT count(*) FROM care_visit WHERE task_id = ?1", out_count,
                  task_id);
}

enum db_status db_care_visit_may_run(struct db *db, int64_t heater_id, int64_t at,
                                     int64_t known_at, int64_t *out_at,
                                     bool *out_may_run)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "SELECT f.measured_at, f.may_run FROM care_visit f WHERE f.heater_id = ?1"
            " AND f.measured_at <= ?2 AND f.recorded_at <= ?3 AND f.may_run IS NOT NULL"
            " AND f.withdrawn = 0 AND NOT EXISTS (SELECT 1 FROM care_visit s"
            " WHERE s.supersedes = f.id AND s.recorded_at <= ?3)"
            " ORDER BY f.measured_at DESC, f.id DESC LIMIT 1");
    enum db_status status;

    db_bind(stmt, 1, heater_id, at, known_at);
    if (db_step_row(db, stmt, &status)) {
        *out_at = sqlite3_column_int64(stmt, 0);
        *out_may_run = sqlite3_column_int(stmt, 1) != 0;
    } else if (status == DB_OK) {
        status = DB_NOT_FOUND;
    }
    db_done(stmt);
    return status;
}
