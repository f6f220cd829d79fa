/* People, sessions, devices, tokens and the door's own settings. */
#include <stdlib.h>
#include <string.h>

#include "db_people.h"
#include "db_private.h"

static void bind_hash(sqlite3_stmt *stmt, int index, const uint8_t *hash)
{
    if (stmt != NULL)
        sqlite3_bind_blob(stmt, index, hash, SECRET_SHA_BYTES, SQLITE_STATIC);
}

/* ---- people ---- */

#define PERSON_SELECT                                                                  \
    "SELECT id, version, actor_id, name, role, disabled, secret, failures FROM person"

static void read_person(sqlite3_stmt *stmt, struct db_person *out)
{
    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(stmt, 0);
    out->version = sqlite3_column_int64(stmt, 1);
    out->actor_id = sqlite3_column_int64(stmt, 2);
    db_read_text(stmt, 3, out->name, sizeof out->name);
    out->role = (enum who_role)sqlite3_column_int(stmt, 4);
    out->disabled = sqlite3_column_int(stmt, 5) != 0;
    db_read_text(stmt, 6, out->secret, sizeof out->secret);
    out->failures = sqlite3_column_int64(stmt, 7);
}

static enum db_status one_person(struct db *db, sqlite3_stmt *stmt,
                                 struct db_person *out)
{
    enum db_status status;

    if (db_step_row(db, stmt, &status))
        read_person(stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

enum db_status db_person_get(struct db *db, int64_t id, struct db_person *out)
{
    sqlite3_stmt *stmt = db_prepare(db, PERSON_SELECT " WHERE id = ?1");

    db_bind(stmt, 1, id);
    return one_person(db, stmt, out);
}

enum db_status db_person_find(struct db *db, const char *name, struct db_person *out)
{
    sqlite3_stmt *stmt = db_prepare(db, PERSON_SELECT " WHERE name = ?1");

    db_bind_text(stmt, 1, name);
    return one_person(db, stmt, out);
}

/* DB_CONFLICT when somebody else has the name. */
static enum db_status name_is_free(struct db *db, const struct db_person *person)
{
    struct db_person other;
    enum db_status status = db_person_find(db, person->name, &other);

    if (status == DB_OK && other.id != person->id)
        return DB_CONFLICT;
    return status == DB_NOT_FOUND ? DB_OK : status;
}

enum db_status db_person_add(struct db *db, struct db_person *person)
{
    struct db_scope scope;
    sqlite3_stmt *stmt;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    person->id = 0;
    status = name_is_free(db, person);
    if (status == DB_OK)
        status = db_actor(db, person->name, &person->actor_id);
    if (status == DB_OK) {
        stmt = db_prepare(db, "INSERT INTO person (version, actor_id, name, role,"
                              " disabled, secret, failures) VALUES (1, ?, ?, ?, ?, '',"
                              " 0)");
        db_bind(stmt, 1, person->actor_id);
        db_bind_text(stmt, 2, person->name);
        db_bind(stmt, 3, person->role, person->disabled);
        status = db_run_once(db, stmt);
        person->id = sqlite3_last_insert_rowid(db->handle);
        person->version = 1;
    }
    return db_scope_end(&scope, status);
}

enum db_status db_person_put(struct db *db, struct db_person *person)
{
    struct db_scope scope;
    struct db_person newest;
    sqlite3_stmt *stmt;
    enum db_status status = db_scope_write(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_person_get(db, person->id, &newest);
    if (status == DB_OK && newest.version != person->version)
        status = DB_CONFLICT;
    if (status == DB_OK)
        status = name_is_free(db, person);
    if (status == DB_OK)
        status = db_actor(db, person->name, &person->actor_id);
    if (status == DB_OK) {
        stmt = db_prepare(db, "UPDATE person SET version = version + 1, actor_id = ?2,"
                              " name = ?3, role = ?4, disabled = ?5 WHERE id = ?1");
        db_bind(stmt, 1, person->id, person->actor_id);
        db_bind_text(stmt, 3, person->name);
        db_bind(stmt, 4, person->role, person->disabled);
        status = db_run_once(db, stmt);
    }
    status = db_scope_end(&scope, status);
    if (status == DB_OK)
        person->version++;
    return status;
}

enum db_status db_person_list(struct db *db, struct db_person out[DB_PEOPLE_MAX],
                              size_t *out_count)
{
    sqlite3_stmt *stmt = db_prepare(db, PERSON_SELECT " ORDER BY id LIMIT ?1");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, (int64_t)DB_PEOPLE_MAX);
    while (db_step_row(db, stmt, &status))
        read_person(stmt, &out[(*out_count)++]);
    db_done(stmt);
    return status;
}

enum db_status db_person_set_secret(struct db *db, int64_t id, const char *secret)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "UPDATE person SET secret = ?2, failures = 0 WHERE id = ?1");

