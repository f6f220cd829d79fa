/* The writer thread around a store that fails on demand: what is committed, what is
 * undone, and what the caller hears. The store's functions stand in this file. */
#include <pthread.h>
#include <semaphore.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "server/db_people.h"
#include "server/problem.h"
#include "server/writer.h"
#include "tests/support/suite.h"

/* ---- a store that does as it is told ---- */

static struct {
    enum db_status begin, commit, get, put, part_drop;
    int begun, committed, rolled_back, kept, forgotten, parts_kept, parts_dropped;
    int committed_when_done; /* of the newest job */
    bool has_answer;
    struct db_answer answer; /* its body is a literal */
} store;

enum db_status db_begin(struct db *db)
{
    (void)db;
    store.begun += store.begin == DB_OK;
    return store.begin;
}

void db_set_acting(struct db *db, int64_t actor_id)
{
    (void)db;
    (void)actor_id;
}

enum db_status db_commit(struct db *db)
{
    (void)db;
    store.committed += store.commit == DB_OK;
    return store.commit;
}

void db_rollback(struct db *db)
{
    (void)db;
    store.rolled_back++;
}

enum db_status db_part_begin(struct db *db)
{
    (void)db;
    return DB_OK;
}

enum db_status db_part_keep(struct db *db)
{
    (void)db;
    store.parts_kept++;
    return DB_OK;
}

enum db_status db_part_drop(struct db *db)
{
    (void)db;
    store.parts_dropped++;
    return store.part_drop;
}

enum db_status db_answer_get(struct db *db, const char *key, struct db_answer *out)
{
    (void)db;
    (void)key;
    if (store.get != DB_OK || !store.has_answer)
        return store.get != DB_OK ? store.get : DB_NOT_FOUND;
    *out = store.answer;
    out->body = strdup(store.answer.body);
    return DB_OK;
}

enum db_status db_answer_put(struct db *db, const char *key, int64_t at,
                             const struct db_answer *answer)
{
    (void)db;
    (void)key;
    (void)at;
    if (store.put == DB_OK) {
        store.kept++;
        store.has_answer = true;
        store.answer = *answer;
        store.answer.body = (char *)"{\"id\":1}";
    }
    return store.put;
}

enum db_status db_answer_forget(struct db *db, int64_t older_than)
{
    (void)db;
    (void)older_than;
    store.forgotten++;
    return DB_OK;
}

/* ---- handlers ---- */

static int handled;
static sem_t gate;

static void create(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    (void)app;
    (void)db;
    (void)req;
    handled++;
    reply_json(out, 201, strdup("{\"id\":1}"));
    strcpy(out->location, "/api/v1/waters/1");
}

static void refuse(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    (void)app;
    (void)db;
    (void)req;
    handled++;
    reply_refuse(out, 422, "wrong_type", "name", "No.");
}

static void say_nothing(struct app *app, struct db *db, const struct request *req,
                        struct reply *out)
{
    (void)app;
    (void)db;
    (void)req;
    (void)out;
}

static void wait_at_gate(struct app *app, struct db *db, const struct request *req,
                         struct reply *out)
{
    sem_wait(&gate);
    create(app, db, req, out);
}

/* ---- running ---- */

static struct app app;
static struct writer *writer;
static sem_t done;

static void note_done(struct job *job)
{
    (void)job;
    store.committed_when_done = store.committed;
    sem_post(&done);
}

static void tear_down(void)
{
    ck_assert(writer_stop(writer, 5000));
    writer_destroy(writer);
}

static struct reply run(api_handler handler, unsigned flags, const char *key,
                        const char *body)
{
    const struct route route = {"POST", "/x", flags, handler, NULL};
    struct request req = {.method = "POST",
                          .target = "/x",
                          .idempotency_key = key,
                          .body = (const uint8_t *)body,
                          .body_length = strlen(body)};
    struct reply reply = {0};
    struct job job = {.route = &route, .req = &req, .reply = &reply, .done = note_done};

    writer_submit(writer, &job);
    sem_wait(&done);
    return reply;
}

/* The first call waits until the writer has forgotten old answers, as it does at first.
 */
static void set_up(void)
{
    struct reply reply;

    memset(&store, 0, sizeof store);
    sem_init(&done, 0, 0);
    sem_init(&gate, 0, 0);
    writer = writer_create(&app, NULL);
    ck_assert_ptr_nonnull(writer);
    reply = run(create, ROUTE_ON_WRITER, NULL, "");
    reply_finish(&reply);
    ck_assert_int_eq(store.forgotten, 1);
    memset(&store, 0, sizeof store);
    handled = 0;
}

static void assert_refused(struct reply reply, int status, const char *code)
{
    char wanted[64];

    ck_assert_int_eq(reply.status, status);
    snprintf(wanted, sizeof wanted, "\"/problems/%s\"", code);
    ck_assert_ptr_nonnull(
        memmem(reply.body, reply.body_length, wanted, strlen(wanted)));
    reply_finish(&reply);
}

