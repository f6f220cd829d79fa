/* The clock of this computer: what it says, and a person's word that it is right. */
#include "api.h"
#include "api_common.h"
#include "clock_watch.h"

static cJSON *clock_json(const struct clock_watch_state *state)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddNumberToObject(object, "now", (double)state->now_s);
    cJSON_AddBoolToObject(object, "synchronised",
                          state->clock != COIL_CLOCK_UNSYNCHRONISED);
    cJSON_AddNumberToObject(object, "jump_s", (double)state->jump_s);
    api_add_id_or_null(object, "jumped_at", state->jumped_at);
    cJSON_AddBoolToObject(object, "behind_newest_fact",
                          state->clock == COIL_CLOCK_BEHIND);
    return object;
}

void api_clock_get(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    struct clock_watch_state state;

    (void)req;
    clock_watch_look(app, db, &state);
    api_send(out, 200, clock_json(&state));
}

void api_clock_confirm(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct clock_watch_state state;
    struct problem problem;
    struct form form;
    int64_t actor_id = 0;
    enum db_status actor = DB_OK;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0)
        actor = api_actor(db, &form, &actor_id);
    form_close(&form);
    if (api_refused(out, &problem) || !api_ok(out, actor, "person") ||
        !api_ok(out, clock_watch_confirm(app, db, actor_id), "clock") ||
        !api_ok(out,
                api_journal(app, db, req, actor_id, "confirm", "clock", 0, NULL, NULL),
                "journal"))
        return;
    clock_watch_look(app, db, &state);
    api_send(out, 200, clock_json(&state));
}