    db_bind(stmt, 1, id);
    db_bind_text(stmt, 2, secret);
    return db_run_once(db, stmt);
}

enum db_status db_person_set_failures(struct db *db, int64_t id, int64_t failures)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "UPDATE person SET failures = ?2 WHERE id = ?1");

    db_bind(stmt, 1, id, failures);
    return db_run_once(db, stmt);
}

enum db_status db_owner_count(struct db *db, int64_t *out_count)
{
    return db_ask(db,
                  "SELECT count(*) FROM person WHERE role = ?1 AND disabled = 0"
                  " AND secret <> ''",
                  out_count, WHO_OWNER);
}

/* ---- sessions ---- */

#define SESSION_SELECT                                                                 \
    "SELECT id, person_id, made_at, seen_at, proved_at, peer, device FROM session"

static void read_session(sqlite3_stmt *stmt, struct db_session *out)
{
    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(stmt, 0);
    out->person_id = sqlite3_column_int64(stmt, 1);
    out->made_at = sqlite3_column_int64(stmt, 2);
    out->seen_at = sqlite3_column_int64(stmt, 3);
    out->proved_at = sqlite3_column_int64(stmt, 4);
    db_read_text(stmt, 5, out->peer, sizeof out->peer);
    db_read_text(stmt, 6, out->device, sizeof out->device);
}

enum db_status db_session_add(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                              struct db_session *session)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "INSERT INTO session (hash, person_id, made_at, seen_at, proved_at, peer,"
            " device) VALUES (?, ?, ?, ?, ?, ?, ?)");
    enum db_status status;

    bind_hash(stmt, 1, hash);
    db_bind(stmt, 2, session->person_id, session->made_at, session->seen_at,
            session->proved_at);
    db_bind_text(stmt, 6, session->peer);
    db_bind_text(stmt, 7, session->device);
    status = db_run_once(db, stmt);
    if (status == DB_OK)
        session->id = sqlite3_last_insert_rowid(db->handle);
    return status;
}

enum db_status db_session_find(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                               struct db_session *out)
{
    sqlite3_stmt *stmt = db_prepare(db, SESSION_SELECT " WHERE hash = ?1");
    enum db_status status;

    bind_hash(stmt, 1, hash);
    if (db_step_row(db, stmt, &status))
        read_session(stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

enum db_status db_session_seen(struct db *db, int64_t id, int64_t at)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "UPDATE session SET seen_at = ?2 WHERE id = ?1");

    db_bind(stmt, 1, id, at);
    return db_run_once(db, stmt);
}

enum db_status db_session_proved(struct db *db, int64_t id, int64_t at)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "UPDATE session SET proved_at = ?2 WHERE id = ?1");

    db_bind(stmt, 1, id, at);
    return db_run_once(db, stmt);
}

enum db_status db_session_end(struct db *db, int64_t id)
{
    sqlite3_stmt *stmt = db_prepare(db, "DELETE FROM session WHERE id = ?1");
    enum db_status status;

    db_bind(stmt, 1, id);
    status = db_run_once(db, stmt);
    if (status == DB_OK && sqlite3_changes(db->handle) == 0)
        return DB_NOT_FOUND;
    return status;
}

enum db_status db_session_end_all(struct db *db, int64_t person_id, int64_t keep_id)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "DELETE FROM session WHERE person_id = ?1 AND id <> ?2");

    db_bind(stmt, 1, person_id, keep_id);
    return db_run_once(db, stmt);
}

enum db_status db_session_list(struct db *db, struct db_session out[DB_SESSIONS_MAX],
                               size_t *out_count)
{
    sqlite3_stmt *stmt =
        db_prepare(db, SESSION_SELECT " ORDER BY seen_at DESC, id DESC LIMIT ?1");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, (int64_t)DB_SESSIONS_MAX);
    while (db_step_row(db, stmt, &status))
        read_session(stmt, &out[(*out_count)++]);
    db_done(stmt);
    return status;
}

