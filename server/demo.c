#include "demo.h"

#include <stdlib.h>
#include <string.h>

#include "demo_care.h"
#include "fixtures/demo/scenario.h"

#define SEED 1
#define ACTORS_MAX 16

struct filling {
    struct db *db;
    enum db_status status; /* of the last call; what stopped the scenario */
    int64_t water_id, heater_id;
    struct {
        const char *name; /* lives as long as the program */
        int64_t id;
    } actors[ACTORS_MAX];
    size_t actor_count;
};

/* Asks the store for each name once. 0 when it refused; status says why. */
static int64_t actor_id(struct filling *filling, const char *name)
{
    int64_t id = 0;

    for (size_t i = 0; i < filling->actor_count; i++)
        if (strcmp(filling->actors[i].name, name) == 0)
            return filling->actors[i].id;
    filling->status = db_actor(filling->db, name, &id);
    if (filling->status != DB_OK)
        return 0;
    if (filling->actor_count < ACTORS_MAX) {
        filling->actors[filling->actor_count].name = name;
        filling->actors[filling->actor_count++].id = id;
    }
    return id;
}

static bool put_site(void *context, struct db_site *site)
{
    struct filling *filling = context;

    site->actor_id = actor_id(filling, SCENARIO_OWNER);
    if (site->actor_id != 0)
        filling->status = db_site_put(filling->db, site);
    return filling->status == DB_OK;
}

static bool put_water(void *context, struct db_water *water)
{
    struct filling *filling = context;

    water->actor_id = actor_id(filling, SCENARIO_OWNER);
    if (water->actor_id != 0)
        filling->status = db_water_add(filling->db, water);
    filling->water_id = water->id;
    return filling->status == DB_OK;
}

static enum db_status put_line(struct filling *filling, const struct db_heater *heater)
{
    char *document = strdup(scenario_line);
    struct db_line line = {.heater_id = filling->heater_id,
                           .at = heater->at,
                           .actor_id = heater->actor_id,
                           .document = document};
    enum db_status status =
        document == NULL ? DB_FAILED : db_line_put(filling->db, &line);

    free(document);
    return status;
}

/* Of the invented gas bill. */
static enum db_status put_tariff(struct filling *filling,
                                 const struct db_heater *heater)
{
    struct db_tariff tariff = {.heater_id = filling->heater_id,
                               .at = heater->at,
                               .actor_id = heater->actor_id,
                               .unit = COIL_FUEL_THERM,
                               .price_e6 = 1550000,
                               .currency = "$"};

    return db_tariff_put(filling->db, &tariff);
}

static bool put_heater(void *context, struct db_heater *heater)
{
    struct filling *filling = context;

    heater->actor_id = actor_id(filling, SCENARIO_OWNER);
    heater->water_ids[0] = filling->water_id;
    if (heater->actor_id != 0)
        filling->status = db_heater_add(filling->db, heater);
    filling->heater_id = heater->id;
    if (filling->status == DB_OK)
        filling->status = put_line(filling, heater);
    if (filling->status == DB_OK)
        filling->status = put_tariff(filling, heater);
    return filling->status == DB_OK;
}

static bool put_reading(void *context, struct db_reading *reading, const char *actor)
{
    struct filling *filling = context;

    reading->water_id = filling->water_id;
    reading->fact.actor_id = actor_id(filling, actor);
    if (reading->fact.actor_id != 0)
        filling->status = db_reading_add(filling->db, reading);
    return filling->status == DB_OK;
}

static bool put_dose(void *context, struct db_dose *dose, const char *actor)
{
    struct filling *filling = context;

    dose->water_id = filling->water_id;
    dose->fact.actor_id = actor_id(filling, actor);
    if (dose->fact.actor_id != 0)
        filling->status = db_dose_add(filling->db, dose);
    return filling->status == DB_OK;
}

static bool put_run(void *context, struct db_run *run, const char *actor)
{
    struct filling *filling = context;

    run->water_id = filling->water_id;
    run->heater_id = run->machine == DB_BURNER ? filling->heater_id : 0;
    run->fact.actor_id = actor_id(filling, actor);
    if (run->fact.actor_id != 0)
        filling->status = db_run_add(filling->db, run);
    return filling->status == DB_OK;
}

static bool put_heater_state(void *context, struct db_heater_state *state,
                             const char *actor)
{
    struct filling *filling = context;

    state->heater_id = filling->heater_id;
    state->fact.actor_id = actor_id(filling, actor);
    if (state->fact.actor_id != 0)
        filling->status = db_heater_state_add(filling->db, state);
    return filling->status == DB_OK;
}

static bool put_warm_up(void *context, struct db_warm_up *warm_up, const char *actor)
{
    struct filling *filling = context;

    warm_up->water_id = filling->water_id;
    warm_up->heater_id = filling->heater_id;
    warm_up->fact.actor_id = actor_id(filling, actor);
    if (warm_up->fact.actor_id != 0)
        filling->status = db_warm_up_add(filling->db, warm_up);
    return filling->status == DB_OK;
}

/* In the caller's transaction. */
static enum db_status fill(struct db *db, int64_t now_s)
{
    struct filling filling = {.db = db, .status = DB_OK};
    const struct scenario_sink sink = {
        .context = &filling,
        .site = put_site,
        .water = put_water,
        .heater = put_heater,
        .reading = put_reading,
        .dose = put_dose,
        .run = put_run,
        .heater_state = put_heater_state,
        .warm_up = put_warm_up,
    };
    struct db_site site;
    enum db_status status = db_site_get(db, &site);

    if (status != DB_OK)
        return status;
    if (site.version != 0)
        return DB_CONFLICT;
    if (!scenario_generate(SEED, now_s, &sink) && filling.status == DB_OK)
        return DB_FAILED; /* no zone data */
    return filling.status != DB_OK
               ? filling.status
               : demo_care(db, now_s, filling.heater_id,
                           actor_id(&filling, SCENARIO_OWNER),
                           actor_id(&filling, SCENARIO_TECHNICIAN));
}

enum db_status demo_fill(struct db *db, const struct clock *clock)
{
    int64_t now_s = clock_wall_s(clock);
    enum db_status status = db_begin(db);

    if (status != DB_OK)
        return status;
    status = fill(db, now_s);
    if (status == DB_OK)
        status = db_commit(db);
    if (status != DB_OK)
        db_rollback(db);
    return status;
}
