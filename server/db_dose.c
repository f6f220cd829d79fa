/* Products put into a water. */
#include "db_private.h"

static void bind_dose(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_dose *dose = record;

    db_bind(stmt, first, dose->water_id, dose->product, dose->amount_e6,
            dose->strength_e6, dose->entry, dose->super_chlorination);
}

static void read_dose(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_dose *dose = record;

    dose->water_id = sqlite3_column_int64(stmt, first);
    dose->product = (enum coil_product)sqlite3_column_int(stmt, first + 1);
    dose->amount_e6 = sqlite3_column_int64(stmt, first + 2);
    dose->strength_e6 = sqlite3_column_int64(stmt, first + 3);
    dose->entry = (enum db_entry)sqlite3_column_int(stmt, first + 4);
    dose->super_chlorination = sqlite3_column_int(stmt, first + 5) != 0;
}

const struct fact_table db_dose_table = {
    .name = "dose",
    .subject = "water_id",
    .columns = "water_id, product, amount_e6, strength_e6, entry, super_chlorination",
    .column_count = 6,
    .record_size = sizeof(struct db_dose),
    .bind = bind_dose,
    .read = read_dose,
};

enum db_status db_dose_add(struct db *db, struct db_dose *dose)
{
    return db_fact_add(db, &db_dose_table, dose);
}

enum db_status db_dose_get(struct db *db, int64_t id, struct db_dose *out)
{
    return db_fact_get(db, &db_dose_table, id, out);
}

enum db_status db_dose_list(struct db *db, const struct db_window *window,
                            struct db_dose *out, size_t *out_count)
{
    return db_fact_list(db, &db_dose_table, window, out, out_count);
}
