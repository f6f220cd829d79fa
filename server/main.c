/*
 * coilkeepd: arguments, signals, wiring and the exit code.
 *
 * Exit codes are those of sysexits(3): 64 usage, 65 the database is no database,
 * 69 the port is taken, 70 our own fault, 73 the data folder or disk cannot be written,
 * 75 another daemon or program has the data, 78 a newer or a foreign database, or run by
 * root.
 */
#include <errno.h>
#include <malloc.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sysexits.h>
#include <unistd.h>

#include <sodium.h>

#include "assets.h"
#include "backup.h"
#include "clock_watch.h"
#include "config.h"
#include "demo.h"
#include "door.h"
#include "http.h"
#include "local.h"
#include "log.h"
#include "notify.h"
#include "rights.h"
#include "state_dir.h"
#include "user.h"
#include "writer.h"

#ifndef COILKEEP_VERSION
#define COILKEEP_VERSION "unknown"
#endif

#define STOP_WRITER_MS 1200
#define STOP_ANSWERS_MS 300

static int fail(int code, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static int fail(int code, const char *format, ...)
{
    va_list values;

    fputs("coilkeepd: ", stderr);
    va_start(values, format);
    vfprintf(stderr, format, values);
    va_end(values);
    fputc('\n', stderr);
    return code;
}

/* Blocked before the first thread, so that only sigwait sees them. */
static void block_signals(sigset_t *out_signals)
{
    sigemptyset(out_signals);
    sigaddset(out_signals, SIGINT);
    sigaddset(out_signals, SIGTERM);
    sigaddset(out_signals, SIGHUP);
    pthread_sigmask(SIG_BLOCK, out_signals, NULL);
    signal(SIGPIPE, SIG_IGN);
}

static int take_state_dir(const struct config *config, struct app *app,
                          int *out_lock_fd)
{
    switch (state_dir_open(config->data, app->state_dir, sizeof app->state_dir,
                           out_lock_fd)) {
    case STATE_DIR_OK:
        break;
    case STATE_DIR_TOO_LONG:
        return fail(EX_USAGE, "the data folder's path is too long: %s", config->data);
    case STATE_DIR_UNWRITABLE:
        return fail(EX_CANTCREAT, "the data folder %s cannot be written: %s",
                    config->data, strerror(errno));
    case STATE_DIR_TAKEN:
        return fail(EX_TEMPFAIL,
                    "another coilkeepd is using the data folder %s. End it first, or "
                    "choose another folder with --data DIR.",
                    app->state_dir);
    }
    snprintf(app->database_path, sizeof app->database_path, "%s/coilkeep.db",
             app->state_dir);
    return EX_OK;
}

static int explain_database(enum db_status status, const char *path)
{
    switch (status) {
    case DB_OK:
        return EX_OK;
    case DB_NEWER:
        return fail(EX_CONFIG,
                    "%s was written by a newer version of Coilkeep; it was left as it "
                    "is. Run that version, or choose another folder with --data DIR.",
                    path);
    case DB_FOREIGN:
        return fail(EX_CONFIG,
                    "%s belongs to another program; it was left as it is. Choose "
                    "another folder with --data DIR.",
                    path);
    case DB_CORRUPT:
        return fail(EX_DATAERR,
                    "%s is not a database, or it is damaged; it was left as it is. Put "
                    "a copy in its place, or move it away to start anew.",
                    path);
    case DB_FULL:
        return fail(EX_CANTCREAT,
                    "%s cannot be written: the disk is full or read-only.", path);
    case DB_BUSY:
        return fail(EX_TEMPFAIL, "%s is held by another program.", path);
    case DB_NOT_FOUND:
    case DB_CONFLICT:
    case DB_FAILED:
        break;
    }
    return fail(EX_CANTCREAT, "%s cannot be opened. The lines above say more.", path);
}

static int fill_demo(struct app *app, struct db *db)
{
    struct db_site site;
    enum db_status status = db_site_get(db, &site);

    if (status == DB_OK && site.version > 0) {
        log_line(LOG_LEVEL_INFO, "demo", "%s holds facts already; nothing was added",
                 app->state_dir);
        return EX_OK;
    }
    if (status == DB_OK)
        status = demo_fill(db, &app->clock);
    db_release(db);
    malloc_trim(0); /* three years of facts went through; a small house keeps none */
    return explain_database(status, app->database_path);
}

static int open_databases(const struct config *config, struct app *app,
                          struct db **out_writing, struct db **out_reading)
{
    int code = explain_database(db_open(app->database_path, DB_READ_WRITE, out_writing),
                                app->database_path);

    if (code == EX_OK && config->demo)
        code = fill_demo(app, *out_writing);
    if (code == EX_OK)
        code = explain_database(db_open(app->database_path, DB_READ_ONLY, out_reading),
                                app->database_path);
    if (code == EX_OK)
        clock_watch_start(app, *out_writing);
    return code;
}

/* A proxy brings the network to a daemon that listens on loopback. */
static bool is_on_network(const struct config *config)
{
    return !config_is_loopback(config->bind) || config->proxies[0][0] != '\0';
}

/* A route that nobody thought about is our own fault, and answers nobody. */
static int open_door(const struct config *config, struct app *app, struct db *db,
                     struct door *door)
{
    char fault[600];

    if (!rights_are_whole(fault, sizeof fault))
        return fail(EX_SOFTWARE, "%s", fault);
    if (!door_open(door, app, db, is_on_network(config), fault, sizeof fault))
        return fail(EX_CANTCREAT, "%s", fault);
    app->door = door;
    return EX_OK;
}

static int explain_http(enum http_status status, const struct config *config)
{
    switch (status) {
    case HTTP_OK:
        return EX_OK;
    case HTTP_PORT_TAKEN:
        return fail(
            EX_UNAVAILABLE,
            "port %u is taken by another program. Choose another with --port N.",
            config->port);
    case HTTP_DENIED:
        return fail(EX_NOPERM, "this user may not listen on port %u.", config->port);
    case HTTP_BAD_ADDRESS:
        return fail(EX_USAGE, "this machine has no address %s.", config->bind);
    case HTTP_FAILED:
        break;
    }
    return fail(EX_OSERR, "listening failed: %s", strerror(errno));
}

static void say_ready(const struct config *config, uint16_t port)
{
    bool is_six = strchr(config->bind, ':') != NULL;

    printf("listening on http://%s%s%s:%u\n", is_six ? "[" : "", config->bind,
           is_six ? "]" : "", port);
    fflush(stdout);
}

/* Runs until a signal. A change that does not end in time is given up: it was not
 * committed and nobody was told that it was, so ending here loses nothing. */
static int serve(const struct config *config, struct app *app, struct db *writing,
                 struct db *reading, const sigset_t *signals)
{
    const struct http_options options = {config->bind, config->port,
                                         config->connections,
                                         config->connections_per_address,
                                         config->names, config->proxies};
    struct writer *writer = writer_create(app, writing);
    struct http *http = NULL;
    int signal_number;
    int code;

    if (writer == NULL)
        return fail(EX_OSERR, "no thread could be started.");
    code = explain_http(http_start(&options, app, reading, writer, &http), config);
    if (code == EX_OK) {
        say_ready(config, http_port(http));
        notify_send("READY=1");
        sigwait(signals, &signal_number);
        notify_send("STOPPING=1");
        http_quiesce(http);
    }
    if (!writer_stop(writer, STOP_WRITER_MS)) {
        log_line(LOG_LEVEL_WARNING, "main", "a long change was given up at the stop");
        _exit(EX_OK);
    }
    if (http != NULL)
        http_stop(http, STOP_ANSWERS_MS);
    writer_destroy(writer);
    return code;
}

static int run(const struct config *config, const sigset_t *signals)
{
    struct app app = {.demo = config->demo};
    struct door door;
    struct backup_keeper backups;
    char fault[600];
    struct db *writing = NULL;
    struct db *reading = NULL;
    int lock_fd = -1;
    int code;

    randombytes_buf(&app.run_id, sizeof app.run_id);
    app.clock.offset_path = config->test_clock[0] ? config->test_clock : NULL;
    if (config->web_root[0] != '\0' && !assets_disk_open(config->web_root))
        return fail(EX_NOINPUT, "the folder %s cannot be opened: %s", config->web_root,
                    strerror(errno));
    code = take_state_dir(config, &app, &lock_fd);
    if (code == EX_OK)
        code = open_databases(config, &app, &writing, &reading);
    if (code == EX_OK)
        code = open_door(config, &app, writing, &door);
    if (code == EX_OK && !backup_start(&backups, &app, config->backup_passphrase_file,
                                       fault, sizeof fault))
        code = fail(EX_NOINPUT, "%s", fault);
    if (code == EX_OK) {
        app.backups = &backups;
        code = serve(config, &app, writing, reading, signals);
        door_close(&door);
        backup_stop(&backups);
    }
    db_close(reading);
    db_close(writing);
    assets_disk_close();
    if (lock_fd >= 0)
        close(lock_fd);
    return code;
}

static int refuse_root(void)
{
    return fail(EX_CONFIG,
                "this is root, and the daemon needs nothing that only root may do. Use "
                "server/start, which changes to the user coilkeep, or run it as a user "
                "of its own.");
}

static int run_locally(const struct config *config)
{
    switch (user_become_owner(config->data)) {
    case USER_OK:
        return local_run(config);
    case USER_NO_FOLDER:
        return fail(EX_NOINPUT, "the data folder %s cannot be found: %s", config->data,
                    strerror(errno));
    case USER_ROOTS:
        return fail(EX_CONFIG,
                    "the data folder %s is root's own. Give it to the user that the "
                    "daemon runs as (chown -R), then try again.",
                    config->data);
    case USER_STUCK:
        break;
    }
    return fail(EX_OSERR, "the user cannot be changed: %s", strerror(errno));
}

int main(int argc, char **argv)
{
    struct config config;
    sigset_t signals;
    char fault[200];

    umask(077);
    /* One heap for the two threads that work: two would each keep what the other frees. */
    mallopt(M_ARENA_MAX, 1);
    mallopt(M_MMAP_THRESHOLD, 128 * 1024); /* fixed, so that a long list is given back */
    mallopt(M_TRIM_THRESHOLD, 256 * 1024);
    if (!config_read(argc, argv, getenv("HOME"), getenv("XDG_STATE_HOME"), &config,
                     fault))
        return fail(EX_USAGE, "%s", fault);
    if (config.help) {
        config_help(stdout);
        return EX_OK;
    }
    if (config.version) {
        printf("coilkeepd %s\n", COILKEEP_VERSION);
        return EX_OK;
    }
    if (config.command == COMMAND_CHECK_CONFIG)
        return EX_OK; /* a fault has been told above */
    if (config.command == COMMAND_PRINT_CONFIG) {
        config_print(&config, stdout);
        return EX_OK;
    }
    block_signals(&signals);
    if (sodium_init() < 0)
        return fail(EX_SOFTWARE, "the cryptographic library does not start.");
    if (config.command != COMMAND_SERVE)
        return run_locally(&config);
    if (geteuid() == 0)
        return refuse_root();
    prctl(PR_SET_NAME, "coilkeepd"); /* server/start names a descriptor, not the file */
    return run(&config, &signals);
}
