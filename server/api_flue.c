/* What the flue tests of a heater say, each by itself, against the one before, and
 * over the years. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_facts.h"
#include "flue_report.h"
#include "flue_json.h"

#define FALSE_ALARM 0.05
#define STACK_NAME "stack_k"

static const char *const value_names[COIL_FLUE_VALUE_COUNT] = {
    "excess_air_percent", "excess_air_simple_percent", "co2_percent",
    "co_air_free_ppm",    "co_co2_ratio",              "dew_point_c",
    "loss_net_percent",   "efficiency_net_percent",    "efficiency_gross_percent",
    "balance_gross_percent"};

static const char *direction_word(enum coil_direction direction)
{
    return direction == COIL_RISING    ? "rising"
           : direction == COIL_FALLING ? "falling"
                                       : "steady";
}

static void add_real(cJSON *object, const char *name, double value)
{
    if (isfinite(value))
        api_add_e6(object, name, decimal_from_double(value));
    else
        cJSON_AddNullToObject(object, name);
}

static void add_finding(cJSON *array, const char *code, const char *text)
{
    cJSON *one = cJSON_CreateObject();

    cJSON_AddStringToObject(one, "code", code);
    cJSON_AddStringToObject(one, "text", text);
    cJSON_AddItemToArray(array, one);
}

static void add_result(cJSON *object, const struct flue_case *one)
{
    cJSON *result, *values;

    if (!one->test->sampled) {
        cJSON_AddNullToObject(object, "result");
        return;
    }
    result = cJSON_AddObjectToObject(object, "result");
    values = cJSON_AddObjectToObject(result, "values");
    for (int i = 0; i < COIL_FLUE_VALUE_COUNT; i++) {
        cJSON *value;

        if (!one->result.is_known[i]) {
            cJSON_AddNullToObject(values, value_names[i]);
            continue;
        }
        value = cJSON_AddObjectToObject(values, value_names[i]);
        add_real(value, "value", one->result.value[i]);
        if (flue_has_accuracy(one->test))
            add_real(value, "u", one->result.u[i]);
        else
            cJSON_AddNullToObject(value, "u");
    }
    if (one->result.loss_refusal == COIL_FLUE_FINE) {
        cJSON_AddNullToObject(result, "loss_refusal");
    } else {
        cJSON *why = cJSON_AddObjectToObject(result, "loss_refusal");

        cJSON_AddStringToObject(why, "code",
                                coil_flue_refusal_code(one->result.loss_refusal));
        cJSON_AddStringToObject(why, "text",
                                coil_flue_refusal_text(one->result.loss_refusal));
    }
    cJSON_AddBoolToObject(result, "holds_burner", one->result.holds_burner);
}

static void add_change(cJSON *object, const struct flue_case *one,
                       const struct flue_case *before)
{
    const struct coil_flue_change *change = &one->comparison.change;
    cJSON *member;

    if (before == NULL || !one->comparison.has_change) {
        cJSON_AddNullToObject(object, "change");
        return;
    }
    member = cJSON_AddObjectToObject(object, "change");
    cJSON_AddNumberToObject(member, "since", (double)before->test->fact.id);
    add_real(member, "o2_percent", change->o2_percent);
    add_real(member, "co_air_free_ppm", change->co_ppm);
    add_real(member, STACK_NAME, change->stack_k);
    add_real(member, "u_o2_percent", change->u_o2_percent);
    add_real(member, "u_co_air_free_ppm", change->u_co_ppm);
    add_real(member, "u_stack_k", change->u_stack_k);
    cJSON_AddStringToObject(member, "o2", direction_word(change->o2));
    cJSON_AddStringToObject(member, "co", direction_word(change->co));
    cJSON_AddStringToObject(member, "stack", direction_word(change->stack));
}

/* Only against the plate that the user entered: there is no usual value. */
static void add_manifold(cJSON *object, const struct flue_case *one)
{
    const struct db_flue_number *read = &one->test->values[DB_FLUE_MANIFOLD_PA];
    cJSON *member;

    if (!read->is_known || one->plate.manifold_pa_e6 == 0) {
        cJSON_AddNullToObject(object, "manifold");
        return;
    }
    member = cJSON_AddObjectToObject(object, "manifold");
    api_add_e6(member, "plate_pa", one->plate.manifold_pa_e6);
    add_real(member, "off_plate_percent",
             100.0 * ((double)read->value_e6 / (double)one->plate.manifold_pa_e6 - 1));
}

