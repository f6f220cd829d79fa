/* Facts of one subject oldest first, in pages that fit together while others write; and
 * the instants at which facts begin to count. */
#include <string.h>

#include "db_private.h"

/* ?1 subject, ?2 until, ?3 and ?4 after, ?5 newest id, ?6 limit */
static enum db_status read_page(struct db *db, const struct fact_table *table,
                                const struct db_page *page, void *out,
                                size_t *out_count)
{
    char *record = out;
    enum db_status status;
    sqlite3_stmt *stmt = db_prepare_format(
        db,
        FACT_SELECT " WHERE f.%s = ?1 AND f.measured_at BETWEEN ?3 AND ?2"
                    " AND (f.measured_at > ?3 OR f.id > ?4) AND f.id <= ?5"
                    " AND f.withdrawn = 0 AND NOT EXISTS"
                    " (SELECT 1 FROM %s s WHERE s.supersedes = f.id AND s.id <= ?5)"
                    " ORDER BY f.measured_at, f.id LIMIT ?6",
        table->name, table->columns, table->name, table->subject, table->name);

    *out_count = 0;
    db_bind(stmt, 1, page->subject_id, page->until, page->after_at, page->after_id,
            page->newest_id, (int64_t)page->limit);
    while (db_step_row(db, stmt, &status)) {
        memset(record, 0, table->record_size);
        db_fact_read(stmt, (struct db_fact *)(void *)record);
        table->read(stmt, FACT_COLUMNS, record);
        record += table->record_size;
        (*out_count)++;
    }
    db_done(stmt);
    return status;
}

#define PAGES(kind)                                                                    \
    enum db_status db_##kind##_page(struct db *db, const struct db_page *page,         \
                                    struct db_##kind *out, size_t *out_count)          \
    {                                                                                  \
        return read_page(db, &db_##kind##_table, page, out, out_count);                \
    }                                                                                  \
    enum db_status db_##kind##_newest_id(struct db *db, int64_t *out_id)               \
    {                                                                                  \
        return db_ask_list(db, "SELECT coalesce(max(id), 0) FROM " #kind, out_id,      \
                           NULL, 0);                                                   \
    }

PAGES(reading)
PAGES(dose)
PAGES(run)
PAGES(heater_state)

/* ---- when the permit can change ---- */

static enum db_status take_earlier(struct db *db, const char *sql, int64_t subject_id,
                                   int64_t after, int64_t *earliest)
{
    int64_t at = 0;
    enum db_status status = db_ask(db, sql, &at, subject_id, after);

    if (status == DB_OK && (*earliest < 0 || at < *earliest))
        *earliest = at;
    return status == DB_NOT_FOUND ? DB_OK : status;
}

enum db_status db_permit_next_at(struct db *db, int64_t heater_id, int64_t water_id,
                                 int64_t after, int64_t *out_at)
{
#define NEXT(table, subject, at)                                                       \
    "SELECT " at " FROM " table " WHERE " subject " = ?1 AND " at " > ?2 ORDER BY " at \
    " LIMIT 1"
    static const char plan_events[] =
        "SELECT min(e.at) FROM super_plan p JOIN super_plan_event e ON e.plan_id = p.id"
        " WHERE p.water_id = ?1 AND e.at > ?2 HAVING min(e.at) IS NOT NULL";
    static const char *const of_water[] = {NEXT("reading", "water_id", "measured_at"),
                                           NEXT("dose", "water_id", "measured_at"),
                                           NEXT("run", "water_id", "measured_at"),
                                           NEXT("super_plan", "water_id", "at"),
                                           plan_events,
                                           NEXT("water_version", "water_id", "at")};
    static const char *const of_heater[] = {
        NEXT("heater_state", "heater_id", "measured_at"),
        NEXT("flue_test", "heater_id", "measured_at"),
        NEXT("symptom", "heater_id", "measured_at"),
        NEXT("care_visit", "heater_id", "measured_at"),
        NEXT("line_version", "heater_id", "at"),
        NEXT("heater_version", "heater_id", "at")};
#undef NEXT
    int64_t earliest = -1;
    enum db_status status = DB_OK;

    for (size_t i = 0; i < sizeof of_water / sizeof of_water[0] && status == DB_OK; i++)
        status = take_earlier(db, of_water[i], water_id, after, &earliest);
    for (size_t i = 0; i < sizeof of_heater / sizeof of_heater[0] && status == DB_OK;
         i++)
        status = take_earlier(db, of_heater[i], heater_id, after, &earliest);
    if (status == DB_OK && earliest < 0)
        status = DB_NOT_FOUND;
    if (status == DB_OK)
        *out_at = earliest;
    return status;
}
