#include "writer.h"

#include <errno.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <sodium.h>

#include "db_people.h"
#include "log.h"
#include "notify.h"
#include "problem.h"

#define ANSWERS_KEPT_S ((int64_t)90 * 86400)
#define JOBS_A_COMMIT 64 /* the first of them waits for the last */
#define FORGET_EVERY_MS ((int64_t)86400 * 1000)

struct writer {
    struct app *app;
    struct db *db;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t changed;
    struct job *first, *last;
    bool stopping, ended;
    int64_t forget_at_ms; /* boot time */
    int64_t watchdog_ms, alive_due_ms; /* 0: nobody waits for a sign of life */
};

void writer_refuse(struct reply *out, enum db_status status)
{
    if (status == DB_FULL)
        reply_refuse(out, 507, "disk_full", NULL,
                     "Nothing was saved: the disk is full or cannot be written.");
    else if (status == DB_BUSY)
        reply_refuse(out, 503, "busy", NULL,
                     "Nothing was saved: another program holds the database.");
    else
        reply_refuse(out, 500, "store_failed", NULL,
                     "Nothing was saved: the database refused. The log says more.");
    if (status == DB_BUSY)
        out->retry_after_s = 5;
}

/* ---- repeated requests ---- */

/* Over the target too, since a query can make another call of the same body. */
static void hash_request(struct request *req)
{
    crypto_hash_sha256_state state;

    crypto_hash_sha256_init(&state);
    crypto_hash_sha256_update(&state, (const unsigned char *)req->method,
                              strlen(req->method) + 1);
    crypto_hash_sha256_update(&state, (const unsigned char *)req->target,
                              strlen(req->target) + 1);
    crypto_hash_sha256_update(&state, req->body, req->body_length);
    crypto_hash_sha256_final(&state, req->hash);
}

bool writer_replay(struct db *db, const struct request *req, struct reply *out)
{
    struct db_answer answer = {0};
    enum db_status status;

    if (req->idempotency_key == NULL)
        return false;
    status = db_answer_get(db, req->idempotency_key, &answer);
    if (status == DB_NOT_FOUND)
        return false;
    if (status != DB_OK) {
        writer_refuse(out, status);
        return true;
    }
    if (memcmp(answer.request_hash, req->hash, sizeof answer.request_hash) != 0) {
        free(answer.body);
        reply_refuse(out, 422, "key_reused", NULL,
                     "This Idempotency-Key came before with another request.");
        return true;
    }
    reply_finish(out);
    out->status = answer.status;
    out->content_type = "application/json";
    out->body = answer.body;
    out->body_length = answer.body_length;
    out->body_owned = true;
    memcpy(out->etag, answer.etag, sizeof out->etag);
    memcpy(out->location, answer.location, sizeof out->location);
    return true;
}

enum db_status writer_keep(struct app *app, struct db *db, const struct request *req,
                           const struct reply *reply)
{
    struct db_answer answer = {0};

    if (req->idempotency_key == NULL)
        return DB_OK;
    answer.status = reply->status;
    answer.body = (char *)(uintptr_t)reply->body; /* borrowed for the call */
    answer.body_length = reply->body_length;
    memcpy(answer.etag, reply->etag, sizeof answer.etag);
    memcpy(answer.location, reply->location, sizeof answer.location);
    memcpy(answer.request_hash, req->hash, sizeof answer.request_hash);
    return db_answer_put(db, req->idempotency_key, clock_wall_s(&app->clock), &answer);
}

/* ---- running a job ---- */

static bool is_success(const struct reply *reply)
{
    return reply->status >= 200 && reply->status < 300;
}

static void prepare(struct writer *writer, struct job *job)
{
    memset(job->reply, 0, sizeof *job->reply);
    db_set_acting(writer->db, job->req->who.actor_id);
    if (!(job->route->flags & ROUTE_ON_WRITER))
        hash_request(job->req);
}

/* Between begin and commit. DB_OK also where the handler refused. */
static enum db_status run_inside(struct writer *writer, struct job *job)
{
    if ((job->route->flags & ROUTE_KEY) &&
        writer_replay(writer->db, job->req, job->reply))
        return DB_NOT_FOUND; /* nothing to commit */
    job->route->handler(writer->app, writer->db, job->req, job->reply);
    if (!is_success(job->reply))
        return DB_NOT_FOUND;
    if (job->route->flags & ROUTE_KEY)
        return writer_keep(writer->app, writer->db, job->req, job->reply);
    return DB_OK;
}

/* One job's part of the common transaction; what it did is undone where it failed.
 * DB_OK while the transaction stands, else why it is gone. */
static enum db_status run_part(struct writer *writer, struct job *job, int *kept)
{
    enum db_status status = db_part_begin(writer->db);

