#include "wire.h"

#include <errno.h>
#include <netinet/in.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "clock.h"
#include "golden.h"
#include "head.h"
#include "log.h"

#define FD_MAX 2048
#define TICK_MS 200
#define DISCARD_MAX (1 << 20) /* bytes thrown away in one go after a refusal */

struct line {
    bool open;
    bool lingers; /* refused: whatever still comes is thrown away */
    struct sockaddr_storage address;
    struct head head;   /* of the request being read */
    uint64_t body_left; /* of the request being read */
    unsigned seen;      /* heads that passed */
    unsigned complete;  /* of those, with the whole body */
    unsigned answered;
    int64_t due_ms; /* boot time; 0 for none */
    char *refusal;  /* to be sent once all before it is answered; owned */
    size_t refusal_length;
};

static struct line lines[FD_MAX];
static size_t open_count;
static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static pthread_cond_t changed;
static struct wire_limits limits;
static bool running;
static pthread_t watchdog;

static int64_t now_ms(void)
{
    static const struct clock clock = {NULL};

    return clock_boot_ms(&clock);
}

/* NULL for a socket that is none of ours. */
static struct line *find(int fd)
{
    return fd >= 0 && fd < FD_MAX && lines[fd].open ? &lines[fd] : NULL;
}

/* ---- refusals ---- */

static void linger(struct line *line, int fd)
{
    line->lingers = true;
    line->due_ms = now_ms() + limits.linger_ms;
    /* a failed send leaves nobody to tell */
    if (line->refusal != NULL &&
        send(fd, line->refusal, line->refusal_length, MSG_NOSIGNAL | MSG_DONTWAIT) < 0)
        line->due_ms = now_ms();
    free(line->refusal);
    line->refusal = NULL;
    shutdown(fd, SHUT_WR);
}

static void prepare_refusal(struct line *line, int status, const char *code,
                            const char *detail)
{
    static const struct clock clock = {NULL};

    free(line->refusal);
    line->refusal = golden_refusal(status, code, detail, clock_wall_s(&clock),
                                   &line->refusal_length);
}

/* ---- reading ---- */

static void set_reading_due(struct line *line, bool starts)
{
    if (line->answered < line->complete)
        return; /* the handler or the answer has its own */
    if (line->body_left > 0) {
        if (starts)
            line->due_ms = now_ms() + limits.body_ms;
    } else if (head_is_open(&line->head)) {
        if (starts)
            line->due_ms = now_ms() + limits.head_ms;
    } else {
        line->due_ms = now_ms() + limits.idle_ms;
    }
}

static void complete_request(struct line *line)
{
    line->complete++;
    line->due_ms = 0;
}

static size_t take_body(struct line *line, size_t length)
{
    size_t taken = length < line->body_left ? length : (size_t)line->body_left;

    line->body_left -= taken;
    if (line->body_left == 0)
        complete_request(line);
    return taken;
}

static size_t take_head(struct line *line, const char *bytes, size_t length)
{
    bool starts = !head_is_open(&line->head);
    size_t taken;

    if (starts)
        memset(&line->head, 0, sizeof line->head);
    taken = head_feed(&line->head, bytes, length);
    if (line->head.state == HEAD_DONE) {
        line->seen++;
        line->body_left = line->head.content_length;
        memset(&line->head, 0, sizeof line->head);
        if (line->body_left == 0)
            complete_request(line);
        else
            set_reading_due(line, true);
    } else if (line->head.state != HEAD_REFUSED && starts) {
        set_reading_due(line, true);
    }
    return taken;
}

/* How many of the bytes the library may have. */
static size_t admit(struct line *line, int fd, const char *bytes, size_t length)
{
    size_t at = 0;

    while (at < length) {
        size_t start = at;

        if (line->body_left > 0) {
            at += take_body(line, length - at);
            continue;
        }
        at += take_head(line, bytes + at, length - at);
        if (line->head.state == HEAD_REFUSED) {
            prepare_refusal(line, line->head.status, line->head.code,
                            line->head.detail);
            line->lingers = true;
            if (line->answered == line->seen)
                linger(line, fd);
            return start;
        }
    }
    return at;
}

static ssize_t discard(int fd)
{
    char bytes[4096];
    ssize_t got;
    size_t total = 0;

    do {
        got = recvfrom(fd, bytes, sizeof bytes, MSG_DONTWAIT, NULL, NULL);
        total += got > 0 ? (size_t)got : 0;
    } while (got > 0 && total < DISCARD_MAX);
    if (got > 0) {
        errno = EAGAIN;
        return -1;
    }
    return got;
}

/* In place of the C library's, for the HTTP library (see wire.h). */
ssize_t recv(int fd, void *buffer, size_t length, int flags)
{
    struct line *line;
    ssize_t got;

    pthread_mutex_lock(&lock);
    line = find(fd);
    if (line == NULL || (flags & MSG_PEEK) != 0) {
        pthread_mutex_unlock(&lock);
        return recvfrom(fd, buffer, length, flags, NULL, NULL);
    }
    got = line->lingers ? discard(fd) : recvfrom(fd, buffer, length, flags, NULL, NULL);
    if (got > 0) {
        got = (ssize_t)admit(line, fd, buffer, (size_t)got);
        if (got == 0) {
            errno = EAGAIN;
            got = -1;
        }
    }
    pthread_mutex_unlock(&lock);
    return got;
}

/* ---- deadlines ---- */

/* A client that was too slow hears so, unless an answer is on its way. */
static void shut_down_late(struct line *line, int fd)
{
    bool was_reading = head_is_open(&line->head) || line->body_left > 0;

    if (!line->lingers && was_reading && line->answered == line->complete) {
        prepare_refusal(line, 408, "too_slow", "The request took too long to arrive.");
        linger(line, fd);
    }
    line->due_ms = 0;
    shutdown(fd, SHUT_RDWR);
}

