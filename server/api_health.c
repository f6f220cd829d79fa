/* Alive, and ready to take a reading: two different questions. */
#include "api.h"
#include "api_common.h"
#include "clock_watch.h"

void api_healthz(struct app *app, struct db *db, const struct request *req,
                 struct reply *out)
{
    cJSON *object = cJSON_CreateObject();

    (void)app;
    (void)db;
    (void)req;
    cJSON_AddBoolToObject(object, "alive", true);
    api_send(out, 200, object);
}

static const char *clock_word(enum coil_clock clock)
{
    static const char *const words[] = {"good", "not synchronised", "moved",
                                        "behind the newest fact"};

    return words[clock];
}

void api_readyz(struct app *app, struct db *db, const struct request *req,
                struct reply *out)
{
    struct clock_watch_state state;
    cJSON *object = cJSON_CreateObject();
    bool is_writable = db_is_writable(db);

    (void)req;
    clock_watch_look(app, db, &state);
    cJSON_AddBoolToObject(object, "ready", is_writable);
    cJSON_AddStringToObject(object, "database",
                            is_writable ? "writable" : "not writable");
    cJSON_AddStringToObject(object, "clock", clock_word(state.clock));
    api_send(out, is_writable ? 200 : 503, object);
}
