/*
 * The one thread that changes anything, with its own connection to the store. Calls
 * wait in a line; those that wait together share a transaction, each with its own part
 * of it that is undone where the call fails, and an answer leaves only after the commit.
 * So reading never waits for writing, and two writers never meet.
 */
#ifndef WRITER_H
#define WRITER_H

#include "router.h"

struct writer;

struct job {
    struct job *next;
    const struct route *route;
    struct request *req; /* borrowed until done is called */
    struct reply *reply; /* filled by then */
    void (*done)(struct job *job);
};

/* Borrows both. Gives a writer with its thread running (writer_stop, then
 * writer_destroy); NULL when there is no thread to be had. */
struct writer *writer_create(struct app *app, struct db *db);

/* Queues a job; done is called from the writer's thread, or at once with a 503 when the
 * writer is stopping. */
void writer_submit(struct writer *writer, struct job *job);

/* Lets the jobs of the running commit end, answers waiting ones with 503. False when the running job
 * did not end in time; then the writer must not be destroyed. */
bool writer_stop(struct writer *writer, int timeout_ms);
void writer_destroy(struct writer *writer); /* NULL is fine */

/* Looks up the answer kept for the request's key. True when out was filled: the kept
 * answer, or 422 key_reused, or a refusal of the store. Without a key false. */
bool writer_replay(struct db *db, const struct request *req, struct reply *out);

/* Keeps the answer under the request's key, inside the open transaction. Nothing to do
 * without a key. */
enum db_status writer_keep(struct app *app, struct db *db, const struct request *req,
                           const struct reply *reply);

/* 507 disk_full, 503 busy, else 500 store_failed. */
void writer_refuse(struct reply *out, enum db_status status);

#endif