static void *watch(void *unused)
{
    struct timespec until;

    (void)unused;
    pthread_mutex_lock(&lock);
    while (running) {
        if (open_count == 0) {
            pthread_cond_wait(&changed, &lock);
            continue;
        }
        clock_gettime(CLOCK_MONOTONIC, &until);
        until.tv_nsec += TICK_MS * 1000000L;
        until.tv_sec += until.tv_nsec / 1000000000L;
        until.tv_nsec %= 1000000000L;
        pthread_cond_timedwait(&changed, &lock, &until);
        for (int fd = 0; fd < FD_MAX; fd++)
            if (lines[fd].open && lines[fd].due_ms != 0 && lines[fd].due_ms <= now_ms())
                shut_down_late(&lines[fd], fd);
    }
    pthread_mutex_unlock(&lock);
    return NULL;
}

bool wire_start(const struct wire_limits *given)
{
    pthread_condattr_t attributes;

    limits = *given;
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&changed, &attributes);
    pthread_condattr_destroy(&attributes);
    running = true;
    if (pthread_create(&watchdog, NULL, watch, NULL) == 0)
        return true;
    running = false;
    return false;
}

void wire_stop(void)
{
    pthread_mutex_lock(&lock);
    running = false;
    pthread_cond_signal(&changed);
    pthread_mutex_unlock(&lock);
    pthread_join(watchdog, NULL);
    pthread_cond_destroy(&changed);
}

/* ---- connections ---- */

static bool same_address(const struct sockaddr *left, const struct sockaddr *right)
{
    if (left->sa_family != right->sa_family)
        return false;
    if (left->sa_family == AF_INET)
        return ((const struct sockaddr_in *)left)->sin_addr.s_addr ==
               ((const struct sockaddr_in *)right)->sin_addr.s_addr;
    if (left->sa_family == AF_INET6)
        return memcmp(&((const struct sockaddr_in6 *)left)->sin6_addr,
                      &((const struct sockaddr_in6 *)right)->sin6_addr,
                      sizeof(struct in6_addr)) == 0;
    return true;
}

static bool is_loopback(const struct sockaddr *address)
{
    if (address->sa_family == AF_INET)
        return ntohl(((const struct sockaddr_in *)address)->sin_addr.s_addr) >> 24 ==
               127;
    return address->sa_family == AF_INET6 &&
           IN6_IS_ADDR_LOOPBACK(&((const struct sockaddr_in6 *)address)->sin6_addr);
}

bool wire_may_open(const struct sockaddr *address)
{
    unsigned count = 0;

    if (is_loopback(address))
        return true;
    pthread_mutex_lock(&lock);
    for (int fd = 0; fd < FD_MAX; fd++)
        if (lines[fd].open &&
            same_address((const struct sockaddr *)&lines[fd].address, address))
            count++;
    pthread_mutex_unlock(&lock);
    return count < limits.per_address;
}

void wire_open(int fd, const struct sockaddr *address)
{
    struct line *line;

    if (fd < 0 || fd >= FD_MAX) {
        log_line(LOG_LEVEL_ERROR, "wire", "socket number %d is too large", fd);
        shutdown(fd, SHUT_RDWR);
        return;
    }
    pthread_mutex_lock(&lock);
    line = &lines[fd];
    memset(line, 0, sizeof *line);
    line->open = true;
    memcpy(&line->address, address,
           address->sa_family == AF_INET6 ? sizeof(struct sockaddr_in6)
                                          : sizeof(struct sockaddr_in));
    line->due_ms = now_ms() + limits.head_ms;
    if (open_count++ == 0)
        pthread_cond_signal(&changed);
    pthread_mutex_unlock(&lock);
}

void wire_close(int fd)
{
    struct line *line;

    pthread_mutex_lock(&lock);
    line = find(fd);
    if (line != NULL) {
        free(line->refusal);
        memset(line, 0, sizeof *line);
        open_count--;
    }
    pthread_mutex_unlock(&lock);
}

bool wire_request_seen(int fd)
{
    struct line *line;
    bool seen;

    pthread_mutex_lock(&lock);
    line = find(fd);
    seen = line != NULL && line->seen > line->answered;
    pthread_mutex_unlock(&lock);
    return seen;
}

static void set_due(int fd, int64_t due_ms)
{
    struct line *line;

    pthread_mutex_lock(&lock);
    line = find(fd);
    if (line != NULL && !(line->lingers && line->refusal == NULL))
        line->due_ms = due_ms;
    pthread_mutex_unlock(&lock);
}

void wire_working(int fd)
{
    set_due(fd, 0);
}

void wire_body_due(int fd, int64_t duration_ms)
{
    set_due(fd, now_ms() + duration_ms);
}

void wire_answer_due(int fd, int64_t duration_ms)
{
    set_due(fd, now_ms() + duration_ms);
}

void wire_answered(int fd)
{
    struct line *line;

    pthread_mutex_lock(&lock);
    line = find(fd);
    if (line != NULL) {
        line->answered++;
        if (line->lingers && line->refusal != NULL && line->answered >= line->seen)
            linger(line, fd);
        else if (!line->lingers)
            set_reading_due(line, true);
    }
    pthread_mutex_unlock(&lock);
}

void wire_refuse(int fd, int status, const char *code, const char *detail)
{
    struct line *line;

    pthread_mutex_lock(&lock);
    line = find(fd);
    if (line != NULL && !line->lingers) {
        prepare_refusal(line, status, code, detail);
        linger(line, fd);
    }
    pthread_mutex_unlock(&lock);
}
