/* "Warm by": when to light the heater, and what that needs and costs. */
#include <math.h>
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "forecast_json.h"
#include "heat_plan.h"

static bool read_weather(const struct request *req, struct problem *problem,
                         struct heat_weather *out)
{
    size_t faults = problem->count;

    *out = (struct heat_weather){NAN, NAN, NAN, NAN, NAN};
    api_query_number(req, problem, "air_low_c", -30, 45, &out->air_low_c);
    api_query_number(req, problem, "air_high_c", -30, 50, &out->air_high_c);
    api_query_number(req, problem, "wind_m_per_s", 0, 20, &out->wind_m_per_s);
    api_query_number(req, problem, "cloud_fraction", 0, 1, &out->cloud_fraction);
    if (problem->count == faults && out->air_low_c > out->air_high_c)
        problem_add(problem, "query_invalid", "air_low_c",
                    "The night's low must not be above the day's high.");
    return problem->count == faults;
}

static bool read_ask(struct app *app, struct db *db, const struct request *req,
                     struct reply *out, struct heat_ask *ask)
{
    struct problem problem;

    *ask = (struct heat_ask){.now_s = api_now(app), .temp_c = NAN, .cover = -1};
    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &ask->heater_id);
    api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, &ask->water_id);
    api_check_pair(&problem, ask->heater_id, ask->water_id);
    if (!api_query_number(req, &problem, "wanted_temp_c", 5, 42, &ask->wanted_temp_c) &&
        request_query(req, "wanted_temp_c") == NULL)
        problem_add(&problem, "query_missing", "wanted_temp_c",
                    "Say how warm the water is to be.");
    if (!api_query_integer(req, &problem, "by", ask->now_s + 60,
                           ask->now_s + (int64_t)COIL_PLAN_MAX_S, &ask->by_s) &&
        request_query(req, "by") == NULL)
        problem_add(&problem, "query_missing", "by", "Say by when.");
    api_query_number(req, &problem, "temp_c", 0, 45, &ask->temp_c);
    ask->cover = api_query_choice(req, &problem, "cover", heat_cover_keys, -1);
    read_weather(req, &problem, &ask->weather);
    if (api_refused(out, &problem))
        return false;
    return api_main_pair(db, out, &ask->heater_id, &ask->water_id);
}

static void add_names(cJSON *object, const char *name, const char *const *names,
                      size_t count)
{
    cJSON *array = cJSON_AddArrayToObject(object, name);

    for (size_t i = 0; i < count; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(names[i]));
}

static void add_amount(cJSON *object, const char *name, const char *price_name,
                       const struct heat_plan *plan, double fuel_j)
{
    double amount = NAN, price = NAN;

    if (!isnan(fuel_j))
        coil_heat_cost(&plan->tariff, fuel_j, &amount, &price);
    forecast_add_number(object, name, amount, 0.01);
    forecast_add_number(object, price_name, plan->has_price ? price : NAN, 0.01);
}

/* One end of a plan's band. */
static cJSON *end_json(const struct heat_plan *plan, const struct coil_warm_up *end,
                       int64_t now_s)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddBoolToObject(object, "in_time", end->in_time);
    cJSON_AddNumberToObject(object, "start_at", (double)now_s + floor(end->start_s));
    if (end->is_reached)
        cJSON_AddNumberToObject(object, "reached_at",
                                (double)now_s + ceil(end->reached_s));
    else
        cJSON_AddNullToObject(object, "reached_at");
    forecast_add_number(object, "firing_h", end->firing_s / 3600.0, 0.01);
    forecast_add_number(object, "fuel_mj", end->fuel_j / 1e6, 0.1);
    add_amount(object, "fuel", "cost", plan, end->fuel_j);
    return object;
}

static cJSON *way_json(const struct heat_plan *plan, const struct heat_way *way,
                       int64_t now_s)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddStringToObject(object, "cover", heat_cover_keys[way->cover]);
    forecast_add_number(object, "wind_m_per_s", way->wind_m_per_s, 0.01);
    cJSON_AddItemToObject(object, "likely", end_json(plan, &way->band.likely, now_s));
    cJSON_AddItemToObject(object, "easy", end_json(plan, &way->band.easy, now_s));
    cJSON_AddItemToObject(object, "hard", end_json(plan, &way->band.hard, now_s));
    return object;
}