    prepare(writer, job);
    if (status == DB_OK)
        status = run_inside(writer, job);
    if (status == DB_OK)
        status = db_part_keep(writer->db);
    if (status == DB_OK) {
        ++*kept;
        return DB_OK;
    }
    if (status != DB_NOT_FOUND)
        writer_refuse(job->reply, status);
    if (db_part_drop(writer->db) == DB_OK)
        return DB_OK;
    return status == DB_NOT_FOUND ? DB_FULL : status; /* a full disk undoes all */
}

/* Up to the job `end`. */
static void refuse_jobs(struct job *first, const struct job *end, enum db_status status)
{
    for (struct job *job = first; job != end; job = job->next)
        writer_refuse(job->reply, status);
}

/* Jobs of one commit, so that many who wait share one flush to the disk. When it fails,
 * so does every answer, also of those that changed nothing: it may rest on a job that
 * did. Gives the first job that did not run. */
static struct job *run_together(struct writer *writer, struct job *first)
{
    enum db_status status = db_begin(writer->db);
    struct job *job = first;
    int kept = 0;

    if (status != DB_OK) {
        refuse_jobs(first, NULL, status);
        return NULL;
    }
    for (; job != NULL && status == DB_OK; job = job->next) {
        int before = kept;

        status = run_part(writer, job, &kept);
        if (kept > before && job->next != NULL) /* the next must not find it unchanged */
            atomic_fetch_add(&writer->app->changes, 1);
    }
    if (status == DB_OK && kept > 0)
        status = db_commit(writer->db);
    else
        db_rollback(writer->db);
    if (kept > 0 && status == DB_OK)
        app_changed(writer->app);
    else if (kept > 0)
        refuse_jobs(first, job, status);
    return job;
}

/* The handler has its own transactions; one left open by mistake is undone. */
static void run_outside(struct writer *writer, struct job *job)
{
    if (!writer_replay(writer->db, job->req, job->reply))
        job->route->handler(writer->app, writer->db, job->req, job->reply);
    db_rollback(writer->db);
    if (is_success(job->reply))
        app_changed(writer->app);
}

static bool shares_commit(const struct job *job)
{
    return !(job->route->flags & (ROUTE_ON_WRITER | ROUTE_OUTSIDE_TRANSACTION));
}

/* A whole file takes seconds; who asked for a moment must not wait for it. */
static bool is_short(const struct job *job)
{
    return shares_commit(job) && !(job->route->flags & ROUTE_CSV_BODY);
}

static void run_alone(struct writer *writer, struct job *job)
{
    prepare(writer, job);
    if (job->route->flags & ROUTE_ON_WRITER)
        job->route->handler(writer->app, writer->db, job->req, job->reply);
    else
        run_outside(writer, job);
}

/* Jobs that share a commit, or one that does not. The line is let go: done releases. */
static void run(struct writer *writer, struct job *first)
{
    struct job *next = first;

    if (!shares_commit(first))
        run_alone(writer, first);
    else
        while (next != NULL)
            next = run_together(writer, next);
    for (struct job *job = first; job != NULL; job = next) {
        next = job->next;
        if (job->reply->status == 0)
            reply_refuse(job->reply, 500, "no_answer", NULL,
                         "The daemon has no answer.");
        job->done(job);
    }
}

/* Old answers need not be exact; once a day will do. */
static void forget_old_answers(struct writer *writer)
{
    int64_t now_ms = clock_boot_ms(&writer->app->clock);

    if (now_ms < writer->forget_at_ms)
        return;
    writer->forget_at_ms = now_ms + FORGET_EVERY_MS;
    if (db_begin(writer->db) != DB_OK)
        return;
    if (db_answer_forget(writer->db,
                         clock_wall_s(&writer->app->clock) - ANSWERS_KEPT_S) != DB_OK ||
        db_commit(writer->db) != DB_OK)
        db_rollback(writer->db);
}

/* ---- the thread ---- */

/* The first job, with those behind it that can share its commit; NULL when none waits. */
static struct job *take_jobs(struct writer *writer)
{
    struct job *first = writer->first;
    struct job *last = first;

    if (first == NULL)
        return NULL;
    for (int i = 1; i < JOBS_A_COMMIT && is_short(last) && last->next != NULL &&
                    is_short(last->next);
         i++)
        last = last->next;
    writer->first = last->next;
    if (writer->first == NULL)
        writer->last = NULL;
    last->next = NULL;
    return first;
}

static void refuse_stopping(struct job *first)
{
    for (struct job *job = first, *next; job != NULL; job = next) {
        next = job->next;
        memset(job->reply, 0, sizeof *job->reply);
        reply_refuse(job->reply, 503, "stopping", NULL,
                     "Nothing was saved: the daemon is stopping.");
        job->done(job);
    }
}

