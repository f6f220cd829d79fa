/*
 * Whole databases: copied while they are in use, checked, and put in place of another.
 */
#ifndef DB_BACKUP_H
#define DB_BACKUP_H

#include <stddef.h>

#include "db.h"

/* Copies what `from` holds now into a new file at path (mode 0600, on the disk when
 * this returns), with SQLite's online backup; writers go on meanwhile. Logins, known
 * browsers and tokens are left out, so that a copy in wrong hands opens nothing. Not in
 * a transaction. */
enum db_status db_backup(struct db *from, const char *path);

struct db_check {
    char fault[200];       /* "" when sound; else a sentence about the first fault */
    int64_t journal_count; /* entries of the journal */
    int64_t fact_count;    /* readings, doses, runs and heater states */
    char head[65];         /* of the journal's chain, hexadecimal; "" without entries */
};

/* SQLite's integrity and foreign key checks, then the journal's chain. DB_OK also where
 * a fault was found. */
enum db_status db_check(struct db *db, struct db_check *out);
/* Opens the file for reading and checks it. An older schema is checked as it is,
 * without the chain where it has none. */
enum db_status db_check_file(const char *path, struct db_check *out);

/* Puts the file's contents in place of db's, in one step that a kill cannot halve. The
 * file must be of this version: open it for writing first, which migrates it. */
enum db_status db_restore(struct db *db, const char *path);

#endif
