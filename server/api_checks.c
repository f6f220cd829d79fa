/* A technician's quick checks of the heater: computed from what is typed, nothing kept.
 */
#include <math.h>
#include <stdlib.h>

#include "api.h"
#include "api_common.h"
#include "flue_json.h"
#include "forecast_json.h"
#include "heat_plan.h"
#include "lib/heater_checks.h"

#define RUNS_MAX 200
#define STRETCH_S 86400
#define EFFICIENCY_RATED 0.80  /* where nobody said the rated output */
#define METAL_RISE_K 5.0       /* illustrative, no source */
#define FLUX_W_PER_M2 60000.0  /* illustrative, no source */
#define SCALE_CONDUCTIVITY 1.0 /* W/(m K), calcite scale; from memory 0.5 to 2.5 */
/* Dew points of flue gas at usual excess air; common practice, no source. */
#define DEW_POINT_GAS_C 54.0
#define DEW_POINT_PROPANE_C 51.0
#define OFF_BY 0.1 /* of the rated figure, from where a check says so */

struct checks {
    struct db_heater heater;
    double input_w;
    struct coil_tariff tariff;
    cJSON *answer;
};

static double number_of(int64_t value_e6)
{
    return decimal_to_double(value_e6);
}

/* "meter": gas counted in some time, all other appliances off. */
static void check_meter(struct form *form, struct checks *checks)
{
    struct form child;
    int64_t gas_e6 = 0, step_e6 = 0, seconds = 0, mj_e6 = 0;
    int unit = 0;
    double unit_j = 0.0, input_w, ratio, u_ratio;
    cJSON *one;

    if (!form_nested(form, "meter", FORM_OPTIONAL, &child))
        return;
    form_choice(&child, "unit", heat_unit_keys, FORM_REQUIRED, &unit);
    form_e6(&child, "used", 0, 1e6, FORM_REQUIRED, &gas_e6);
    form_e6(&child, "step", 0, 1000, FORM_OPTIONAL, &step_e6);
    form_integer(&child, "duration_s", 10, 86400, FORM_REQUIRED, &seconds);
    if (form_e6(&child, "mj_per_unit", 1, 1000, FORM_OPTIONAL, &mj_e6))
        unit_j = number_of(mj_e6) * 1e6;
    else if (checks->tariff.unit == (enum coil_fuel_unit)unit &&
             checks->tariff.j_per_unit > 0.0)
        unit_j = checks->tariff.j_per_unit;
    else
        coil_fuel_unit_j((enum coil_fuel_unit)unit, &unit_j);
    form_close(&child);
    if (form->problem->count != 0)
        return;
    if (gas_e6 == 0) {
        problem_add(form->problem, "warm_up_no_fuel", "meter.used",
                    "The meter did not move: no rate can be computed.");
        return;
    }
    /* In units of heat, so that every meter fits: a cubic metre of 1 MJ. */
    if (coil_meter_clock(number_of(gas_e6) * unit_j / 1e6, (double)seconds, 1e6,
                         number_of(step_e6) * unit_j / 1e6, checks->input_w, &input_w,
                         &ratio, &u_ratio) != COIL_OK) {
        problem_add(form->problem, "out_of_range", "meter.used",
                    "So much gas in so little time is not one heater's.");
        return;
    }
    one = cJSON_AddObjectToObject(checks->answer, "meter");
    forecast_add_number(one, "input_w", input_w, 1);
    forecast_add_number(one, "ratio", ratio, 0.001);
    forecast_add_number(one, "u_ratio", u_ratio, 0.001);
    cJSON_AddStringToObject(one, "verdict",
                            fabs(ratio - 1.0) <= OFF_BY + 2.0 * u_ratio ? "as_rated"
                            : ratio < 1.0                               ? "under"
                                                                        : "over");
}