/* Said by this thread alone and only while it can begin and end a transaction, so that
 * a writer that hangs is started anew. A full disk or another program's lock is no
 * reason: a new start would not mend it. */
static void tell_alive(struct writer *writer)
{
    int64_t now_ms = clock_boot_ms(&writer->app->clock);
    enum db_status status;

    if (writer->watchdog_ms == 0 || now_ms < writer->alive_due_ms)
        return;
    writer->alive_due_ms = now_ms + writer->watchdog_ms;
    status = db_begin(writer->db);
    if (status == DB_OK) {
        status = db_commit(writer->db);
        if (status != DB_OK)
            db_rollback(writer->db);
    }
    if (status == DB_OK || status == DB_FULL || status == DB_BUSY)
        notify_send("WATCHDOG=1");
}

/* The lock is held. */
static void wait_for_job(struct writer *writer)
{
    int64_t left_ms = writer->alive_due_ms - clock_boot_ms(&writer->app->clock);
    struct timespec until;

    if (writer->watchdog_ms == 0) {
        pthread_cond_wait(&writer->changed, &writer->lock);
        return;
    }
    clock_gettime(CLOCK_MONOTONIC, &until);
    if (left_ms < 0)
        left_ms = 0;
    until.tv_sec += left_ms / 1000;
    until.tv_nsec += (left_ms % 1000) * 1000000L;
    until.tv_sec += until.tv_nsec / 1000000000L;
    until.tv_nsec %= 1000000000L;
    pthread_cond_timedwait(&writer->changed, &writer->lock, &until);
    pthread_mutex_unlock(&writer->lock);
    tell_alive(writer);
    pthread_mutex_lock(&writer->lock);
}

static void *work(void *context)
{
    struct writer *writer = context;
    struct job *job;

    forget_old_answers(writer);
    pthread_mutex_lock(&writer->lock);
    while (!writer->stopping) {
        job = take_jobs(writer);
        if (job == NULL) {
            wait_for_job(writer);
            continue;
        }
        pthread_mutex_unlock(&writer->lock);
        run(writer, job);
        forget_old_answers(writer);
        tell_alive(writer);
        pthread_mutex_lock(&writer->lock);
    }
    while ((job = take_jobs(writer)) != NULL)
        refuse_stopping(job);
    writer->ended = true;
    pthread_cond_broadcast(&writer->changed);
    pthread_mutex_unlock(&writer->lock);
    return NULL;
}

struct writer *writer_create(struct app *app, struct db *db)
{
    struct writer *writer = calloc(1, sizeof *writer);
    pthread_condattr_t attributes;

    if (writer == NULL)
        return NULL;
    writer->app = app;
    writer->db = db;
    writer->watchdog_ms = notify_watchdog_ms();
    pthread_mutex_init(&writer->lock, NULL);
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&writer->changed, &attributes);
    pthread_condattr_destroy(&attributes);
    if (pthread_create(&writer->thread, NULL, work, writer) != 0) {
        log_line(LOG_LEVEL_ERROR, "writer", "no thread for writing");
        pthread_cond_destroy(&writer->changed);
        pthread_mutex_destroy(&writer->lock);
        free(writer);
        return NULL;
    }
    return writer;
}

void writer_submit(struct writer *writer, struct job *job)
{
    bool stopping;

    job->next = NULL;
    pthread_mutex_lock(&writer->lock);
    stopping = writer->stopping;
    if (!stopping) {
        if (writer->last != NULL)
            writer->last->next = job;
        else
            writer->first = job;
        writer->last = job;
        pthread_cond_signal(&writer->changed);
    }
    pthread_mutex_unlock(&writer->lock);
    if (stopping)
        refuse_stopping(job);
}

bool writer_stop(struct writer *writer, int timeout_ms)
{
    struct timespec until;
    bool ended;
    int waited = 0;

    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_sec += timeout_ms / 1000;
    until.tv_nsec += (timeout_ms % 1000) * 1000000L;
    until.tv_sec += until.tv_nsec / 1000000000L;
    until.tv_nsec %= 1000000000L;
    pthread_mutex_lock(&writer->lock);
    writer->stopping = true;
    pthread_cond_broadcast(&writer->changed);
    while (!writer->ended && waited != ETIMEDOUT)
        waited = pthread_cond_timedwait(&writer->changed, &writer->lock, &until);
    ended = writer->ended;
    pthread_mutex_unlock(&writer->lock);
    if (ended)
        pthread_join(writer->thread, NULL);
    return ended;
}

void writer_destroy(struct writer *writer)
{
    if (writer == NULL)
        return;
    pthread_cond_destroy(&writer->changed);
    pthread_mutex_destroy(&writer->lock);
    free(writer);
}
