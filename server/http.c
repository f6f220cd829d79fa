#include "http.h"

#include <arpa/inet.h>
#include <malloc.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <time.h>
#include <unistd.h>

#include <microhttpd.h>
#include <pthread.h>
#include <sodium.h>

#include "api.h"
#include "api_permit.h"
#include "assets.h"
#include "body.h"
#include "door.h"
#include "gate.h"
#include "head.h"
#include "host.h"
#include "http_answer.h"
#include "http_counts.h"
#include "http_events.h"
#include "http_listen.h"
#include "log.h"
#include "problem.h"
#include "proxy.h"
#include "query.h"
#include "rights.h"
#include "wire.h"

/* Above either, what making the answer took is given back to the system afterwards. */
#define LONG_ANSWER_BYTES ((size_t)64 * 1024)
#define LONG_WORK_US 10000
/* Head, answer's headers and what pipelines: the library's own buffer. */
#define CONNECTION_MEMORY ((size_t)32 * 1024)
#define HEAD_MS 5000
#define BODY_MS 30000
#define IDLE_MS 60000
#define LINGER_MS 2000
/* The slowest upload and download we wait for, in bytes a second. */
#define RATE_MIN_BYTES_PER_S 65536
/* A body that is too long is still read up to this, so that the refusal arrives. */
#define SWALLOW_MAX ((uint64_t)128 * 1024 * 1024)

struct http {
    struct MHD_Daemon *daemon;
    struct app *app;
    struct db *reading;
    struct writer *writer;
    struct http_events *events;
    struct http_counts counts;
    struct host_rules hosts;
    const char (*proxies)[CONFIG_WORD_SIZE]; /* borrowed */
    uint16_t port;
    atomic_int calls; /* begun and not yet answered */
};

enum call_stage { CALL_NEW, CALL_READING, CALL_WAITING, CALL_DROPPED };

/* One request from its first line to the end of its answer. */
struct call {
    struct job job; /* first, so that the writer's job leads back here */
    struct http *http;
    struct MHD_Connection *connection;
    int fd;
    enum call_stage stage;
    struct request req;
    struct reply reply;
    struct body body;
    char target[HEAD_TARGET_MAX + 1];
    char path[HEAD_TARGET_MAX + 1];
    char query[HEAD_TARGET_MAX + 1];
    char peer[INET6_ADDRSTRLEN];
    char *texts[16]; /* copied headers and cookies; owned */
    size_t text_count;
    struct proof *proof; /* owned; NULL for most routes */
    int64_t came_us;     /* when all of it was here */
    int64_t took_us; /* from then to the answer */
    size_t answer_bytes;
};

/* ---- what came ---- */

static const char *copy_header(struct call *call, const char *name)
{
    const char *value =
        MHD_lookup_connection_value(call->connection, MHD_HEADER_KIND, name);
    char *copy = value == NULL ? NULL : strdup(value);

    if (copy != NULL)
        call->texts[call->text_count++] = copy;
    return copy;
}

/* A cookie of ours, copied; NULL when it is not there. */
static const char *copy_cookie(struct call *call, const char *name)
{
    const char *value =
        MHD_lookup_connection_value(call->connection, MHD_COOKIE_KIND, name);
    char *copy = value == NULL ? NULL : strdup(value);

    if (copy != NULL)
        call->texts[call->text_count++] = copy;
    return copy;
}

static void write_peer(struct call *call)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(call->connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
    const struct sockaddr *address = info == NULL ? NULL : info->client_addr;

    if (address != NULL && address->sa_family == AF_INET6)
        inet_ntop(AF_INET6, &((const struct sockaddr_in6 *)address)->sin6_addr,
                  call->peer, sizeof call->peer);
    else if (address != NULL)
        inet_ntop(AF_INET, &((const struct sockaddr_in *)address)->sin_addr, call->peer,
                  sizeof call->peer);
}

