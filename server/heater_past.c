#include "heater_past.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define VERSIONS_MAX 400 /* of a heater; of more the first ones */

struct gathering {
    struct heater_past *past;
    int64_t heater_id;
    size_t state_capacity, pump_capacity, burner_capacity;
    bool is_out_of_memory;
};

/* Room for one more; NULL without memory. */
static void *grown(struct gathering *g, void *items, size_t count, size_t *capacity,
                   size_t size)
{
    void *more;

    if (count < *capacity)
        return items;
    more = realloc(items, (*capacity * 2 + 64) * size);
    g->is_out_of_memory = g->is_out_of_memory || more == NULL;
    if (more != NULL)
        *capacity = *capacity * 2 + 64;
    return more;
}

static bool take_state(void *context, const void *record)
{
    struct gathering *g = context;
    struct heater_past *past = g->past;
    const struct db_heater_state *state = record;
    struct coil_heater_span *states = grown(g, past->states, past->state_count,
                                            &g->state_capacity, sizeof *states);

    if (states == NULL)
        return false;
    past->states = states;
    if (past->state_count > 0 &&
        states[past->state_count - 1].from_s >= (double)state->fact.at)
        past->state_count--; /* of one instant the later word */
    states[past->state_count++] =
        (struct coil_heater_span){(double)state->fact.at, state->state};
    return true;
}

/* Runs come by their start; those that overlap are one. */
static bool add_run(struct gathering *g, const struct db_run *run,
                    struct coil_pump_span **runs, size_t *count, size_t *capacity)
{
    struct coil_pump_span *last = *count > 0 ? &(*runs)[*count - 1] : NULL, *more;

    if (last != NULL && (double)run->fact.at <= last->until_s) {
        last->until_s = fmax(last->until_s, (double)run->ended_at);
        return true;
    }
    more = grown(g, *runs, *count, capacity, sizeof *more);
    if (more == NULL)
        return false;
    *runs = more;
    more[(*count)++] =
        (struct coil_pump_span){(double)run->fact.at, (double)run->ended_at};
    return true;
}

static bool take_run(void *context, const void *record)
{
    struct gathering *g = context;
    struct heater_past *past = g->past;
    const struct db_run *run = record;

    if (run->machine == DB_PUMP)
        return add_run(g, run, &past->pump, &past->pump_count, &g->pump_capacity);
    if (run->heater_id != g->heater_id)
        return true;
    return add_run(g, run, &past->burner, &past->burner_count, &g->burner_capacity);
}

static double limit_or_nan(const struct db_heater *heater, enum coil_limit_name name)
{
    return heater->limits[name].is_set ? heater->limits[name].value : (double)NAN;
}

static bool serves(const struct db_heater *heater, int64_t water_id)
{
    for (size_t i = 0; i < heater->water_count; i++)
        if (heater->water_ids[i] == water_id)
            return true;
    return false;
}

/* One span for each version that was there by then; the first one always. */
static void take_limits(const struct db_heater *versions, size_t count, int64_t as_of,
                        struct heater_past *out)
{
    for (size_t i = 0; i < count; i++)
        if (i == 0 || versions[i].at <= as_of)
            out->limits[out->limit_count++] = (struct coil_limit_span){
                (double)versions[i].at, limit_or_nan(&versions[i], COIL_LIMIT_PH_LOW),
                limit_or_nan(&versions[i], COIL_LIMIT_FREE_CHLORINE_HIGH)};
}

static enum db_status read_limits(struct db *db, int64_t heater_id, int64_t as_of,
                                  struct heater_past *out)
{
    struct db_heater *versions = malloc(VERSIONS_MAX * sizeof *versions);
    size_t count = 0;
    enum db_status status = DB_FAILED;

    if (versions != NULL)
        status = db_heater_versions(db, heater_id, versions, VERSIONS_MAX, &count);
    if (status == DB_OK && count == 0)
        status = DB_NOT_FOUND;
    if (status == DB_OK) {
        out->limits = malloc(count * sizeof *out->limits);
        status = out->limits != NULL ? DB_OK : DB_FAILED;
    }
    if (status == DB_OK)
        take_limits(versions, count, as_of, out);
    free(versions);
    return status;
}

enum db_status heater_past_read(struct db *db, int64_t heater_id, int64_t water_id,
                                int64_t as_of, bool by_recorded,
                                struct heater_past *out)
{
    struct gathering g = {.past = out, .heater_id = heater_id};
    const struct db_heater_taker taker = {&g, take_state, take_run};
    struct db_heater heater;
    enum db_status status = db_heater_get_at(db, heater_id, as_of, &heater);

    memset(out, 0, sizeof *out);
    if (status == DB_OK && !serves(&heater, water_id))
        status = DB_NOT_FOUND;
    if (status == DB_OK)
        status = read_limits(db, heater_id, as_of, out);
    if (status == DB_OK)
        status = db_heater_history(db, heater_id, water_id, as_of, by_recorded, &taker);
    return status == DB_OK && g.is_out_of_memory ? DB_FAILED : status;
}

void heater_past_finish(struct heater_past *past)
{
    free(past->states);
    free(past->pump);
    free(past->burner);
    free(past->limits);
    memset(past, 0, sizeof *past);
}

void heater_past_put(const struct heater_past *past, struct coil_exposure_input *in)
{
    in->heater = past->states;
    in->heater_count = past->state_count;
    in->pump = past->pump;
    in->pump_count = past->pump_count;
    in->has_pump = past->pump_count > 0;
    in->burner = past->burner;
    in->burner_count = past->burner_count;
    in->limits = past->limits;
    in->limit_count = past->limit_count;
}
