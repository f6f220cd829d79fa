/* The site and its waters: every change is a new version, old ones stay. */
#include <string.h>

#include "db_private.h"

/* ---- who ---- */

enum db_status db_actor(struct db *db, const char *name, int64_t *out_actor_id)
{
    struct db_scope scope;
    sqlite3_stmt *stmt;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    stmt = db_prepare(db, "SELECT id FROM actor WHERE name = ?1");
    db_bind_text(stmt, 1, name);
    if (db_step_row(db, stmt, &status)) {
        *out_actor_id = sqlite3_column_int64(stmt, 0);
        db_done(stmt);
        return db_scope_end(&scope, DB_OK);
    }
    db_done(stmt);
    stmt = db_prepare(db, "INSERT INTO actor (name) VALUES (?1)");
    db_bind_text(stmt, 1, name);
    if (status == DB_OK)
        status = db_run_once(db, stmt);
    if (status == DB_OK)
        *out_actor_id = sqlite3_last_insert_rowid(db->handle);
    return db_scope_end(&scope, status);
}

/* ---- site ---- */

enum db_status db_site_get(struct db *db, struct db_site *out)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT version, at, actor_id, name, latitude_e6, longitude_e6,"
                       " zone, us_units, ppm, decimal_comma FROM site_version"
                       " ORDER BY version DESC LIMIT 1");
    enum db_status status;

    memset(out, 0, sizeof *out);
    if (db_step_row(db, stmt, &status)) {
        out->version = sqlite3_column_int64(stmt, 0);
        out->at = sqlite3_column_int64(stmt, 1);
        out->actor_id = sqlite3_column_int64(stmt, 2);
        db_read_text(stmt, 3, out->name, sizeof out->name);
        out->has_place = sqlite3_column_type(stmt, 4) != SQLITE_NULL;
        out->latitude_e6 = sqlite3_column_int64(stmt, 4);
        out->longitude_e6 = sqlite3_column_int64(stmt, 5);
        db_read_text(stmt, 6, out->zone, sizeof out->zone);
        out->us_units = sqlite3_column_int(stmt, 7) != 0;
        out->ppm = sqlite3_column_int(stmt, 8) != 0;
        out->decimal_comma = sqlite3_column_int(stmt, 9) != 0;
    }
    db_done(stmt);
    return status;
}

static enum db_status insert_site(struct db *db, const struct db_site *site)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO site_version (version, at, actor_id, name,"
                       " latitude_e6, longitude_e6, zone, us_units, ppm, decimal_comma)"
                       " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, site->version + 1, site->at, site->actor_id);
    db_bind_text(stmt, 4, site->name);
    if (site->has_place)
        db_bind(stmt, 5, site->latitude_e6, site->longitude_e6);
    db_bind_text(stmt, 7, site->zone);
    db_bind(stmt, 8, site->us_units, site->ppm, site->decimal_comma);
    return db_run_once(db, stmt);
}

enum db_status db_site_put(struct db *db, struct db_site *site)
{
    struct db_scope scope;
    struct db_site newest;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_site_get(db, &newest);
    if (status == DB_OK && newest.version != site->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_site(db, site);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        site->version++;
    return status;
}

/* ---- waters ---- */

#define WATER_COLUMNS                                                                  \
    "water_id, version, at, actor_id, name, is_spa, indoor, winter_closed,"            \
    " no_cyanuric_acid, sanitiser, lining, cover, fill, volume_m3_e6, surface_m2_e6,"  \
    " depth_m_e6, shade_percent, cloud_percent, cover_use"

static void read_water(sqlite3_stmt *stmt, struct db_water *out)
{
    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(stmt, 0);
    out->version = sqlite3_column_int64(stmt, 1);
    out->at = sqlite3_column_int64(stmt, 2);
    out->actor_id = sqlite3_column_int64(stmt, 3);
    db_read_text(stmt, 4, out->name, sizeof out->name);
    out->is_spa = sqlite3_column_int(stmt, 5) != 0;
    out->indoor = sqlite3_column_int(stmt, 6) != 0;
    out->winter_closed = sqlite3_column_int(stmt, 7) != 0;
    out->no_cyanuric_acid = sqlite3_column_int(stmt, 8) != 0;
    out->sanitiser = (enum coil_sanitiser)sqlite3_column_int(stmt, 9);
    out->lining = (enum db_lining)sqlite3_column_int(stmt, 10);
    out->cover = (enum db_cover)sqlite3_column_int(stmt, 11);
    out->fill = (enum db_fill)sqlite3_column_int(stmt, 12);
    out->volume_m3_e6 = sqlite3_column_int64(stmt, 13);
    out->surface_m2_e6 = sqlite3_column_int64(stmt, 14);
    out->depth_m_e6 = sqlite3_column_int64(stmt, 15);
    out->shade_percent = sqlite3_column_int(stmt, 16);
    out->cloud_percent = sqlite3_column_int(stmt, 17);
    out->cover_use = (enum db_cover_use)sqlite3_column_int(stmt, 18);
}

static enum db_status insert_water(struct db *db, const struct db_water *water,
                                   int64_t version)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO water_version (" WATER_COLUMNS ") VALUES"
                       " (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");

    db_bind(stmt, 1, water->id, version, water->at, water->actor_id);
    db_bind_text(stmt, 5, water->name);
    db_bind(stmt, 6, water->is_spa, water->indoor, water->winter_closed,
            water->no_cyanuric_acid, water->sanitiser, water->lining, water->cover,
            water->fill, water->volume_m3_e6, water->surface_m2_e6, water->depth_m_e6,
            water->shade_percent, water->cloud_percent, water->cover_use);
    return db_run_once(db, stmt);
}

enum db_status db_water_add(struct db *db, struct db_water *water)
{
    struct db_scope scope;
    struct db_water made = *water;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_exec(db, "INSERT INTO water DEFAULT VALUES");
    made.id = sqlite3_last_insert_rowid(db->handle);
    made.version = 1;
    if (status == DB_OK)
        status = insert_water(db, &made, made.version);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        *water = made;
    return status;
}

enum db_status db_water_put(struct db *db, struct db_water *water)
{
    struct db_scope scope;
    struct db_water newest;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_water_get(db, water->id, &newest);
    if (status == DB_OK && newest.version != water->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = insert_water(db, water, water->version + 1);
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        water->version++;
    return status;
}

enum db_status db_water_get(struct db *db, int64_t id, struct db_water *out)
{
    return db_water_get_at(db, id, INT64_MAX, out);
}

/* The version in force, or the first one: those of later instants come after it, oldest
 * first. */
enum db_status db_water_get_at(struct db *db, int64_t id, int64_t at,
                               struct db_water *out)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT " WATER_COLUMNS " FROM water_version WHERE water_id = ?1"
                       " ORDER BY at > ?2, CASE WHEN at > ?2 THEN version"
                       " ELSE -version END LIMIT 1");
    enum db_status status;

    db_bind(stmt, 1, id, at);
    if (db_step_row(db, stmt, &status))
        read_water(stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

enum db_status db_water_list(struct db *db, struct db_water *out, size_t max,
                             size_t *out_count)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT " WATER_COLUMNS " FROM water_version w WHERE version ="
                       " (SELECT max(version) FROM water_version v"
                       " WHERE v.water_id = w.water_id) ORDER BY water_id LIMIT ?1");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, (int64_t)max);
    while (db_step_row(db, stmt, &status))
        read_water(stmt, &out[(*out_count)++]);
    db_done(stmt);
    return status;
}