#define CHANGES (ROUTE_CHANGES | ROUTE_KEY)

START_TEST(a_success_is_committed_before_its_answer_and_counted)
{
    uint64_t before = atomic_load(&app.changes);
    struct reply reply = run(create, CHANGES, "key-00001", "{}");

    ck_assert_int_eq(reply.status, 201);
    ck_assert_int_eq(store.committed, 1);
    ck_assert_int_eq(store.kept, 1);
    ck_assert_int_eq(store.rolled_back, 0);
    ck_assert_uint_eq(atomic_load(&app.changes), before + 1);
    reply_finish(&reply);
}
END_TEST

START_TEST(a_refusal_is_undone_not_kept_and_not_counted)
{
    uint64_t before = atomic_load(&app.changes);

    assert_refused(run(refuse, CHANGES, "key-00001", "{}"), 422, "wrong_type");
    ck_assert_int_eq(store.committed, 0);
    ck_assert_int_eq(store.kept, 0);
    ck_assert_int_eq(store.rolled_back, 1);
    ck_assert_uint_eq(atomic_load(&app.changes), before);
}
END_TEST

START_TEST(a_repeated_call_gets_the_kept_answer_and_runs_nothing)
{
    struct reply first = run(create, CHANGES, "key-00001", "{\"a\":1}");
    struct reply again = run(create, CHANGES, "key-00001", "{\"a\":1}");

    ck_assert_int_eq(handled, 1);
    ck_assert_int_eq(again.status, 201);
    ck_assert_str_eq(again.location, "/api/v1/waters/1");
    ck_assert_uint_eq(again.body_length, first.body_length);
    ck_assert_mem_eq(again.body, first.body, first.body_length);
    reply_finish(&first);
    reply_finish(&again);
    assert_refused(run(create, CHANGES, "key-00001", "{\"a\":2}"), 422, "key_reused");
    ck_assert_int_eq(handled, 1);
}
END_TEST

START_TEST(a_store_that_fails_is_told_as_what_it_is)
{
    static const struct {
        enum db_status status;
        int http;
        const char *code;
    } cases[] = {{DB_FULL, 507, "disk_full"},
                 {DB_BUSY, 503, "busy"},
                 {DB_FAILED, 500, "store_failed"},
                 {DB_CORRUPT, 500, "store_failed"}};
    uint64_t before = atomic_load(&app.changes);

    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        enum db_status *const places[] = {&store.begin, &store.commit, &store.get,
                                          &store.put};

        for (size_t place = 0; place < 4; place++) {
            *places[place] = cases[i].status;
            assert_refused(run(create, CHANGES, "key-00001", "{}"), cases[i].http,
                           cases[i].code);
            *places[place] = DB_OK;
            store.has_answer = false;
        }
    }
    ck_assert_int_eq(store.committed, 0);
    ck_assert_uint_eq(atomic_load(&app.changes), before);
}
END_TEST

START_TEST(a_call_outside_a_transaction_is_not_wrapped)
{
    struct reply reply = run(create, CHANGES | ROUTE_OUTSIDE_TRANSACTION, NULL, "x");

    ck_assert_int_eq(reply.status, 201);
    ck_assert_int_eq(store.begun, 0);
    ck_assert_int_eq(store.kept, 0);
    ck_assert_int_eq(store.rolled_back, 1); /* of what it may have left open */
    reply_finish(&reply);
    reply = run(create, ROUTE_ON_WRITER, NULL, "");
    ck_assert_int_eq(store.begun, 0);
    reply_finish(&reply);
}
END_TEST

START_TEST(a_handler_that_says_nothing_is_a_500)
{
    assert_refused(run(say_nothing, CHANGES, NULL, ""), 500, "no_answer");
    ck_assert_int_eq(store.committed, 0);
}
END_TEST

START_TEST(old_answers_are_forgotten_once_a_day)
{
    for (int i = 0; i < 3; i++) {
        struct reply reply = run(create, ROUTE_CHANGES, NULL, "");

        reply_finish(&reply);
    }
    ck_assert_int_eq(store.forgotten, 0); /* set_up saw today's */
}
END_TEST

START_TEST(a_stop_ends_the_running_call_and_refuses_the_waiting_ones)
{
    const struct route route = {"POST", "/x", ROUTE_CHANGES, wait_at_gate, NULL};
    struct request req = {
        .method = "POST", .target = "/x", .body = (const uint8_t *)""};
    struct reply replies[3] = {{0}};
    struct job jobs[3];

    for (int i = 0; i < 3; i++) {
        jobs[i] = (struct job){
            .route = &route, .req = &req, .reply = &replies[i], .done = note_done};
        writer_submit(writer, &jobs[i]);
        if (i == 0)
            usleep(50000); /* until it is at the gate, alone */
    }
    ck_assert(!writer_stop(writer, 100));
    sem_post(&gate);
    ck_assert(writer_stop(writer, 5000));
    ck_assert_int_eq(replies[0].status, 201);
    reply_finish(&replies[0]);
    assert_refused(replies[1], 503, "stopping");
    assert_refused(replies[2], 503, "stopping");
    replies[0] = (struct reply){0};
    writer_submit(writer, &jobs[0]); /* too late: answered at once */
    assert_refused(replies[0], 503, "stopping");
    writer_destroy(writer);
    writer = writer_create(&app, NULL);
}
END_TEST

