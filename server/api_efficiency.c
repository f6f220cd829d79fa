/* Efficiency over the years, from the logged warm-ups. */
#include <math.h>
#include <stdio.h>

#include "api.h"
#include "api_common.h"
#include "forecast_json.h"
#include "heater_efficiency.h"

#define MIDDLE_90 1.645

static void add_flaws(cJSON *object, const struct warm_up_said *said)
{
    cJSON *array = cJSON_AddArrayToObject(object, "flaws");

    for (int flaw = 0; flaw < COIL_WARM_UP_FLAW_COUNT; flaw++) {
        cJSON *one;

        if (!said->result.is_flawed[flaw])
            continue;
        one = cJSON_CreateObject();
        cJSON_AddStringToObject(one, "code", coil_warm_up_flaw_code(flaw));
        cJSON_AddStringToObject(one, "field", coil_warm_up_flaw_field(flaw));
        cJSON_AddStringToObject(one, "text", coil_warm_up_flaw_text(flaw));
        cJSON_AddItemToArray(array, one);
    }
}

static cJSON *said_json(const struct warm_up_said *said)
{
    static const char *const lacks[] = {NULL, "volume_m3", "input_w"};
    cJSON *object = cJSON_CreateObject();
    bool has_value = said->result.fuel_j > 0.0;
    double efficiency = has_value ? said->result.efficiency_fraction : NAN;

    cJSON_AddNumberToObject(object, "id", (double)said->id);
    cJSON_AddNumberToObject(object, "at", (double)said->at);
    cJSON_AddNumberToObject(object, "season", said->season);
    if (lacks[said->lacks] == NULL)
        cJSON_AddNullToObject(object, "lacks");
    else
        cJSON_AddStringToObject(object, "lacks", lacks[said->lacks]);
    forecast_add_number(object, "efficiency", efficiency, 0.001);
    forecast_add_number(object, "u_random", has_value ? said->result.u_random : NAN,
                        0.001);
    forecast_add_number(object, "u_common", has_value ? said->result.u_common : NAN,
                        0.001);
    cJSON_AddBoolToObject(object, "is_usable", said->result.is_usable);
    cJSON_AddBoolToObject(object, "weather_is_assumed", said->weather_is_assumed);
    add_flaws(object, said);
    return object;
}

static void add_seasons(cJSON *object, const struct heater_efficiency *e)
{
    cJSON *array = cJSON_AddArrayToObject(object, "seasons");

    for (int i = 0; e->has_trend && i < e->trend.seasons; i++) {
        cJSON *one = cJSON_CreateObject();
        double half = MIDDLE_90 * hypot(e->trend.u_mean[i], e->rule.season_sd);

        cJSON_AddNumberToObject(one, "season", e->trend.season[i]);
        forecast_add_number(one, "efficiency", e->trend.mean[i], 0.001);
        forecast_add_number(one, "low", e->trend.mean[i] - half, 0.001);
        forecast_add_number(one, "high", e->trend.mean[i] + half, 0.001);
        cJSON_AddItemToArray(array, one);
    }
}

static void write_reason(const struct heater_efficiency *e, char *out, size_t size)
{
    int seasons = e->has_trend ? e->trend.seasons : 0;

    if (seasons < 2)
        snprintf(out, size,
                 "Two seasons with %d usable warm-ups each are needed; there %s %d.",
                 COIL_SEASON_LEAST, seasons == 1 ? "is" : "are", seasons);
    else if (e->trend.is_alarm)
        snprintf(
            out, size,
            "Efficiency fell by about %.0f points in %d seasons. Chance alone would "
            "show that in %.0f of 100 heaters over %d years of looking.",
            100.0 * e->trend.lost, seasons, 100.0 * e->rule.false_alarm, e->rule.looks);
    else if (isnan(e->power))
        snprintf(out, size, "No loss is shown in %d seasons.", seasons);
    else
        snprintf(out, size,
                 "No loss is shown in %d seasons. One of %.0f points a year would have "
                 "been found in %.0f of 100 cases by now.",
                 seasons, 100.0 * EFFICIENCY_STATED_LOSS, 100.0 * e->power);
}

