/* Who logged how much of what. */
#include "db_care.h"
#include "db_private.h"

#define LOGGED(what, table, subject)                                                   \
    "SELECT a.name, '" what "', count(*) FROM " table                                  \
    " f JOIN actor a ON a.id = f.actor_id WHERE f." subject                            \
    " AND f.measured_at BETWEEN max(?3, 1) AND ?4 GROUP BY a.name"

enum db_status db_logged_by(struct db *db, int64_t heater_id, int64_t water_id,
                            int64_t from, int64_t until, struct db_logged *out,
                            size_t max, size_t *out_count)
{
    sqlite3_stmt *stmt = db_prepare(
        db, LOGGED("readings", "reading", "water_id = ?2") " UNION ALL " LOGGED(
                "doses", "dose",
                "water_id = ?2") " UNION ALL " LOGGED("runs", "run",
                                                      "water_id = ?2") " UNION ALL "
                LOGGED("heater_states", "heater_state", "heater_id = ?1") " UNION ALL "
                LOGGED("visits", "care_visit", "heater_id = ?1") " UNION ALL "
                LOGGED("flue_tests", "flue_test", "heater_id = ?1") " UNION ALL "
                LOGGED("symptoms", "symptom", "heater_id = ?1") " ORDER BY 1, 2 LIMIT ?5");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, heater_id, water_id, from, until, (int64_t)max);
    while (db_step_row(db, stmt, &status)) {
        struct db_logged *one = &out[(*out_count)++];

        db_read_text(stmt, 0, one->name, sizeof one->name);
        db_read_text(stmt, 1, one->what, sizeof one->what);
        one->count = sqlite3_column_int64(stmt, 2);
    }
    db_done(stmt);
    return status;
}
