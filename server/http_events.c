#include "http_events.h"

#include <errno.h>
#include <poll.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "wire.h"

#define LOOK_S 4
#define HEARTBEAT_MS 15000
#define SEND_MS 20000
#define EVENT_BYTES 512

struct stream {
    struct stream *next, *previous;
    struct http_events *events;
    struct MHD_Connection *connection;
    int fd;
    http_events_check check;
    void *context;
    uint64_t told; /* the change that the other end knows */
    bool has_greeted, is_asleep;
    int64_t beat_ms; /* when something last went out */
};

struct http_events {
    struct app *app;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t wake;
    struct stream *first;
    bool is_closing;
};

/* ---- waking ---- */

/* With the lock held. A connection is resumed once for each time it was suspended. */
static void wake_all(struct http_events *events)
{
    for (struct stream *stream = events->first; stream != NULL; stream = stream->next)
        if (stream->is_asleep) {
            stream->is_asleep = false;
            MHD_resume_connection(stream->connection);
        }
}

/* On the thread that made the change, which is never the HTTP thread. */
static void note_change(void *context)
{
    struct http_events *events = context;

    pthread_mutex_lock(&events->lock);
    wake_all(events);
    pthread_mutex_unlock(&events->lock);
}

static void *look_again(void *context)
{
    struct http_events *events = context;
    struct timespec until;

    pthread_mutex_lock(&events->lock);
    while (!events->is_closing) {
        clock_gettime(CLOCK_MONOTONIC, &until);
        until.tv_sec += LOOK_S;
        pthread_cond_timedwait(&events->wake, &events->lock, &until);
        wake_all(events);
    }
    pthread_mutex_unlock(&events->lock);
    return NULL;
}

/* ---- one stream, on the HTTP thread ---- */

static bool peer_is_gone(int fd)
{
    struct pollfd state = {.fd = fd, .events = POLLRDHUP};

    return poll(&state, 1, 0) > 0 &&
           (state.revents & (POLLRDHUP | POLLHUP | POLLERR)) != 0;
}

static int write_event(struct stream *stream, uint64_t change, char *out, size_t size)
{
    const struct app *app = stream->events->app;

    stream->told = change;
    return snprintf(out, size, "%sid: %llx-%llu\nevent: change\ndata: {}\n\n",
                    stream->has_greeted ? "" : "retry: 3000\n",
                    (unsigned long long)app->run_id, (unsigned long long)change);
}

/* What there is to say; 0 for nothing. With the lock held, so that no change falls
 * between the look and the sleep. */
static int say(struct stream *stream, char *out, size_t size)
{
    uint64_t change = atomic_load(&stream->events->app->changes);
    int64_t now_ms = clock_boot_ms(&stream->events->app->clock);
    int length = 0;

    if (change != stream->told)
        length = write_event(stream, change, out, size);
    else if (!stream->has_greeted)
        length = snprintf(out, size, "retry: 3000\n\n");
    else if (now_ms - stream->beat_ms >= HEARTBEAT_MS)
        length = snprintf(out, size, ": here\n\n");
    if (length > 0)
        stream->beat_ms = now_ms;
    stream->has_greeted = true;
    return length;
}

static ssize_t next_event(void *context, uint64_t position, char *out, size_t size)
{
    struct stream *stream = context;
    struct http_events *events = stream->events;
    ssize_t length;

    (void)position;
    if (peer_is_gone(stream->fd) || !stream->check(stream->context))
        return MHD_CONTENT_READER_END_OF_STREAM;
    pthread_mutex_lock(&events->lock);
    if (events->is_closing) {
        length = MHD_CONTENT_READER_END_OF_STREAM;
    } else {
        length = say(stream, out, size);
        if (length == 0) {
            wire_working(stream->fd); /* silence is no fault here */
            stream->is_asleep = true;
            MHD_suspend_connection(stream->connection);
        } else {
            wire_answer_due(stream->fd, SEND_MS);
        }
    }
    pthread_mutex_unlock(&events->lock);
    return length;
}

static void end_stream(void *context)
{
    struct stream *stream = context;
    struct http_events *events = stream->events;

    pthread_mutex_lock(&events->lock);
    if (stream->previous != NULL)
        stream->previous->next = stream->next;
    else
        events->first = stream->next;
    if (stream->next != NULL)
        stream->next->previous = stream->previous;
    pthread_mutex_unlock(&events->lock);
    free(stream);
}

/* "RUN-CHANGE" of this run, else something that no change has. */
static uint64_t known_change(const struct app *app, const char *last_id)
{
    unsigned long long run = 0, change = 0;

    if (last_id != NULL && strlen(last_id) < 64 &&
        sscanf(last_id, "%llx-%llu", &run, &change) == 2 && run == app->run_id)
        return change;
    return UINT64_MAX;
}

struct MHD_Response *http_events_response(struct http_events *events,
                                          struct MHD_Connection *connection, int fd,
                                          const char *last_id, http_events_check check,
                                          void *context)
{
    struct stream *stream = calloc(1, sizeof *stream);
    struct MHD_Response *response;

    if (stream == NULL)
        return NULL;
    *stream = (struct stream){.events = events,
                              .connection = connection,
                              .fd = fd,
                              .check = check,
                              .context = context,
                              .told = known_change(events->app, last_id)};
    response = MHD_create_response_from_callback(MHD_SIZE_UNKNOWN, EVENT_BYTES,
                                                 next_event, stream, end_stream);
    if (response == NULL) {
        free(stream);
        return NULL;
    }
    pthread_mutex_lock(&events->lock);
    stream->next = events->first;
    if (events->first != NULL)
        events->first->previous = stream;
    events->first = stream;
    pthread_mutex_unlock(&events->lock);
    return response;
}

int http_events_count(struct http_events *events)
{
    int count = 0;

    pthread_mutex_lock(&events->lock);
    for (struct stream *stream = events->first; stream != NULL; stream = stream->next)
        count++;
    pthread_mutex_unlock(&events->lock);
    return count;
}

/* ---- begin and end ---- */

struct http_events *http_events_create(struct app *app)
{
    struct http_events *events = calloc(1, sizeof *events);
    pthread_condattr_t attributes;

    if (events == NULL)
        return NULL;
    events->app = app;
    pthread_mutex_init(&events->lock, NULL);
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&events->wake, &attributes);
    pthread_condattr_destroy(&attributes);
    if (pthread_create(&events->thread, NULL, look_again, events) != 0) {
        pthread_cond_destroy(&events->wake);
        pthread_mutex_destroy(&events->lock);
        free(events);
        return NULL;
    }
    app->on_change_context = events;
    app->on_change = note_change;
    return events;
}

void http_events_close(struct http_events *events)
{
    pthread_mutex_lock(&events->lock);
    if (events->is_closing) {
        pthread_mutex_unlock(&events->lock);
        return;
    }
    events->is_closing = true;
    pthread_cond_signal(&events->wake);
    wake_all(events);
    pthread_mutex_unlock(&events->lock);
    pthread_join(events->thread, NULL);
}

void http_events_destroy(struct http_events *events)
{
    events->app->on_change = NULL;
    pthread_cond_destroy(&events->wake);
    pthread_mutex_destroy(&events->lock);
    free(events);
}
