/*
 * What the files of the store share: the connection, its statements, one way to bind
 * and to read, and the columns that all facts have. Only db*.c include this.
 */
#ifndef DB_PRIVATE_H
#define DB_PRIVATE_H

#include <sqlite3.h>

#include "db.h"

/* "Coil" in ASCII: says in the file's head that it is ours. */
#define DB_APPLICATION_ID 0x436F696C

/* 9999-12-31T23:59:59Z: later instants are refused by every CHECK. */
#define DB_TIME_MAX 253402300799

/* ---- migrations ---- */

/* One step brings a file from version number - 1 to number. */
struct db_step {
    int number;
    const char *sql;
};

extern const struct db_step db_steps[]; /* made from schema/ at build time */
extern const size_t db_step_count;

/* Decides what a file is without changing it: DB_OK (ours, older or new; out_version 0
 * for one still empty), DB_NEWER, DB_FOREIGN, DB_CORRUPT, DB_NOT_FOUND. */
enum db_status db_inspect(const char *path, int newest, int *out_version);
/* Brings an open file up to the last step, one transaction a step; keeps a copy beside
 * it first unless it is new or in memory. */
enum db_status db_migrate(struct db *db, const struct db_step *steps, size_t count);
/* db_open with steps of the caller's. */
enum db_status db_open_with(const char *path, enum db_mode mode,
                            const struct db_step *steps, size_t count,
                            struct db **out_db);

/* Waits until the file's contents are on the disk. */
enum db_status db_sync_file(const char *path);

/* ---- statements ---- */

#define DB_STATEMENTS_MAX 160
#define DB_SQL_SIZE 3000

struct db_cached {
    const char *literal; /* NULL when the text was put together */
    uint32_t hash;
    sqlite3_stmt *stmt;
};

/* One set of quantities has one insert that names only their columns. */
#define DB_READING_INSERTS 8

struct db_reading_insert {
    uint32_t mask;
    sqlite3_stmt *stmt;
};

/* An import at work: between first_at and last_at there are readings already. */
struct db_bulk {
    bool is_on;
    int64_t water_id, first_at, last_at; /* first_at > last_at: none */
    int64_t actor_id, batch_id;          /* known to be there */
    uint32_t mask;                       /* quantities that stmt has columns for */
    sqlite3_stmt *stmt;                  /* takes many rows at once; or NULL */
    int row_count;                       /* bound and not yet run */
};

struct bucket_state; /* db_bucket.c */

struct db {
    sqlite3 *handle;
    char *path;
    enum db_mode mode;
    struct db_cached cache[DB_STATEMENTS_MAX];
    size_t cache_count;
    struct db_reading_insert reading_inserts[DB_READING_INSERTS];
    size_t reading_insert_next;
    struct db_bulk bulk;
    int64_t newest_recorded_at;   /* of the open transaction, 0 for none */
    struct bucket_state *buckets; /* open ones of the transaction; NULL until needed */
    int64_t acting_id; /* whose entries these are, 0: as the form says */
};

/* The status for an SQLite result, its text logged once; DB_OK for OK, ROW and DONE. */
enum db_status db_status_from(struct db *db, int code);

/* A statement for a text that lives as long as the program, reset and unbound; NULL
 * after a logged failure. It stays the connection's; the caller hands it back with
 * db_done. */