cJSON *flue_case_json(const struct flue_case *one, const struct flue_case *before)
{
    cJSON *object = fact_json(&fact_flue_tests, one->test);
    cJSON *findings = cJSON_AddArrayToObject(object, "findings");

    if (one->test->soot_seen)
        add_finding(findings, "soot_seen", "Soot was seen.");
    if (one->test->rollout_seen)
        add_finding(findings, "rollout_seen", "Flames came out of the heater.");
    if (one->test->sampled && !one->test->well_sampled)
        add_finding(findings, "badly_sampled",
                    "Not taken before the draught hood at steady state: these numbers "
                    "prove nothing.");
    for (int i = 0; one->test->sampled && i < COIL_FLUE_FINDING_COUNT; i++)
        if (one->comparison.is_found[i])
            add_finding(findings, coil_flue_finding_code((enum coil_flue_finding)i),
                        coil_flue_finding_text((enum coil_flue_finding)i));
    add_result(object, one);
    add_change(object, one, before);
    add_manifold(object, one);
    return object;
}

/* ---- gathering ---- */

static bool same_gas(const struct flue_case *a, const struct flue_case *b)
{
    return strcmp(a->fuel.name, b->fuel.name) == 0 &&
           fabs(coil_fuel_ultimate_co2_percent(&a->fuel.fuel) -
                coil_fuel_ultimate_co2_percent(&b->fuel.fuel)) < 1e-9;
}

const struct flue_case *flue_before(const struct flue_cases *cases, size_t index)
{
    for (size_t i = index; i-- > 0;)
        if (cases->list[i].test->sampled && cases->list[i].test->well_sampled &&
            same_gas(&cases->list[i], &cases->list[index]))
            return &cases->list[i];
    return NULL;
}

static enum db_status fill_case(struct db *db, const struct db_heater *heater,
                                struct flue_cases *cases, size_t index)
{
    struct flue_case *one = &cases->list[index];
    const struct flue_case *before;
    struct coil_flue_test now, then;
    enum db_status status =
        db_plate_get_at(db, heater->id, one->test->fact.at, &one->plate);

    if (status != DB_OK || !flue_fuel_of(heater, &one->plate, &one->fuel) ||
        !one->test->sampled)
        return status;
    flue_test_of(one->test, &one->plate, &now);
    if (coil_flue_analyse(&one->fuel.fuel, &now.reading, &now.accuracy, &one->result) !=
        COIL_OK)
        return DB_OK; /* kept before it was refused; shown without a result */
    before = flue_before(cases, index);
    if (before != NULL)
        flue_test_of(before->test, &before->plate, &then);
    (void)coil_flue_compare(&one->fuel.fuel, before != NULL ? &then : NULL, &now,
                            &one->comparison);
    return DB_OK;
}

enum db_status flue_cases_read(struct db *db, int64_t heater_id, int64_t from,
                               int64_t until, struct flue_cases *out)
{
    const struct db_window window = {
        .subject_id = heater_id, .from = from, .until = until, .limit = FLUE_CASES_MAX};
    struct db_heater heater;
    enum db_status status = db_heater_get(db, heater_id, &heater);

    memset(out, 0, sizeof *out);
    out->tests = calloc(FLUE_CASES_MAX, sizeof *out->tests);
    out->list = calloc(FLUE_CASES_MAX, sizeof *out->list);
    if (status == DB_OK && (out->tests == NULL || out->list == NULL))
        status = DB_FAILED;
    if (status == DB_OK)
        status = db_flue_test_list(db, &window, out->tests, &out->count);
    for (size_t i = 0; status == DB_OK && i < out->count; i++) {
        out->list[i].test = &out->tests[out->count - 1 - i]; /* oldest first */
        status = fill_case(db, &heater, out, i);
    }
    if (status != DB_OK)
        flue_cases_finish(out);
    return status;
}

void flue_cases_finish(struct flue_cases *cases)
{
    free(cases->tests);
    free(cases->list);
    memset(cases, 0, sizeof *cases);
}

/* ---- drift ---- */

static double stack_k(const struct flue_case *one)
{
    return decimal_to_double(one->test->values[DB_FLUE_FLUE_TEMP_C].value_e6 -
                             one->test->values[DB_FLUE_AIR_TEMP_C].value_e6);
}

static double o2_percent(const struct flue_case *one)
{
    return decimal_to_double(one->test->values[DB_FLUE_O2_PERCENT].value_e6);
}

static double co_air_free(const struct flue_case *one)
{
    return one->result.value[COIL_FLUE_CO_AIR_FREE];
}

static double efficiency(const struct flue_case *one)
{
    return one->result.is_known[COIL_FLUE_EFFICIENCY_GROSS]
               ? one->result.value[COIL_FLUE_EFFICIENCY_GROSS]
               : (double)NAN;
}

