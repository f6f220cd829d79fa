/* The store's part for photos: what they show; the pictures lie in photo_store.h's files.
 * Same rules as db.h. */
#ifndef DB_PHOTO_H
#define DB_PHOTO_H

#include "db.h"

enum db_photo_of { DB_PHOTO_VISIT, DB_PHOTO_FLUE_TEST, DB_PHOTO_SYMPTOM, DB_PHOTO_HEATER };

#define DB_PHOTO_HASH_SIZE 65

struct db_photo {
    struct db_fact fact; /* at = when it was sent */
    int64_t heater_id;
    enum db_photo_of of_kind;
    int64_t of_id;
    bool is_png; /* else JPEG */
    char hash[DB_PHOTO_HASH_SIZE];
    int64_t width, height; /* pixels */
    int64_t byte_count;
};

enum db_status db_photo_add(struct db *db, struct db_photo *photo);
enum db_status db_photo_get(struct db *db, int64_t id, struct db_photo *out);
enum db_status db_photo_list(struct db *db, const struct db_window *window,
                             struct db_photo *out, size_t *out_count);

#endif