static void copy_request(struct call *call, const char *method)
{
    struct request *req = &call->req;
    size_t path_length = strcspn(call->target, "?");

    memcpy(call->path, call->target, path_length);
    if (call->target[path_length] == '?')
        strcpy(call->query, call->target + path_length + 1);
    call->texts[call->text_count++] = strdup(method);
    req->method = call->texts[0] == NULL ? "" : call->texts[0];
    req->is_head = strcmp(method, "HEAD") == 0;
    req->target = call->target;
    req->path = call->path;
    req->host = copy_header(call, "Host");
    req->origin = copy_header(call, "Origin");
    req->content_type = copy_header(call, "Content-Type");
    req->if_match = copy_header(call, "If-Match");
    req->if_none_match = copy_header(call, "If-None-Match");
    req->idempotency_key = copy_header(call, "Idempotency-Key");
    req->accept_encoding = copy_header(call, "Accept-Encoding");
    req->change_header = copy_header(call, "Coilkeep-Change");
    req->sec_fetch_site = copy_header(call, "Sec-Fetch-Site");
    req->authorization = copy_header(call, "Authorization");
    write_peer(call);
    req->peer = call->peer;
    req->is_secure = proxy_read(call->http->proxies,
                                copy_header(call, "X-Forwarded-For"),
                                copy_header(call, "X-Forwarded-Proto"), call->peer);
    req->session_cookie = copy_cookie(
        call, req->is_secure ? SESSION_COOKIE_SECURE : SESSION_COOKIE);
    req->device_cookie =
        copy_cookie(call, req->is_secure ? DEVICE_COOKIE_SECURE : DEVICE_COOKIE);
}

/* ---- the rules for every call ---- */

static bool is_page_method(const struct request *req)
{
    return req->is_head || strcmp(req->method, "GET") == 0;
}

/* What a daemon without an owner shows: the page to claim it, and what that loads. */
static bool is_claim_asset(const char *path)
{
    return strcmp(path, "/claim") == 0 || strcmp(path, "/claim.html") == 0 ||
           strcmp(path, "/style.css") == 0 || strcmp(path, "/pages.css") == 0 ||
           strcmp(path, "/people.css") == 0 || strcmp(path, "/icon.svg") == 0 ||
           strncmp(path, "/js/", 4) == 0;
}

/* A path that is no route: a page or what pages load, else 404 or 405. */
static void answer_page(struct call *call)
{
    const struct request *req = &call->req;
    bool found;

    if (door_state(call->http->app->door) == DOOR_UNCLAIMED && is_page_method(req) &&
        !is_claim_asset(call->path)) {
        call->reply.status = 303;
        snprintf(call->reply.location, sizeof call->reply.location, "/claim");
        return;
    }
    found = assets_disk_is_open() ? assets_disk_answer(req, &call->reply)
                                  : assets_answer(req, &call->reply);

    if (!found && strcmp(req->method, "OPTIONS") != 0) {
        reply_refuse(&call->reply, 404, "not_found", NULL, "There is nothing here.");
    } else if (!is_page_method(req)) {
        reply_refuse(&call->reply, 405, "method_not_allowed", NULL,
                     "This can only be read.");
        snprintf(call->reply.allow, sizeof call->reply.allow, "GET, HEAD");
    }
}

static bool find_route(struct call *call)
{
    switch (router_find(call->req.method, call->path, &call->job.route, &call->req.id,
                        call->reply.allow, sizeof call->reply.allow)) {
    case ROUTE_FOUND:
        call->reply.allow[0] = '\0';
        return true;
    case ROUTE_NO_METHOD:
        reply_refuse(&call->reply, 405, "method_not_allowed", NULL,
                     "Only %s can be done here.", call->reply.allow);
        return false;
    case ROUTE_NO_PATH:
        break;
    }
    answer_page(call);
    return false;
}

static bool parse_query(struct call *call)
{
    struct problem problem;

    problem_init(&problem);
    query_parse(call->query, &call->req, &problem);
    if (problem.count > 0) {
        reply_problem(&call->reply, &problem);
        return false;
    }
    return gate_lets_query(&call->req, call->job.route, &call->reply);
}

/* ---- who ---- */

#define SEEN_EVERY_S 60

/* A job of our own, that nobody waits for. */
struct touch {
    struct job job; /* first */
    struct request req;
    struct reply reply;
};

