#include "clock_watch.h"

#include <pthread.h>
#include <stdlib.h>

/* One daemon watches one machine's clock. */
static struct {
    pthread_mutex_t lock;
    int64_t wall_s, boot_ms; /* a moment when both were read together */
    int64_t jump_s, jumped_at;
    bool is_kept; /* the open jump stands in the store */
} watch = {.lock = PTHREAD_MUTEX_INITIALIZER};

static void take_bearing(const struct app *app)
{
    watch.wall_s = clock_wall_s(&app->clock);
    watch.boot_ms = clock_boot_ms(&app->clock);
}

void clock_watch_start(struct app *app, struct db *db)
{
    pthread_mutex_lock(&watch.lock);
    take_bearing(app);
    if (db_clock_open_jump(db, &watch.jumped_at, &watch.jump_s) != DB_OK)
        watch.jumped_at = watch.jump_s = 0;
    watch.is_kept = watch.jump_s != 0;
    pthread_mutex_unlock(&watch.lock);
}

/* Whole seconds of wall time that boot time does not explain since the last bearing. */
static int64_t step_since_bearing(int64_t now_s, int64_t boot_ms)
{
    return now_s - watch.wall_s - (boot_ms - watch.boot_ms) / 1000;
}

void clock_watch_look(struct app *app, struct db *db, struct clock_watch_state *out)
{
    int64_t newest = 0, boot_ms, step_s;

    pthread_mutex_lock(&watch.lock);
    out->now_s = clock_wall_s(&app->clock);
    boot_ms = clock_boot_ms(&app->clock);
    step_s = step_since_bearing(out->now_s, boot_ms);
    if (llabs(step_s) > CLOCK_WATCH_STEP_S) {
        watch.jump_s = step_s;
        watch.jumped_at = out->now_s;
        watch.is_kept = false;
        watch.wall_s = out->now_s;
        watch.boot_ms = boot_ms;
    }
    out->jump_s = watch.jump_s;
    out->jumped_at = watch.jumped_at;
    pthread_mutex_unlock(&watch.lock);

    out->clock = clock_is_synchronised(&app->clock) ? COIL_CLOCK_GOOD
                                                    : COIL_CLOCK_UNSYNCHRONISED;
    if (out->jumped_at != 0)
        out->clock = COIL_CLOCK_JUMPED;
    else if (db_newest_recorded_at(db, &newest) == DB_OK &&
             newest > out->now_s + CLOCK_WATCH_STEP_S)
        out->clock = COIL_CLOCK_BEHIND;
}

enum db_status clock_watch_keep(struct app *app, struct db *db)
{
    enum db_status status = DB_OK;
    int64_t at, jump_s;
    bool is_due;

    (void)app;
    pthread_mutex_lock(&watch.lock);
    is_due = watch.jumped_at != 0 && !watch.is_kept;
    at = watch.jumped_at;
    jump_s = watch.jump_s;
    pthread_mutex_unlock(&watch.lock);
    if (!is_due)
        return DB_OK;
    status = db_clock_jump_add(db, at, jump_s);
    if (status == DB_OK) {
        pthread_mutex_lock(&watch.lock);
        watch.is_kept = watch.jumped_at == at;
        pthread_mutex_unlock(&watch.lock);
    }
    return status;
}

enum db_status clock_watch_confirm(struct app *app, struct db *db, int64_t actor_id)
{
    enum db_status status = clock_watch_keep(app, db);

    if (status == DB_OK)
        status = db_clock_confirm(db, clock_wall_s(&app->clock), actor_id);
    if (status != DB_OK)
        return status;
    pthread_mutex_lock(&watch.lock);
    watch.jump_s = watch.jumped_at = 0;
    watch.is_kept = false;
    take_bearing(app);
    pthread_mutex_unlock(&watch.lock);
    return DB_OK;
}