/* ---- devices ---- */

enum db_status db_device_find(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                              int64_t person_id, int64_t *out_failures)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "SELECT failures FROM known_device WHERE hash = ?1 AND person_id = ?2");
    enum db_status status;

    bind_hash(stmt, 1, hash);
    db_bind(stmt, 2, person_id);
    if (db_step_row(db, stmt, &status))
        *out_failures = sqlite3_column_int64(stmt, 0);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

enum db_status db_device_add(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                             int64_t person_id, int64_t at)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "INSERT INTO known_device (hash, person_id, made_at, failures)"
                       " VALUES (?1, ?2, ?3, 0)");

    bind_hash(stmt, 1, hash);
    db_bind(stmt, 2, person_id, at);
    return db_run_once(db, stmt);
}

enum db_status db_device_set_failures(struct db *db,
                                      const uint8_t hash[SECRET_SHA_BYTES],
                                      int64_t failures)
{
    sqlite3_stmt *stmt =
        db_prepare(db, "UPDATE known_device SET failures = ?2 WHERE hash = ?1");

    bind_hash(stmt, 1, hash);
    db_bind(stmt, 2, failures);
    return db_run_once(db, stmt);
}

/* ---- tokens ---- */

#define TOKEN_SELECT                                                                   \
    "SELECT id, actor_id, name, scope, water_id, made_at, used_at, revoked_at,"        \
    " hash IS NOT NULL FROM token"

static void read_token(sqlite3_stmt *stmt, struct db_token *out)
{
    memset(out, 0, sizeof *out);
    out->id = sqlite3_column_int64(stmt, 0);
    out->actor_id = sqlite3_column_int64(stmt, 1);
    db_read_text(stmt, 2, out->name, sizeof out->name);
    out->scope = (enum who_scope)sqlite3_column_int(stmt, 3);
    out->water_id = sqlite3_column_int64(stmt, 4);
    out->made_at = sqlite3_column_int64(stmt, 5);
    out->used_at = sqlite3_column_int64(stmt, 6);
    out->revoked_at = sqlite3_column_int64(stmt, 7);
    out->is_issued = sqlite3_column_int(stmt, 8) != 0;
}

static enum db_status one_token(struct db *db, sqlite3_stmt *stmt, struct db_token *out)
{
    enum db_status status;

    if (db_step_row(db, stmt, &status))
        read_token(stmt, out);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status;
}

enum db_status db_token_add(struct db *db, struct db_token *token)
{
    sqlite3_stmt *stmt;
    enum db_status status = db_actor(db, token->name, &token->actor_id);

    if (status != DB_OK)
        return status;
    stmt = db_prepare(db, "INSERT INTO token (actor_id, name, scope, water_id, made_at)"
                          " VALUES (?, ?, ?, ?, ?)");
    db_bind(stmt, 1, token->actor_id);
    db_bind_text(stmt, 2, token->name);
    db_bind(stmt, 3, token->scope);
    db_bind_id(stmt, 4, token->water_id);
    db_bind(stmt, 5, token->made_at);
    status = db_run_once(db, stmt);
    if (status == DB_OK)
        token->id = sqlite3_last_insert_rowid(db->handle);
    return status;
}

enum db_status db_token_get(struct db *db, int64_t id, struct db_token *out)
{
    sqlite3_stmt *stmt = db_prepare(db, TOKEN_SELECT " WHERE id = ?1");

    db_bind(stmt, 1, id);
    return one_token(db, stmt, out);
}

enum db_status db_token_find(struct db *db, const uint8_t hash[SECRET_SHA_BYTES],
                             struct db_token *out)
{
    sqlite3_stmt *stmt = db_prepare(db, TOKEN_SELECT " WHERE hash = ?1");

    bind_hash(stmt, 1, hash);
    return one_token(db, stmt, out);
}

enum db_status db_token_issue(struct db *db, int64_t id,
                              const uint8_t hash[SECRET_SHA_BYTES])
{
    sqlite3_stmt *stmt = db_prepare(db, "UPDATE token SET hash = ?2 WHERE id = ?1");

    db_bind(stmt, 1, id);
    bind_hash(stmt, 2, hash);
    return db_run_once(db, stmt);
}