static const struct route touch_route = {"", "", ROUTE_ON_WRITER, api_session_touch,
                                         NULL, NULL};

static void end_touch(struct job *job)
{
    free(job);
}

/* A login in use stays alive: its last use is noted about once a minute. */
static void note_seen(struct call *call)
{
    const struct who *who = &call->req.who;
    struct touch *touch;

    if ((who->session_id == 0 && who->token_id == 0) ||
        clock_wall_s(&call->http->app->clock) - who->seen_at < SEEN_EVERY_S)
        return;
    touch = calloc(1, sizeof *touch);
    if (touch == NULL)
        return;
    touch->req.who = *who;
    touch->job.route = &touch_route;
    touch->job.req = &touch->req;
    touch->job.reply = &touch->reply;
    touch->job.done = end_touch;
    writer_submit(call->http->writer, &touch->job);
}

static bool lets_in(struct call *call)
{
    struct request *req = &call->req;

    door_identify(call->http->app->door, call->http->reading, req);
    if (!gate_lets_who(req, rights_of(call->job.route),
                       clock_wall_s(&call->http->app->clock), &call->reply))
        return false;
    note_seen(call);
    return true;
}

/* Refuses here what needs no body; reply.status stays 0 for a call that may go on. */
static void judge_head(struct call *call)
{
    if (call->req.host == NULL || !host_is_ours(&call->http->hosts, call->req.host))
        reply_refuse(&call->reply, 421, "host_unknown", NULL,
                     "This service does not answer to that name.");
    else if (find_route(call) && lets_in(call) && parse_query(call))
        gate_lets_change(&call->req, call->job.route, &call->reply);
}

/* ---- the body ---- */

/* The strict reader let at most one, well-formed Content-Length through. */
static uint64_t announced_length(struct call *call)
{
    const char *text = MHD_lookup_connection_value(call->connection, MHD_HEADER_KIND,
                                                   "Content-Length");

    return text == NULL ? 0 : strtoull(text, NULL, 10);
}

static bool expects_continue(struct call *call)
{
    const char *text =
        MHD_lookup_connection_value(call->connection, MHD_HEADER_KIND, "Expect");

    return text != NULL && strcasecmp(text, "100-continue") == 0;
}

static void refuse_too_large(struct call *call, uint64_t max)
{
    if (max == 0)
        reply_refuse(&call->reply, 400, "body_unexpected", NULL,
                     "This call takes no body.");
    else
        reply_refuse(&call->reply, 413, "body_too_large", NULL,
                     "The body may have %llu KiB at most.",
                     (unsigned long long)(max / 1024));
}

/* Of a refused call nothing is kept; it is only read, so that the answer arrives. */
static void open_body(struct call *call)
{
    uint64_t length = announced_length(call);
    uint64_t max = gate_body_max(call->job.route);
    bool spools = call->job.route != NULL && (call->job.route->flags & (ROUTE_CSV_BODY | ROUTE_PHOTO_BODY));

    if (call->reply.status == 0 && length > max)
        refuse_too_large(call, max);
    if (length > SWALLOW_MAX) {
        wire_refuse(call->fd, 413, "body_too_large", "The body is too large.");
        call->stage = CALL_DROPPED;
        return;
    }
    if (length > 0)
        wire_body_due(call->fd,
                      BODY_MS + (int64_t)(length / RATE_MIN_BYTES_PER_S) * 1000);
    if (call->reply.status == 0)
        body_open(&call->body, max, spools ? call->http->app->state_dir : NULL);
}

static bool close_body(struct call *call)
{
    switch (call->body.status) {
    case BODY_OK:
        call->req.body = body_bytes(&call->body);
        call->req.body_length = (size_t)call->body.length;
        return true;
    case BODY_TOO_LARGE:
        refuse_too_large(call, call->body.max);
        return false;
    case BODY_DISK_FULL:
        writer_refuse(&call->reply, DB_FULL);
        return false;
    case BODY_NO_MEMORY:
    case BODY_FAILED:
        break;
    }
    reply_refuse(&call->reply, 500, "upload_failed", NULL,
                 "The upload could not be kept. The log says more.");
    return false;
}

/* ---- the answer ---- */