/* "rise": measured across the heater against what the rated output would give. */
static void check_rise(struct form *form, struct checks *checks)
{
    struct form child;
    int64_t in_e6 = 0, out_e6 = 0, flow_e6 = 0, output_e6 = 0;
    double output_w, expected, heat_w, ratio;
    cJSON *one;

    if (!form_nested(form, "rise", FORM_OPTIONAL, &child))
        return;
    form_e6(&child, "inlet_temp_c", 0, 60, FORM_REQUIRED, &in_e6);
    form_e6(&child, "outlet_temp_c", 0, 100, FORM_REQUIRED, &out_e6);
    form_e6(&child, "flow_l_per_s", 0.01, 100, FORM_REQUIRED, &flow_e6);
    form_e6(&child, "rated_output_w", 100, 1e6, FORM_OPTIONAL, &output_e6);
    form_close(&child);
    if (form->problem->count != 0)
        return;
    output_w =
        output_e6 > 0 ? number_of(output_e6) : checks->input_w * EFFICIENCY_RATED;
    if (out_e6 < in_e6) {
        problem_add(form->problem, "out_of_range", "rise.outlet_temp_c",
                    "The outlet is colder than the inlet: the sensors are swapped or "
                    "the heater is off.");
        return;
    }
    if (coil_heater_rise_k(output_w, number_of(flow_e6), number_of(in_e6), &expected) !=
            COIL_OK ||
        coil_heater_heat_w(number_of(out_e6 - in_e6), number_of(flow_e6),
                           number_of(in_e6), &heat_w) != COIL_OK)
        return;
    ratio = heat_w / output_w;
    one = cJSON_AddObjectToObject(checks->answer, "rise");
    forecast_add_number(one, "rise_k", number_of(out_e6 - in_e6), 0.01);
    forecast_add_number(one, "expected_rise_k", expected, 0.01);
    forecast_add_number(one, "heat_w", heat_w, 1);
    forecast_add_number(one, "ratio", ratio, 0.001);
    cJSON_AddBoolToObject(one, "output_is_assumed", output_e6 == 0);
    cJSON_AddStringToObject(one, "verdict",
                            heat_w > checks->input_w          ? "above_physics"
                            : fabs(ratio - 1.0) <= 2 * OFF_BY ? "as_rated"
                            : ratio < 1.0                     ? "under"
                                                              : "over");
}

/* Of the newest flue test that tells it; 0 where there is none. */
static enum db_status find_dew_point(struct db *db, const struct db_heater *heater,
                                     int64_t now_s, double *out_c, int64_t *out_at)
{
    struct flue_cases cases;
    enum db_status status = flue_cases_read(db, heater->id, 1, now_s, &cases);

    *out_at = 0;
    for (size_t i = cases.count; status == DB_OK && *out_at == 0 && i-- > 0;) {
        const struct flue_case *one = &cases.list[i];

        if (!one->test->sampled || !one->test->well_sampled ||
            !one->result.is_known[COIL_FLUE_DEW_POINT])
            continue;
        *out_c = one->result.value[COIL_FLUE_DEW_POINT];
        *out_at = one->test->fact.at;
    }
    flue_cases_finish(&cases);
    return status;
}

/* "condensing": is the inlet so cold that flue gas condenses on the exchanger? Nothing
 * condenses where nothing burns. */
static enum db_status check_condensing(struct db *db, int64_t now_s, struct form *form,
                                       struct checks *checks)
{
    struct form child;
    int64_t in_e6 = 0, dew_e6 = 0, test_at = 0;
    double dew_c =
        checks->heater.fuel == DB_PROPANE ? DEW_POINT_PROPANE_C : DEW_POINT_GAS_C;
    double margin_k;
    enum db_status status = DB_OK;
    cJSON *one;

    if (!form_nested(form, "condensing", FORM_OPTIONAL, &child))
        return DB_OK;
    form_e6(&child, "inlet_temp_c", 0, 60, FORM_REQUIRED, &in_e6);
    if (form_e6(&child, "flue_dew_point_c", 20, 70, FORM_OPTIONAL, &dew_e6))
        dew_c = number_of(dew_e6);
    form_close(&child);
    if (form->problem->count != 0 || checks->heater.fuel == DB_ELECTRIC ||
        checks->heater.fuel == DB_HEAT_PUMP)
        return DB_OK;
    if (dew_e6 == 0)
        status = find_dew_point(db, &checks->heater, now_s, &dew_c, &test_at);
    if (status != DB_OK || coil_condensing_margin_k(number_of(in_e6), METAL_RISE_K,
                                                    dew_c, &margin_k) != COIL_OK)
        return status;
    one = cJSON_AddObjectToObject(checks->answer, "condensing");
    forecast_add_number(one, "margin_k", margin_k, 0.1);
    forecast_add_number(one, "flue_dew_point_c", dew_c, 0.1);
    cJSON_AddStringToObject(one, "dew_point_from",
                            dew_e6 != 0    ? "given"
                            : test_at != 0 ? "flue_test"
                                           : "usual");
    api_add_id_or_null(one, "flue_test_at", test_at);
    forecast_add_number(one, "metal_rise_k", METAL_RISE_K, 0.1);
    cJSON_AddBoolToObject(one, "condenses", margin_k < 0.0);
    return DB_OK;
}

/* "scale": an order of magnitude. */
static void check_scale(struct form *form, struct checks *checks)
{
    static const char *const kinds[] = {"normal", "high_iron", "iron_silica", NULL};
    struct form child;
    int64_t mm_e6 = 0;
    int kind = COIL_SCALE_NORMAL;
    double percent, rise_k;
    enum coil_status status;
    cJSON *one;

    if (!form_nested(form, "scale", FORM_OPTIONAL, &child))
        return;
    form_e6(&child, "thickness_mm", 0, 10, FORM_REQUIRED, &mm_e6);
    form_choice(&child, "kind", kinds, FORM_OPTIONAL, &kind);
    form_close(&child);
    if (form->problem->count != 0)
        return;
    status = coil_scale_fuel_loss(number_of(mm_e6), (enum coil_scale)kind, &percent);
    if (status < COIL_OK ||
        coil_scale_wall_rise_k(FLUX_W_PER_M2, number_of(mm_e6), SCALE_CONDUCTIVITY,
                               &rise_k) < COIL_OK)
        return;
    one = cJSON_AddObjectToObject(checks->answer, "scale");
    forecast_add_number(one, "fuel_loss_percent", percent, 0.1);
    forecast_add_number(one, "wall_rise_k", rise_k, 1);
    cJSON_AddBoolToObject(one, "is_order_of_magnitude", true);
    cJSON_AddBoolToObject(one, "out_of_range", status != COIL_OK);
}

