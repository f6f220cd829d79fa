/*
 * The journal's chain: each entry is hashed together with the hash before it (BLAKE2b,
 * 256 bits). It shows edits, gaps and half-restored copies made behind the program's
 * back; who owns the file can still make a whole new chain, so it is no proof against
 * the owner.
 */
#ifndef DB_CHAIN_H
#define DB_CHAIN_H

#include <sqlite3.h>

#include "db_private.h"

/* Adds the hash of the newest journal entry; in the transaction that wrote it. */
enum db_status db_chain_add(struct db *db, int64_t journal_id);

/* Walks the whole chain. out_bad_id: 0, or the first entry that does not fit. out_head:
 * the newest hash in hexadecimal, "" without entries. */
enum db_status db_chain_check(struct db *db, int64_t *out_bad_id, int64_t *out_count,
                              char out_head[65]);

#endif