static void make_not_modified(struct call *call)
{
    struct reply *reply = &call->reply;

    if (reply->status != 200 || reply->etag[0] == '\0' || reply->tag_only_matches ||
        !is_page_method(&call->req) || call->req.if_none_match == NULL ||
        !gate_tag_listed(call->req.if_none_match, reply->etag))
        return;
    reply_finish(reply);
    reply->status = 304;
    reply->content_type = NULL;
    reply->encoding = NULL;
}

/* Whether a stream of events may go on: the login may have ended meanwhile. */
static bool may_still_listen(void *context)
{
    struct call *call = context;

    door_identify(call->http->app->door, call->http->reading, &call->req);
    return who_may(&call->req.who, rights_of(call->job.route),
                   clock_wall_s(&call->http->app->clock)) == WHO_LET_IN;
}

static bool is_event_stream(const struct call *call)
{
    return call->job.route != NULL && (call->job.route->flags & ROUTE_EVENTS) &&
           call->reply.status == 200 && !call->req.is_head;
}

static struct MHD_Response *make_response(struct call *call)
{
    if (is_event_stream(call))
        return http_events_response(
            call->http->events, call->connection, call->fd,
            MHD_lookup_connection_value(call->connection, MHD_HEADER_KIND,
                                        "Last-Event-ID"),
            may_still_listen, call);
    return http_answer_make(&call->reply, call->fd);
}

static int64_t now_us(void)
{
    struct timespec now;

    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000000 + now.tv_nsec / 1000;
}

static enum MHD_Result send_reply(struct call *call)
{
    struct reply *reply = &call->reply;
    size_t length = reply->body_length;
    struct MHD_Response *response;
    enum MHD_Result result;

    call->answer_bytes = length;
    make_not_modified(call);
    response = make_response(call);
    if (response == NULL)
        return MHD_NO; /* closes the connection */
    http_answer_headers(response, reply);
    if (call->stage == CALL_DROPPED)
        http_answer_header(response, "Connection", "close");
    call->took_us = call->came_us == 0 ? 0 : now_us() - call->came_us;
    http_count(&call->http->counts, reply->status, call->took_us);
    wire_answer_due(call->fd,
                    HTTP_ANSWER_MS + (int64_t)(length / RATE_MIN_BYTES_PER_S) * 1000);
    result = MHD_queue_response(call->connection, (unsigned)reply->status, response);
    MHD_destroy_response(response);
    return result;
}

/* ---- running ---- */

static void resume(struct job *job)
{
    struct call *call = (struct call *)job;

    MHD_resume_connection(call->connection);
}

static void *look_at_secret(void *context)
{
    struct call *call = context;

    door_work(call->http->app->door, call->proof);
    writer_submit(call->http->writer, &call->job);
    return NULL;
}

static void refuse_hash(struct call *call)
{
    reply_refuse(&call->reply, 429, "login_busy", NULL,
                 "Others are logging in right now. Try again in a second.");
    call->reply.retry_after_s = 1;
}

/* Reads the form, then looks at the secret on a thread of its own. False when the call
 * is answered already. */
static bool begin_secret(struct call *call)
{
    struct door *door = call->http->app->door;
    pthread_attr_t attributes;
    pthread_t thread;
    bool started;

    call->proof = calloc(1, sizeof *call->proof);
    if (call->proof == NULL || !door_take_hash(door)) {
        refuse_hash(call);
        return false;
    }
    call->req.proof = call->proof;
    if (!call->job.route->prepare(call->http->app, call->http->reading, &call->req,
                                  &call->reply)) {
        door_leave_hash(door);
        return false;
    }
    call->stage = CALL_WAITING;
    MHD_suspend_connection(call->connection);
    pthread_attr_init(&attributes);
    pthread_attr_setdetachstate(&attributes, PTHREAD_CREATE_DETACHED);
    started = pthread_create(&thread, &attributes, look_at_secret, call) == 0;
    pthread_attr_destroy(&attributes);
    if (!started) /* on this thread then: slow, but it works */
        look_at_secret(call);
    return true;
}