enum db_status db_token_used(struct db *db, int64_t id, int64_t at)
{
    sqlite3_stmt *stmt = db_prepare(db, "UPDATE token SET used_at = ?2 WHERE id = ?1");

    db_bind(stmt, 1, id, at);
    return db_run_once(db, stmt);
}

enum db_status db_token_revoke(struct db *db, int64_t id, int64_t at)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "UPDATE token SET revoked_at = coalesce(revoked_at, ?2) WHERE id = ?1");

    db_bind(stmt, 1, id, at);
    return db_run_once(db, stmt);
}

enum db_status db_token_list(struct db *db, struct db_token out[DB_TOKENS_MAX],
                             size_t *out_count)
{
    sqlite3_stmt *stmt = db_prepare(db, TOKEN_SELECT " ORDER BY id LIMIT ?1");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, (int64_t)DB_TOKENS_MAX);
    while (db_step_row(db, stmt, &status))
        read_token(stmt, &out[(*out_count)++]);
    db_done(stmt);
    return status;
}

/* ---- the door ---- */

enum db_status db_door_get(struct db *db, struct db_door *out)
{
    sqlite3_stmt *stmt = db_prepare(db, "SELECT version, family_sees_permit FROM door");
    enum db_status status;

    if (db_step_row(db, stmt, &status)) {
        out->version = sqlite3_column_int64(stmt, 0);
        out->family_sees_permit = sqlite3_column_int(stmt, 1) != 0;
    } else if (status == DB_OK) {
        status = DB_NOT_FOUND;
    }
    db_done(stmt);
    return status;
}

enum db_status db_door_put(struct db *db, struct db_door *door)
{
    sqlite3_stmt *stmt = db_prepare(db, "UPDATE door SET version = version + 1,"
                                        " family_sees_permit = ?2 WHERE version = ?1");
    enum db_status status;

    db_bind(stmt, 1, door->version, door->family_sees_permit);
    status = db_run_once(db, stmt);
    if (status == DB_OK && sqlite3_changes(db->handle) == 0)
        return DB_CONFLICT;
    if (status == DB_OK)
        door->version++;
    return status;
}

/* ---- journal ---- */

static char *copy_text(sqlite3_stmt *stmt, int column)
{
    const unsigned char *text = sqlite3_column_text(stmt, column);

    return text == NULL ? NULL : strdup((const char *)text);
}

enum db_status db_journal_list(struct db *db, int64_t before_id,
                               struct db_journal_entry *out, size_t max,
                               size_t *out_count)
{
    sqlite3_stmt *stmt = db_prepare(
        db, "SELECT j.id, j.at, j.entity_id, coalesce(a.name, ''), j.peer, j.action,"
            " j.entity, j.before, j.after FROM journal j"
            " LEFT JOIN actor a ON a.id = j.actor_id"
            " WHERE j.id < ?1 ORDER BY j.id DESC LIMIT ?2");
    enum db_status status;

    *out_count = 0;
    db_bind(stmt, 1, before_id == 0 ? INT64_MAX : before_id, (int64_t)max);
    while (db_step_row(db, stmt, &status)) {
        struct db_journal_entry *entry = &out[(*out_count)++];

        memset(entry, 0, sizeof *entry);
        entry->id = sqlite3_column_int64(stmt, 0);
        entry->at = sqlite3_column_int64(stmt, 1);
        entry->entity_id = sqlite3_column_int64(stmt, 2);
        db_read_text(stmt, 3, entry->actor, sizeof entry->actor);
        db_read_text(stmt, 4, entry->peer, sizeof entry->peer);
        db_read_text(stmt, 5, entry->action, sizeof entry->action);
        db_read_text(stmt, 6, entry->entity, sizeof entry->entity);
        entry->before = copy_text(stmt, 7);
        entry->after = copy_text(stmt, 8);
    }
    db_done(stmt);
    return status;
}

void db_journal_free(struct db_journal_entry *entries, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        free(entries[i].before);
        free(entries[i].after);
    }
}

/* ---- who acts ---- */

void db_set_acting(struct db *db, int64_t actor_id)
{
    db->acting_id = actor_id;
}

int64_t db_acting(const struct db *db)
{
    return db->acting_id;
}
