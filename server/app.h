/*
 * What the whole daemon shares. Made by main.c, borrowed by everyone.
 */
#ifndef APP_H
#define APP_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "clock.h"
#include "db.h"
#include "exchange.h"

/* Of the import that the writer is at; written there, read anywhere. */
struct import_progress {
    atomic_bool running, dry_run, cancel;
    atomic_uint_fast64_t rows, bytes, total_bytes;
};

struct backup_keeper;
struct http_counts;
struct door;

struct app {
    struct clock clock;
    char state_dir[512];
    char database_path[640];
    bool demo;
    /* Goes up by one with every committed change; answers may be kept while it stands.
     */
    atomic_uint_fast64_t changes;
    uint64_t run_id; /* random: tells this run's tags from an earlier one's */
    struct import_progress import;
    struct door *door;
    struct backup_keeper *backups;
    struct http_counts *http_counts;
    void (*on_change)(void *context); /* after each change; NULL: nobody listens */
    void *on_change_context;
};

/* A change was committed: counts it and tells who listens. On the writer thread. */
void app_changed(struct app *app);

/* An API route's code. Reading routes get the reading connection on the HTTP thread.
 * Changing routes get the writing connection on the writer thread, inside a transaction
 * that is committed when the status is 2xx and rolled back otherwise; the answer leaves
 * only after the commit. */
typedef void (*api_handler)(struct app *app, struct db *db, const struct request *req,
                            struct reply *out);
/* Runs on the HTTP thread before the secret of req->proof is looked at. False when it
 * answered already. */
typedef bool (*api_prepare)(struct app *app, struct db *db, const struct request *req,
                            struct reply *out);

#endif