sqlite3_stmt *db_prepare(struct db *db, const char *literal);
/* The same for a text with parts filled in. Only constant names go in, never values. */
sqlite3_stmt *db_prepare_format(struct db *db, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* Resets; NULL is fine. */
void db_done(sqlite3_stmt *stmt);
void db_forget_statements(struct db *db);

/* Steps once. True when a row is there; else *status says why not (DB_OK: no more). */
bool db_step_row(struct db *db, sqlite3_stmt *stmt, enum db_status *status);
/* Steps a statement that gives no rows, hands it back. */
enum db_status db_run_once(struct db *db, sqlite3_stmt *stmt);
enum db_status db_exec(struct db *db, const char *sql);
/* First column of the first row; DB_NOT_FOUND without a row. */
enum db_status db_ask_list(struct db *db, const char *sql, int64_t *out_value,
                           const int64_t *values, int count);
#define db_ask(db, sql, out_value, ...)                                                \
    db_ask_list(db, sql, out_value, (const int64_t[]){__VA_ARGS__},                    \
                (int)(sizeof((const int64_t[]){__VA_ARGS__}) / sizeof(int64_t)))

/* Integers from parameter `first` on. */
void db_bind_list(sqlite3_stmt *stmt, int first, const int64_t *values, int count);
#define db_bind(stmt, first, ...)                                                      \
    db_bind_list(stmt, first, (const int64_t[]){__VA_ARGS__},                          \
                 (int)(sizeof((const int64_t[]){__VA_ARGS__}) / sizeof(int64_t)))
void db_bind_id(sqlite3_stmt *stmt, int index, int64_t id); /* 0: NULL */
void db_bind_text(sqlite3_stmt *stmt, int index,
                  const char *text); /* borrows; NULL: NULL */
void db_read_text(sqlite3_stmt *stmt, int column, char *out, size_t size);

/* ---- transactions ---- */

/* A function's own transaction when the caller has none open. */
struct db_scope {
    struct db *db;
    bool is_own;
};

enum db_status db_scope_write(struct db *db, struct db_scope *out);
enum db_status db_scope_read(struct db *db, struct db_scope *out);
/* Commits an own one when status is DB_OK, else rolls it back. Gives the outcome. */
enum db_status db_scope_end(struct db_scope *scope, enum db_status status);

/* ---- facts ---- */

/* How one kind of fact lies in its table. Every record starts with a struct db_fact. */
struct fact_table {
    const char *name;
    const char *subject; /* column of window->subject_id */
    const char *columns; /* its own ones, "a, b" */
    int column_count;
    size_t record_size;
    void (*bind)(sqlite3_stmt *stmt, int first, const void *record);
    void (*read)(sqlite3_stmt *stmt, int first, void *record);
};

/* Columns before the table's own ones in what db_fact_select gives. */
#define FACT_COLUMNS 11
/* Parameters before the table's own ones in an insert. */
#define FACT_PARAMETERS 8
#define FACT_INSERT_COLUMNS                                                            \
    "measured_at, recorded_at, actor_id, batch_id, supersedes, withdrawn, note, "      \
    "reason"
#define FACT_SELECT                                                                    \
    "SELECT f.id, f.measured_at, f.recorded_at, f.actor_id, f.batch_id, f.supersedes," \
    " (SELECT s.id FROM %s s WHERE s.supersedes = f.id), f.withdrawn, a.name, f.note," \
    " f.reason, %s FROM %s f JOIN actor a ON a.id = f.actor_id"
/* Current as known at ?2, of table %s. */
#define FACT_CURRENT                                                                   \
    " f.withdrawn = 0 AND NOT EXISTS"                                                  \
    " (SELECT 1 FROM %s s WHERE s.supersedes = f.id AND s.recorded_at <= ?2)"

void db_fact_bind(sqlite3_stmt *stmt, const struct db_fact *fact);
void db_fact_read(sqlite3_stmt *stmt, struct db_fact *fact);
/* Before an insert: is what it supersedes there and the newest word? A withdrawal takes
 * the instant and contents of what it withdraws. Notes recorded_at. */
enum db_status db_fact_check(struct db *db, const struct fact_table *table,
                             void *record);
enum db_status db_fact_add(struct db *db, const struct fact_table *table, void *record);
enum db_status db_fact_get(struct db *db, const struct fact_table *table, int64_t id,
                           void *out);
enum db_status db_fact_list(struct db *db, const struct fact_table *table,
                            const struct db_window *window, void *out,
                            size_t *out_count);

/* What was known when: facts with at <= at and recorded_at <= known_at. */
struct db_asof {
    int64_t at;
    int64_t known_at;
};

/* Newest facts of a subject as of then, newest first, at most max. */
enum db_status db_fact_newest(struct db *db, const struct fact_table *table,
                              int64_t subject_id, struct db_asof asof, void *out,
                              size_t max, size_t *out_count);
/* The same, oldest first, one by one. Stops when take returns false. */
enum db_status db_fact_each(struct db *db, const struct fact_table *table,
                            int64_t subject_id, struct db_asof asof,
                            bool (*take)(void *context, const void *record),
                            void *record, void *context);

extern const struct fact_table db_reading_table, db_dose_table, db_run_table,
    db_heater_state_table, db_care_visit_table, db_warm_up_table,
    db_meter_change_table, db_flue_test_table, db_symptom_table;

/* What holds the burner back as of then: fills those members of *out. */
enum db_status db_flue_alarms(struct db *db, int64_t heater_id, struct db_asof asof,
                              struct coil_permit_facts *out);

/* ---- one quantity's values ---- */

#define VALUE_COLUMN_SIZE 64
#define VALUE_COLUMNS_SIZE 800

/* "ph_e6", … */
void db_value_column(enum coil_quantity quantity, char *out, size_t size);
/* All of them in order of the quantities, "ph_e6, …". */
void db_value_columns(char *out, size_t size);
/* In front of a reading's amounts: water_id, method, details. */
#define READING_OWN_COLUMNS 3
#define READING_DETAILS_SIZE 1000

/* What is special about the values; empty when each was found by the set's method in the
 * usual way. out has READING_DETAILS_SIZE. */
void db_details_write(const struct db_reading *reading, char *out, size_t size);
/* "INSERT INTO reading (…) " for the quantities of mask, and "(?, …)" of one row. They
 * give the lengths. */
int db_reading_insert_start(uint32_t mask, char *out, size_t size);
int db_reading_insert_row(uint32_t mask, char *out, size_t size);

/* ---- many readings at once (db_bulk.c) ---- */

/* Instead of an insert of its own. The row reaches the table with the next flush. */
enum db_status db_bulk_add(struct db *db, const struct db_reading *reading,
                           uint32_t mask);
enum db_status db_bulk_flush(struct db *db); /* also when none is at work */
void db_bulk_drop(struct db *db);            /* ends it without a flush */
/* False when bulk knows without looking that no reading of that instant is there. */
bool db_bulk_may_hold(const struct db *db, const struct db_reading *reading);

/* What is special about one value: its method and details; value->quantity is given. */
void db_details_read(enum coil_method method, const char *details,
                     struct db_value *value);

/* ---- buckets ---- */

#define BUCKET_FINE_S 600
#define BUCKET_MIDDLE_S 7200
#define BUCKET_DAY_S 86400
#define BUCKET_FINE_COUNT (BUCKET_MIDDLE_S / BUCKET_FINE_S)
/* Fewer current values than this in 600 s are read from the readings. */
#define BUCKET_FINE_MIN 8

struct bucket {
    int64_t start_at;
    int64_t fact_count, probe_count, value_count;
    int64_t first_at, first_e6, low_at, low_e6, high_at, high_e6, last_at, last_e6;
};

/* Start of the span of step_s that holds at; also right for negative instants. */
int64_t db_floor(int64_t at, int64_t step_s);
/* Columns 0.. of a select of BUCKET_COLUMNS. */
#define BUCKET_COLUMNS                                                                 \
    "start_at, fact_count, probe_count, value_count, first_at, first_e6, low_at,"      \
    " low_e6, high_at, high_e6, last_at, last_e6"
void db_bucket_read(sqlite3_stmt *stmt, struct bucket *out);
/* A value entered later than all in the bucket so far. */
void db_bucket_take(struct bucket *bucket, int64_t at, int64_t amount_e6);
/* The same for all that another bucket holds. */
void db_bucket_merge(struct bucket *bucket, const struct bucket *later);

/* A new reading's values. Written out by db_buckets_flush, at the latest on commit. */
enum db_status db_buckets_add(struct db *db, const struct db_reading *reading);
/* What a reading touches is to be made anew: it was superseded, or supersedes. */
enum db_status db_buckets_renew(struct db *db, const struct db_reading *reading);
enum db_status db_buckets_flush(struct db *db);
void db_buckets_drop(struct db *db);    /* forgets what is not written */
void db_buckets_destroy(struct db *db); /* frees */

#endif