/* Burner runs of the last day that had any, oldest first. */
static enum db_status check_cycling(struct db *db, int64_t now_s, struct checks *checks)
{
    struct coil_run_interval intervals[RUNS_MAX];
    struct coil_cycling cycling;
    size_t count = 0;
    int64_t last = 0;
    enum db_status status = DB_OK;
    cJSON *one;

    for (size_t w = 0; w < checks->heater.water_count && status == DB_OK; w++) {
        const struct db_window window = {.subject_id = checks->heater.water_ids[w],
                                         .from = 1,
                                         .until = now_s,
                                         .limit = RUNS_MAX};
        struct db_run *runs = calloc(RUNS_MAX, sizeof *runs);
        size_t found = 0;

        status = runs == NULL ? DB_FAILED : db_run_list(db, &window, runs, &found);
        for (size_t i = 0; i < found && status == DB_OK; i++) {
            if (runs[i].machine != DB_BURNER ||
                runs[i].heater_id != checks->heater.id || count == RUNS_MAX)
                continue;
            last = last == 0 ? runs[i].fact.at : last;
            if (runs[i].fact.at <= last - STRETCH_S)
                break;
            intervals[RUNS_MAX - 1 - count++] = (struct coil_run_interval){
                (double)runs[i].fact.at, (double)runs[i].ended_at};
        }
        free(runs);
        if (count > 0)
            break; /* one water at a time is heated */
    }
    if (status != DB_OK || count == 0 ||
        coil_short_cycling(intervals + RUNS_MAX - count, count, &cycling) != COIL_OK)
        return status;
    one = cJSON_AddObjectToObject(checks->answer, "cycling");
    cJSON_AddNumberToObject(one, "last_run_at", (double)last);
    cJSON_AddNumberToObject(one, "runs", (double)cycling.runs);
    forecast_add_number(one, "median_run_s", cycling.median_run_s, 1);
    forecast_add_number(one, "runs_per_h", cycling.runs_per_h, 0.1);
    cJSON_AddBoolToObject(one, "is_short", cycling.is_short != 0);
    return DB_OK;
}

static void fill_gaps(cJSON *answer)
{
    static const char *const names[] = {"meter", "rise", "condensing", "scale",
                                        "cycling"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (!cJSON_HasObjectItem(answer, names[i]))
            cJSON_AddNullToObject(answer, names[i]);
}

static enum db_status read_heater(struct db *db, struct form *form,
                                  struct checks *checks)
{
    struct db_site site;
    int64_t id = 0;
    char currency[9];
    bool has_price;
    enum db_status status;

    if (!form_integer(form, "heater", 1, INT64_MAX / 2, FORM_REQUIRED, &id))
        return DB_OK;
    status = db_heater_get(db, id, &checks->heater);
    if (status == DB_NOT_FOUND) {
        problem_add(form->problem, "not_found", "heater", "There is no such heater.");
        return DB_OK;
    }
    if (status == DB_OK)
        status = db_site_get(db, &site);
    if (status == DB_OK)
        status = heat_tariff(db, &checks->heater, &site, &checks->tariff, &has_price,
                             currency);
    checks->input_w = number_of(checks->heater.input_w_e6);
    if (status == DB_OK && !(checks->input_w > 0.0))
        problem_add(form->problem, "no_rated_input", "heater",
                    "Setup must first know the heater's rated input.");
    return status;
}

void api_checks_create(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct checks checks = {.answer = cJSON_CreateObject()};
    struct problem problem;
    struct form form;
    enum db_status status = DB_OK;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        status = read_heater(db, &form, &checks);
        cJSON_AddNumberToObject(checks.answer, "heater", (double)checks.heater.id);
        check_meter(&form, &checks);
        check_rise(&form, &checks);
        if (status == DB_OK)
            status = check_condensing(db, api_now(app), &form, &checks);
        check_scale(&form, &checks);
    }
    form_close(&form);
    if (problem.count == 0 && status == DB_OK)
        status = check_cycling(db, api_now(app), &checks);
    if (api_refused(out, &problem) || !api_ok(out, status, "heater")) {
        cJSON_Delete(checks.answer);
        return;
    }
    fill_gaps(checks.answer);
    api_send(out, 200, checks.answer);
}