static void add_losses(cJSON *object, const struct heat_plan *plan)
{
    cJSON *array = cJSON_AddArrayToObject(object, "losses");

    for (int part = 0; part < COIL_HEAT_PART_COUNT; part++) {
        cJSON *one = cJSON_CreateObject();

        cJSON_AddStringToObject(one, "part", coil_heat_part_name(part));
        forecast_add_number(one, "mean_w", plan->mean.part_w[part], 1);
        forecast_add_number(one, "share", plan->mean.share[part], 0.001);
        cJSON_AddItemToArray(array, one);
    }
    forecast_add_number(object, "evaporation_l_per_h", plan->mean.evaporation_kg_per_h,
                        0.01);
}

static void add_basis(cJSON *object, const struct heat_plan *plan)
{
    cJSON *basis = cJSON_AddObjectToObject(object, "basis");

    forecast_add_number(basis, "temp_c", plan->temp_c, 0.01);
    api_add_id_or_null(basis, "temp_at", plan->temp_at);
    forecast_add_number(basis, "air_low_c", plan->weather.air_low_c, 0.1);
    forecast_add_number(basis, "air_high_c", plan->weather.air_high_c, 0.1);
    forecast_add_number(basis, "wind_m_per_s", plan->weather.wind_m_per_s, 0.01);
    forecast_add_number(basis, "cloud_fraction", plan->weather.cloud_fraction, 0.01);
    forecast_add_number(basis, "efficiency", plan->efficiency, 0.001);
    forecast_add_number(basis, "efficiency_half_width", plan->u_efficiency, 0.001);
    cJSON_AddBoolToObject(basis, "efficiency_is_measured",
                          plan->efficiency_is_measured);
    forecast_add_number(basis, "input_w", plan->input_w, 1);
    add_names(basis, "assumed", plan->assumed, plan->assumed_count);
    cJSON_AddBoolToObject(basis, "out_of_range", plan->is_out_of_range);
}

static cJSON *answer_json(const struct heat_ask *ask, const struct heat_plan *plan)
{
    cJSON *object = cJSON_CreateObject(), *beside;
    bool can_tell = plan->lack_count == 0;

    cJSON_AddNumberToObject(object, "heater", (double)ask->heater_id);
    cJSON_AddNumberToObject(object, "water", (double)ask->water_id);
    cJSON_AddNumberToObject(object, "at", (double)ask->now_s);
    cJSON_AddNumberToObject(object, "by", (double)ask->by_s);
    forecast_add_number(object, "wanted_temp_c", ask->wanted_temp_c, 0.01);
    add_names(object, "lacks", plan->lacks, plan->lack_count);
    cJSON_AddStringToObject(object, "unit", coil_fuel_unit_key(plan->tariff.unit));
    cJSON_AddStringToObject(object, "currency", plan->currency);
    if (can_tell)
        cJSON_AddItemToObject(object, "plan",
                              way_json(plan, &plan->ways[0], ask->now_s));
    else
        cJSON_AddNullToObject(object, "plan");
    beside = cJSON_AddArrayToObject(object, "beside");
    for (size_t i = 1; i < plan->way_count; i++)
        cJSON_AddItemToArray(beside, way_json(plan, &plan->ways[i], ask->now_s));
    add_losses(object, plan);
    add_amount(object, "hold_fuel_per_day", "hold_cost_per_day", plan,
               can_tell ? plan->hold_j_per_day : NAN);
    add_basis(object, plan);
    return object;
}

void api_warm_by_get(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct heat_plan plan;
    struct heat_ask ask;

    if (read_ask(app, db, req, out, &ask) &&
        api_ok(out, heat_plan_make(db, &ask, &plan), "pair of heater and water"))
        api_send(out, 200, answer_json(&ask, &plan));
}
