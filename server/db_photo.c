/* Photos of visits, flue tests, symptoms and heaters. */
#include "db_photo.h"

#include "db_private.h"

static void bind_photo(sqlite3_stmt *stmt, int first, const void *record)
{
    const struct db_photo *photo = record;

    db_bind(stmt, first, photo->heater_id, photo->of_kind, photo->of_id, photo->is_png);
    db_bind_text(stmt, first + 4, photo->hash);
    db_bind(stmt, first + 5, photo->width, photo->height, photo->byte_count);
}

static void read_photo(sqlite3_stmt *stmt, int first, void *record)
{
    struct db_photo *photo = record;

    photo->heater_id = sqlite3_column_int64(stmt, first);
    photo->of_kind = (enum db_photo_of)sqlite3_column_int(stmt, first + 1);
    photo->of_id = sqlite3_column_int64(stmt, first + 2);
    photo->is_png = sqlite3_column_int(stmt, first + 3) != 0;
    db_read_text(stmt, first + 4, photo->hash, sizeof photo->hash);
    photo->width = sqlite3_column_int64(stmt, first + 5);
    photo->height = sqlite3_column_int64(stmt, first + 6);
    photo->byte_count = sqlite3_column_int64(stmt, first + 7);
}

static const struct fact_table photo_table = {
    .name = "photo",
    .subject = "heater_id",
    .columns = "heater_id, of_kind, of_id, format, hash, width, height, byte_count",
    .column_count = 8,
    .record_size = sizeof(struct db_photo),
    .bind = bind_photo,
    .read = read_photo,
};

enum db_status db_photo_add(struct db *db, struct db_photo *photo)
{
    return db_fact_add(db, &photo_table, photo);
}

enum db_status db_photo_get(struct db *db, int64_t id, struct db_photo *out)
{
    return db_fact_get(db, &photo_table, id, out);
}

enum db_status db_photo_list(struct db *db, const struct db_window *window,
                             struct db_photo *out, size_t *out_count)
{
    return db_fact_list(db, &photo_table, window, out, out_count);
}
