/*
 * Notices a clock that was moved: wall time against boot time, and wall time behind the
 * newest fact. A jump stays until a person confirms the time.
 *
 * Boot time is slewed together with wall time, so only steps show, not slow correction.
 */
#ifndef CLOCK_WATCH_H
#define CLOCK_WATCH_H

#include "app.h"

#define CLOCK_WATCH_STEP_S 60

/* Begins to watch; takes over a jump that the store still has open. */
void clock_watch_start(struct app *app, struct db *db);

struct clock_watch_state {
    enum coil_clock clock;
    int64_t now_s;
    int64_t jump_s;    /* the last step while a jump is open, positive: forward */
    int64_t jumped_at; /* wall time after the jump; 0 for none */
};

/* Looks at both clocks now. */
void clock_watch_look(struct app *app, struct db *db, struct clock_watch_state *out);

/* Writes a jump that was seen into the store; in the writer's transaction. */
enum db_status clock_watch_keep(struct app *app, struct db *db);

/* A person says that the time is right. */
enum db_status clock_watch_confirm(struct app *app, struct db *db, int64_t actor_id);

#endif