static bool waits_for_writer(const struct route *route)
{
    return (route->flags & (ROUTE_CHANGES | ROUTE_ON_WRITER)) &&
           !(route->flags & ROUTE_AT_ONCE);
}

static enum MHD_Result run(struct call *call)
{
    const struct route *route = call->job.route;

    call->came_us = now_us();
    wire_working(call->fd);
    if (call->reply.status == 0 && close_body(call)) {
        call->job.req = &call->req;
        call->job.reply = &call->reply;
        call->job.done = resume;
        if (route->prepare != NULL)
            return begin_secret(call) ? MHD_YES : send_reply(call);
        if (waits_for_writer(route)) {
            call->stage = CALL_WAITING;
            MHD_suspend_connection(call->connection);
            writer_submit(call->http->writer, &call->job);
            return MHD_YES;
        }
        route->handler(call->http->app, call->http->reading, &call->req, &call->reply);
        if (call->reply.status == 0)
            reply_refuse(&call->reply, 500, "no_answer", NULL,
                         "The daemon has no answer.");
    }
    return send_reply(call);
}

static enum MHD_Result begin(struct call *call, struct MHD_Connection *connection,
                             const char *method)
{
    const union MHD_ConnectionInfo *info =
        MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD);

    call->connection = connection;
    call->fd = info->connect_fd;
    call->stage = CALL_READING;
    if (!wire_request_seen(call->fd)) {
        log_line(LOG_LEVEL_ERROR, "http", "a request came past the strict reader");
        return MHD_NO;
    }
    copy_request(call, method);
    judge_head(call);
    open_body(call);
    if (call->stage == CALL_DROPPED || call->reply.status == 0 ||
        !expects_continue(call))
        return MHD_YES;
    call->stage = CALL_DROPPED; /* it asked before sending, and hears no */
    return send_reply(call);
}

/* The library calls this once for the head, for each piece of the body, at its end, and
 * again when a suspended connection goes on. */
static enum MHD_Result handle(void *context, struct MHD_Connection *connection,
                              const char *url, const char *method, const char *version,
                              const char *upload, size_t *upload_size,
                              void **connection_context)
{
    struct call *call = *connection_context;

    (void)context;
    (void)url; /* decoded already; ours is as sent */
    (void)version;
    if (call == NULL)
        return MHD_NO; /* no memory */
    switch (call->stage) {
    case CALL_NEW:
        return begin(call, connection, method);
    case CALL_READING:
        if (*upload_size == 0)
            return run(call);
        if (call->reply.status == 0)
            body_add(&call->body, upload, *upload_size);
        *upload_size = 0;
        return MHD_YES;
    case CALL_WAITING:
        return send_reply(call);
    case CALL_DROPPED:
        *upload_size = 0;
        break;
    }
    return MHD_YES;
}

/* ---- the library's other calls ---- */

static void *note_target(void *context, const char *target,
                         struct MHD_Connection *connection)
{
    struct http *http = context;
    struct call *call = calloc(1, sizeof *call);

    (void)connection;
    if (call == NULL)
        return NULL;
    call->http = http;
    call->body.fd = -1;
    snprintf(call->target, sizeof call->target, "%s", target);
    atomic_fetch_add(&http->calls, 1);
    return call;
}

static void complete(void *context, struct MHD_Connection *connection,
                     void **connection_context,
                     enum MHD_RequestTerminationCode termination)
{
    struct http *http = context;
    struct call *call = *connection_context;
    bool is_long;

    (void)connection;
    (void)termination;
    if (call == NULL)
        return;
    if (call->connection != NULL)
        wire_answered(call->fd);
    reply_finish(&call->reply);
    body_close(&call->body);
    if (call->proof != NULL) {
        sodium_memzero(call->proof, sizeof *call->proof);
        free(call->proof);
    }
    for (size_t i = 0; i < call->text_count; i++)
        free(call->texts[i]);
    is_long = call->answer_bytes > LONG_ANSWER_BYTES || call->took_us > LONG_WORK_US;
    free(call);
    if (is_long)
        malloc_trim(0);
    *connection_context = NULL;
    atomic_fetch_sub(&http->calls, 1);
}