static void add_alarm(cJSON *object, const struct heater_efficiency *e)
{
    cJSON *alarm = cJSON_AddObjectToObject(object, "alarm");
    bool has_slope = e->has_trend && e->trend.seasons >= 2;
    double half = MIDDLE_90 * e->trend.u_slope_per_year;
    char reason[200];

    write_reason(e, reason, sizeof reason);
    cJSON_AddBoolToObject(alarm, "is_alarm", has_slope && e->trend.is_alarm);
    cJSON_AddStringToObject(alarm, "reason", reason);
    forecast_add_number(alarm, "slope_per_year",
                        has_slope ? e->trend.slope_per_year : NAN, 0.0001);
    forecast_add_number(alarm, "slope_low_per_year",
                        has_slope ? e->trend.slope_per_year - half : NAN, 0.0001);
    forecast_add_number(alarm, "slope_high_per_year",
                        has_slope ? e->trend.slope_per_year + half : NAN, 0.0001);
    forecast_add_number(alarm, "lost", has_slope ? e->trend.lost : NAN, 0.001);
    forecast_add_number(alarm, "false_alarm", e->rule.false_alarm, 0.001);
    cJSON_AddNumberToObject(alarm, "looks", e->rule.looks);
    forecast_add_number(alarm, "power", e->power, 0.001);
    forecast_add_number(alarm, "power_is_for_loss_per_year", EFFICIENCY_STATED_LOSS,
                        0.001);
}

static void add_cost(cJSON *object, const struct heater_efficiency *e)
{
    cJSON *cost = cJSON_AddObjectToObject(object, "cost");
    double fuel = NAN, lost = NAN, price = NAN, lost_price = NAN;

    coil_heat_cost(&e->tariff, e->fuel_j_per_year, &fuel, &price);
    coil_heat_cost(&e->tariff, e->lost_j_per_year, &lost, &lost_price);
    cJSON_AddStringToObject(cost, "unit", coil_fuel_unit_key(e->tariff.unit));
    cJSON_AddStringToObject(cost, "currency", e->currency);
    forecast_add_number(cost, "fuel_per_year", fuel, 0.01);
    forecast_add_number(cost, "lost_fuel_per_year", lost, 0.01);
    forecast_add_number(cost, "lost_cost_per_year", e->has_price ? lost_price : NAN,
                        0.01);
}

static cJSON *answer_json(int64_t heater_id, const struct heater_efficiency *e)
{
    cJSON *object = cJSON_CreateObject(), *array;

    cJSON_AddNumberToObject(object, "heater", (double)heater_id);
    api_add_id_or_null(object, "series_from", e->series_from);
    cJSON_AddNumberToObject(object, "usable", (double)e->usable);
    forecast_add_number(object, "now", e->has_trend ? e->now : NAN, 0.001);
    forecast_add_number(object, "now_half_width", e->has_trend ? e->u_now : NAN, 0.001);
    add_seasons(object, e);
    add_alarm(object, e);
    add_cost(object, e);
    array = cJSON_AddArrayToObject(object, "warm_ups");
    for (size_t i = 0; i < e->count; i++)
        cJSON_AddItemToArray(array, said_json(&e->said[i]));
    cJSON_AddBoolToObject(object, "is_cut", e->is_cut);
    return object;
}

void api_efficiency_get(struct app *app, struct db *db, const struct request *req,
                        struct reply *out)
{
    struct heater_efficiency efficiency = {0};
    struct problem problem;
    int64_t heater_id = 0, water_id;

    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &heater_id);
    if (api_refused(out, &problem))
        return;
    if (!api_main_pair(db, out, &heater_id, &water_id))
        return;
    if (api_ok(out, heater_efficiency_make(db, heater_id, api_now(app), &efficiency),
               "heater"))
        api_send(out, 200, answer_json(heater_id, &efficiency));
    heater_efficiency_finish(&efficiency);
}