/* One job that waits at the gate, and three that come meanwhile. */
struct line {
    struct route routes[4];
    struct reply replies[4];
    struct job jobs[4];
};

static void run_line(struct line *line, api_handler second)
{
    static struct request req = {
        .method = "POST", .target = "/x", .body = (const uint8_t *)""};
    const api_handler handlers[] = {wait_at_gate, create, second, create};

    memset(line, 0, sizeof *line);
    for (int i = 0; i < 4; i++) {
        line->routes[i] =
            (struct route){"POST", "/x", ROUTE_CHANGES, handlers[i], NULL};
        line->jobs[i] = (struct job){.route = &line->routes[i],
                                     .req = &req,
                                     .reply = &line->replies[i],
                                     .done = note_done};
        writer_submit(writer, &line->jobs[i]);
        if (i == 0)
            usleep(50000); /* until it is at the gate */
    }
    sem_post(&gate);
    for (int i = 0; i < 4; i++)
        sem_wait(&done);
}

START_TEST(calls_that_wait_together_share_one_commit)
{
    uint64_t before = atomic_load(&app.changes);
    struct line line;

    run_line(&line, create);
    for (int i = 0; i < 4; i++) {
        ck_assert_int_eq(line.replies[i].status, 201);
        reply_finish(&line.replies[i]);
    }
    ck_assert_int_eq(store.begun, 2);
    ck_assert_int_eq(store.committed, 2);
    ck_assert_int_eq(store.committed_when_done, 2);
    ck_assert_int_eq(store.parts_kept, 4);
    ck_assert_uint_eq(atomic_load(&app.changes), before + 4);
}
END_TEST

START_TEST(a_call_that_fails_among_others_is_undone_alone)
{
    struct line line;

    run_line(&line, refuse);
    ck_assert_int_eq(line.replies[1].status, 201);
    ck_assert_int_eq(line.replies[3].status, 201);
    reply_finish(&line.replies[0]);
    reply_finish(&line.replies[1]);
    reply_finish(&line.replies[3]);
    assert_refused(line.replies[2], 422, "wrong_type");
    ck_assert_int_eq(store.parts_dropped, 1);
    ck_assert_int_eq(store.rolled_back, 0);
    ck_assert_int_eq(store.committed, 2);
}
END_TEST

START_TEST(a_commit_that_fails_fails_all_who_shared_it)
{
    struct line line;

    store.commit = DB_FULL;
    run_line(&line, refuse);
    for (int i = 0; i < 4; i++)
        assert_refused(line.replies[i], 507, "disk_full");
    ck_assert_int_eq(store.committed, 0);
}
END_TEST

/* On a full disk SQLite rolls back by itself: what went before is gone too. */
START_TEST(a_transaction_that_the_store_undid_is_told_to_all_before)
{
    struct line line;

    store.part_drop = DB_FAILED;
    run_line(&line, refuse);
    ck_assert_int_eq(line.replies[0].status, 201);
    ck_assert_int_eq(line.replies[3].status, 201); /* in a transaction of its own */
    reply_finish(&line.replies[0]);
    reply_finish(&line.replies[3]);
    assert_refused(line.replies[1], 507, "disk_full");
    assert_refused(line.replies[2], 507, "disk_full");
    ck_assert_int_eq(store.committed, 2);
    ck_assert_int_eq(store.rolled_back, 1);
}
END_TEST

int main(void)
{
    TCase *tcase = tcase_create("writer");

    tcase_add_checked_fixture(tcase, set_up, tear_down);
    tcase_add_test(tcase, a_success_is_committed_before_its_answer_and_counted);
    tcase_add_test(tcase, a_refusal_is_undone_not_kept_and_not_counted);
    tcase_add_test(tcase, a_repeated_call_gets_the_kept_answer_and_runs_nothing);
    tcase_add_test(tcase, a_store_that_fails_is_told_as_what_it_is);
    tcase_add_test(tcase, a_call_outside_a_transaction_is_not_wrapped);
    tcase_add_test(tcase, a_handler_that_says_nothing_is_a_500);
    tcase_add_test(tcase, old_answers_are_forgotten_once_a_day);
    tcase_add_test(tcase, a_stop_ends_the_running_call_and_refuses_the_waiting_ones);
    tcase_add_test(tcase, calls_that_wait_together_share_one_commit);
    tcase_add_test(tcase, a_call_that_fails_among_others_is_undone_alone);
    tcase_add_test(tcase, a_commit_that_fails_fails_all_who_shared_it);
    tcase_add_test(tcase, a_transaction_that_the_store_undid_is_told_to_all_before);
    return suite_run("writer", tcase);
}