static void add_trend(cJSON *object, const char *name, const struct flue_cases *cases,
                      double (*value_of)(const struct flue_case *one))
{
    const struct flue_case *newest = &cases->list[cases->count - 1];
    double time_s[FLUE_CASES_MAX], value[FLUE_CASES_MAX];
    struct coil_trend trend;
    cJSON *one = cJSON_AddObjectToObject(object, name);
    size_t count = 0;
    bool can_tell = false;

    for (size_t i = 0; i < cases->count; i++) {
        const struct flue_case *test = &cases->list[i];
        double at = (double)test->test->fact.at;

        if (!test->test->sampled || !test->test->well_sampled ||
            !same_gas(test, newest) || !isfinite(value_of(test)) ||
            (count > 0 && at <= time_s[count - 1]))
            continue;
        time_s[count] = at;
        value[count++] = value_of(test);
    }
    if (count >= COIL_TREND_MIN)
        can_tell = coil_trend_mann_kendall(time_s, value, count, FALSE_ALARM, &trend) ==
                   COIL_OK;
    cJSON_AddNumberToObject(one, "count", (double)count);
    cJSON_AddStringToObject(one, "direction",
                            can_tell && trend.can_tell ? direction_word(trend.direction)
                                                       : "unknown");
    add_real(one, "slope_per_year", can_tell ? trend.slope_per_year : (double)NAN);
    add_real(one, "low_per_year",
             can_tell && trend.has_interval ? trend.slope_low_per_year : (double)NAN);
    add_real(one, "high_per_year",
             can_tell && trend.has_interval ? trend.slope_high_per_year : (double)NAN);
}

cJSON *flue_drift_json(const struct flue_cases *cases)
{
    cJSON *object = cJSON_CreateObject(), *values;

    cJSON_AddNumberToObject(object, "false_alarm", FALSE_ALARM);
    cJSON_AddStringToObject(object, "method", "mann_kendall");
    values = cJSON_AddObjectToObject(object, "values");
    if (cases->count > 0) {
        add_trend(values, "o2_percent", cases, o2_percent);
        add_trend(values, "co_air_free_ppm", cases, co_air_free);
        add_trend(values, STACK_NAME, cases, stack_k);
        add_trend(values, "efficiency_gross_percent", cases, efficiency);
    }
    return object;
}

/* ---- the answer ---- */

static void add_fuel(cJSON *object, const struct db_heater *heater,
                     const struct db_plate *plate)
{
    struct flue_fuel fuel;
    cJSON *one;

    if (!flue_fuel_of(heater, plate, &fuel)) {
        cJSON_AddNullToObject(object, "fuel");
        return;
    }
    one = cJSON_AddObjectToObject(object, "fuel");
    cJSON_AddStringToObject(one, "name", fuel.name);
    cJSON_AddBoolToObject(one, "is_own", fuel.is_own);
    add_real(one, "ultimate_co2_percent", coil_fuel_ultimate_co2_percent(&fuel.fuel));
}

static void add_notes(cJSON *object)
{
    static const char *const notes[] = {
        "Oxygen in range never proves carbon monoxide safe: one point of oxygen can lie "
        "between 50 and 1200 ppm.",
        "Findings point where to look. They are no diagnosis.",
        "Net counts the fuel's heat without, gross with the heat of its water vapour. "
        "Losses of the jacket and of standing by are in neither.",
        "Looking again after each new test adds up: ten yearly looks from the fifth test "
        "on call a burner that does not drift drifting in 17 of 100 series."};
    cJSON *array = cJSON_AddArrayToObject(object, "notes");

    for (size_t i = 0; i < sizeof notes / sizeof notes[0]; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(notes[i]));
}

void api_flue_get(struct app *app, struct db *db, const struct request *req,
                  struct reply *out)
{
    const uint64_t changes = api_changes(app);
    int64_t heater_id = 0, water_id, from = 1, until = INT64_C(1) << 40;
    struct flue_cases cases;
    struct problem problem;
    struct db_heater heater;
    struct db_plate plate;
    cJSON *object, *array;

    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &heater_id);
    api_query_integer(req, &problem, "from", 0, INT64_C(1) << 40, &from);
    api_query_integer(req, &problem, "until", 0, INT64_C(1) << 40, &until);
    if (api_refused(out, &problem))
        return;
    if (!api_main_pair(db, out, &heater_id, &water_id))
        return;
    if (!api_ok(out, db_heater_get(db, heater_id, &heater), "heater") ||
        !api_ok(out, db_plate_get(db, heater_id, &plate), "heater") ||
        !api_ok(out, flue_cases_read(db, heater_id, from, until, &cases), "heater"))
        return;
    object = cJSON_CreateObject();
    cJSON_AddNumberToObject(object, "heater", (double)heater_id);
    add_fuel(object, &heater, &plate);
    array = cJSON_AddArrayToObject(object, "tests");
    for (size_t i = 0; i < cases.count; i++)
        cJSON_AddItemToArray(array,
                             flue_case_json(&cases.list[i], flue_before(&cases, i)));
    cJSON_AddItemToObject(object, "drift", flue_drift_json(&cases));
    add_notes(object);
    flue_cases_finish(&cases);
    api_send(out, 200, object);
    api_tag(app, out, changes);
}