static void note_connection(void *context, struct MHD_Connection *connection,
                            void **socket_context,
                            enum MHD_ConnectionNotificationCode code)
{
    int fd = MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CONNECTION_FD)
                 ->connect_fd;

    (void)context;
    (void)socket_context;
    if (code == MHD_CONNECTION_NOTIFY_STARTED)
        wire_open(
            fd, MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS)
                    ->client_addr);
    else
        wire_close(fd);
}

static enum MHD_Result accept_policy(void *context, const struct sockaddr *address,
                                     socklen_t length)
{
    (void)context;
    (void)length;
    return wire_may_open(address) ? MHD_YES : MHD_NO;
}

/* Clients that leave are no news. */
static void note_library_words(void *context, const char *format, va_list values)
{
    char text[200];

    (void)context;
    vsnprintf(text, sizeof text, format, values);
    text[strcspn(text, "\n")] = '\0';
    if (strstr(text, "Failed to send") == NULL && strstr(text, "closing") == NULL &&
        strstr(text, "Closing") == NULL && strstr(text, "socket") == NULL &&
        strstr(text, "denied") == NULL)
        log_line(LOG_LEVEL_WARNING, "http", "%s", text);
}

/* ---- start and stop ---- */

static struct MHD_Daemon *start_library(struct http *http, int fd, unsigned connections)
{
    return MHD_start_daemon(
        MHD_USE_EPOLL_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME | MHD_USE_ERROR_LOG, 0,
        accept_policy, http, handle, http, MHD_OPTION_EXTERNAL_LOGGER,
        note_library_words, http, MHD_OPTION_LISTEN_SOCKET, fd,
        MHD_OPTION_CONNECTION_LIMIT, connections, MHD_OPTION_CONNECTION_MEMORY_LIMIT,
        CONNECTION_MEMORY, MHD_OPTION_URI_LOG_CALLBACK, note_target, http,
        MHD_OPTION_NOTIFY_COMPLETED, complete, http, MHD_OPTION_NOTIFY_CONNECTION,
        note_connection, http, MHD_OPTION_STRICT_FOR_CLIENT, 1, MHD_OPTION_END);
}

enum http_status http_start(const struct http_options *options, struct app *app,
                            struct db *reading, struct writer *writer,
                            struct http **out_http)
{
    const struct wire_limits limits = {options->connections_per_address, HEAD_MS,
                                       BODY_MS, IDLE_MS, LINGER_MS};
    struct http *http = calloc(1, sizeof *http);
    enum http_status status;
    int fd = -1;

    if (http == NULL)
        return HTTP_FAILED;
    http->app = app;
    app->http_counts = &http->counts;
    http->reading = reading;
    http->writer = writer;
    status = http_listen(options, &fd, &http->port);
    if (status != HTTP_OK)
        goto fail;
    host_rules_init(&http->hosts, http->port);
    http->hosts.names = options->names;
    http->proxies = options->proxies;
    status = HTTP_FAILED;
    if (!wire_start(&limits))
        goto fail;
    http->events = http_events_create(app);
    if (http->events != NULL)
        http->daemon = start_library(http, fd, options->connections);
    if (http->daemon == NULL) {
        wire_stop();
        goto fail;
    }
    *out_http = http;
    return HTTP_OK;
fail:
    if (fd >= 0)
        close(fd);
    if (http->events != NULL) {
        http_events_close(http->events);
        http_events_destroy(http->events);
    }
    free(http);
    return status;
}

uint16_t http_port(const struct http *http)
{
    return http->port;
}

void http_quiesce(struct http *http)
{
    int fd = MHD_quiesce_daemon(http->daemon);

    if (fd >= 0)
        close(fd);
    http_events_close(http->events);
}

void http_stop(struct http *http, int timeout_ms)
{
    const struct timespec pause = {0, 10 * 1000000L};

    for (int waited = 0; waited < timeout_ms && atomic_load(&http->calls) > 0;
         waited += 10)
        nanosleep(&pause, NULL);
    http_events_close(http->events);
    MHD_stop_daemon(http->daemon);
    http_events_destroy(http->events);
    api_permit_forget();
    wire_stop();
    free(http);
}
