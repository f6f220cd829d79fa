#include "db_chain.h"

#include <string.h>

#include <sodium.h>

#define HASH_BYTES 32

#define ENTRY_SELECT                                                                   \
    "SELECT j.id, j.at, j.actor_id, j.peer, j.action, j.entity, j.entity_id, "         \
    "j.before,"                                                                        \
    " j.after, c.hash FROM journal j LEFT JOIN chain c ON c.id = j.id"
#define ENTRY_COLUMNS 9

/* Each column with its kind and length, so that no text can pass for two. */
static void add_column(crypto_generichash_state *state, sqlite3_stmt *stmt, int column)
{
    int64_t kind = sqlite3_column_type(stmt, column);
    int64_t number = 0;

    if (kind == SQLITE_TEXT) {
        const unsigned char *text = sqlite3_column_text(stmt, column);

        number = sqlite3_column_bytes(stmt, column);
        crypto_generichash_update(state, (const unsigned char *)&kind, sizeof kind);
        crypto_generichash_update(state, (const unsigned char *)&number, sizeof number);
        crypto_generichash_update(state, text, (unsigned long long)number);
        return;
    }
    number = sqlite3_column_int64(stmt, column);
    crypto_generichash_update(state, (const unsigned char *)&kind, sizeof kind);
    crypto_generichash_update(state, (const unsigned char *)&number, sizeof number);
}

static void hash_entry(sqlite3_stmt *stmt, const uint8_t before[HASH_BYTES],
                       uint8_t out[HASH_BYTES])
{
    crypto_generichash_state state;

    crypto_generichash_init(&state, NULL, 0, HASH_BYTES);
    crypto_generichash_update(&state, before, HASH_BYTES);
    for (int column = 0; column < ENTRY_COLUMNS; column++)
        add_column(&state, stmt, column);
    crypto_generichash_final(&state, out, HASH_BYTES);
}

/* Zeros where nothing went before. */
static enum db_status read_newest(struct db *db, uint8_t out[HASH_BYTES])
{
    sqlite3_stmt *stmt =
        db_prepare(db, "SELECT hash FROM chain ORDER BY id DESC LIMIT 1");
    enum db_status status;

    memset(out, 0, HASH_BYTES);
    if (db_step_row(db, stmt, &status) && sqlite3_column_bytes(stmt, 0) == HASH_BYTES)
        memcpy(out, sqlite3_column_blob(stmt, 0), HASH_BYTES);
    db_done(stmt);
    return status;
}

static enum db_status write_hash(struct db *db, int64_t id,
                                 const uint8_t hash[HASH_BYTES])
{
    sqlite3_stmt *stmt = db_prepare(db, "INSERT INTO chain (id, hash) VALUES (?1, ?2)");

    db_bind(stmt, 1, id);
    if (stmt != NULL)
        sqlite3_bind_blob(stmt, 2, hash, HASH_BYTES, SQLITE_STATIC);
    return db_run_once(db, stmt);
}

enum db_status db_chain_add(struct db *db, int64_t journal_id)
{
    uint8_t before[HASH_BYTES], hash[HASH_BYTES];
    sqlite3_stmt *stmt;
    enum db_status status = read_newest(db, before);

    if (status != DB_OK)
        return status;
    stmt = db_prepare(db, ENTRY_SELECT " WHERE j.id = ?1");
    db_bind(stmt, 1, journal_id);
    if (db_step_row(db, stmt, &status))
        hash_entry(stmt, before, hash);
    else if (status == DB_OK)
        status = DB_NOT_FOUND;
    db_done(stmt);
    return status == DB_OK ? write_hash(db, journal_id, hash) : status;
}

/* Entries older than the chain have no hash; after the first that has, none may lack
 * it, and no number may be left out. */
struct walk {
    uint8_t hash[HASH_BYTES];
    int64_t last_id;
    bool has_begun;
};

static bool fits(struct walk *walk, sqlite3_stmt *stmt)
{
    const void *stored = sqlite3_column_blob(stmt, ENTRY_COLUMNS);
    bool has_hash = sqlite3_column_bytes(stmt, ENTRY_COLUMNS) == HASH_BYTES;
    int64_t id = sqlite3_column_int64(stmt, 0);
    uint8_t hash[HASH_BYTES];
    bool is_next = !walk->has_begun || id == walk->last_id + 1;

    walk->last_id = id;
    if (!has_hash)
        return !walk->has_begun;
    walk->has_begun = true;
    hash_entry(stmt, walk->hash, hash);
    memcpy(walk->hash, hash, sizeof hash);
    return is_next && memcmp(hash, stored, sizeof hash) == 0;
}

/* The chain may also be longer than the journal: then its end was cut off. */
static enum db_status find_cut_end(struct db *db, int64_t last_id, int64_t *out_bad_id)
{
    return db_ask(db, "SELECT coalesce(min(id), 0) FROM chain WHERE id > ?1",
                  out_bad_id, last_id);
}

enum db_status db_chain_check(struct db *db, int64_t *out_bad_id, int64_t *out_count,
                              char out_head[65])
{
    struct walk walk = {.last_id = 0};
    sqlite3_stmt *stmt = db_prepare(db, ENTRY_SELECT " ORDER BY j.id");
    enum db_status status;

    *out_bad_id = *out_count = 0;
    out_head[0] = '\0';
    while (db_step_row(db, stmt, &status)) {
        ++*out_count;
        if (!fits(&walk, stmt)) {
            *out_bad_id = walk.last_id;
            break;
        }
    }
    db_done(stmt);
    if (walk.has_begun)
        sodium_bin2hex(out_head, 65, walk.hash, sizeof walk.hash);
    if (status == DB_OK && *out_bad_id == 0)
        status = find_cut_end(db, walk.last_id, out_bad_id);
    return status;
}
