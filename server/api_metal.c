/* Grams of copper or iron that entered the water between two tests. */
#include <math.h>
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "forecast_json.h"
#include "heat_plan.h"
#include "lib/corrosion.h"
#include "lib/index.h"

#define DAY_S 86400.0
#define APART_S (7 * 86400)      /* tests nearer than this are noise of the kit */
#define NACL_TO_CHLORIDE 0.60663 /* 35.453/58.443, molar masses */

/* Conventions of ours, no source: standard uncertainties, and what a day evaporates. */
#define U_OF_VALUE 0.1
#define U_VOLUME 0.05
#define U_OUT 0.3
#define EVAPORATION_M_PER_DAY 0.004
#define FILL_ASSUMED_MG_PER_L 0.1
#define U_FILL_ASSUMED_MG_PER_L 0.3
#define ASSUMED_MAX 4

struct metal_wish {
    int64_t heater_id, water_id, now_s, from, until;
    int metal;                                    /* enum coil_metal */
    double out_l, fill_l, fill_mg_per_l, dosed_g; /* NAN: not said */
};

struct metal_answer {
    const char *lacks; /* NULL: nothing */
    struct coil_measure before, after;
    struct coil_metal_tests tests;
    struct coil_metal_balance balance;
    struct coil_metal_signs signs;
    const char *assumed[ASSUMED_MAX];
    size_t assumed_count;
    double depth_um; /* of 1 m2 */
};

static bool read_wish(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, struct metal_wish *wish)
{
    static const char *const metals[] = {"copper", "iron", NULL};
    struct problem problem;

    *wish = (struct metal_wish){.now_s = api_now(app),
                                .out_l = NAN,
                                .fill_l = NAN,
                                .fill_mg_per_l = NAN,
                                .dosed_g = NAN};
    wish->until = wish->now_s;
    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, &wish->water_id);
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &wish->heater_id);
    api_check_pair(&problem, wish->heater_id, wish->water_id);
    api_query_integer(req, &problem, "from", 0, wish->now_s, &wish->from);
    api_query_integer(req, &problem, "until", 0, wish->now_s, &wish->until);
    wish->metal = api_query_choice(req, &problem, "metal", metals, COIL_METAL_COPPER);
    api_query_number(req, &problem, "out_l", 0, 1e8, &wish->out_l);
    api_query_number(req, &problem, "fill_l", 0, 1e8, &wish->fill_l);
    api_query_number(req, &problem, "fill_mg_per_l", 0, 50, &wish->fill_mg_per_l);
    api_query_number(req, &problem, "dosed_g", 0, 1e5, &wish->dosed_g);
    if (problem.count == 0 && wish->from > wish->until)
        problem_add(&problem, "query_invalid", "from", "from must not be after until.");
    if (api_refused(out, &problem))
        return false;
    return api_main_pair(db, out, &wish->heater_id, &wish->water_id);
}

/* The newest test and one before it: the first after `from`, or the newest that is a
 * week older. */
static bool find_tests(const struct coil_history *history,
                       const struct metal_wish *wish, struct metal_answer *out)
{
    bool has_before = false;

    if (history->count < 2)
        return false;
    out->after = history->newest[0];
    for (size_t i = 1; i < history->count; i++) {
        const struct coil_measure *one = &history->newest[i];

        if (one->at_s < wish->from || out->after.at_s - one->at_s < APART_S ||
            (wish->from == 0 && has_before))
            continue;
        out->before = *one;
        has_before = true;
    }
    return has_before;
}

/* Half a step either way, even distribution, and the kit's own error. */
static double u_of(const struct coil_measure *measure)
{
    return hypot(measure->resolution / sqrt(12.0), U_OF_VALUE * measure->value);
}

static double said_or(double said, double otherwise, const char *name,
                      struct metal_answer *out)
{
    if (!isnan(said))
        return said;
    if (out->assumed_count < ASSUMED_MAX)
        out->assumed[out->assumed_count++] = name;
    return otherwise;
}

static void find_fill(const struct metal_wish *wish, const struct db_fill_water *fill,
                      struct metal_answer *out)
{
    const struct db_fill_value *kept =
        &fill->values[wish->metal == COIL_METAL_COPPER ? DB_FILL_COPPER : DB_FILL_IRON];
    double said = !isnan(wish->fill_mg_per_l) ? wish->fill_mg_per_l
                  : kept->is_known            ? decimal_to_double(kept->value_e6)
                                              : NAN;

    out->tests.u_fill_mg_per_l =
        isnan(said) ? U_FILL_ASSUMED_MG_PER_L : fmax(0.02, U_OF_VALUE * said);
    out->tests.fill_mg_per_l =
        said_or(said, FILL_ASSUMED_MG_PER_L, "fill_mg_per_l", out);
}

static double newest(const struct coil_permit_facts *facts, enum coil_quantity quantity)
{
    const struct coil_history *history = &facts->history[quantity];

    return history->count > 0 ? history->newest[0].value : NAN;
}

static void find_signs(const struct coil_permit_facts *facts, struct metal_answer *out)
{
    double alkalinity = newest(facts, COIL_TOTAL_ALKALINITY);
    double salt = newest(facts, COIL_SALT), sulfate = newest(facts, COIL_SULFATE);
    struct coil_metal_signs *signs = &out->signs;

    *signs = (struct coil_metal_signs){NAN, NAN, NACL_TO_CHLORIDE * salt,
                                       newest(facts, COIL_PH),
                                       newest(facts, COIL_FREE_CHLORINE)};
    if (!isnan(salt) && !isnan(sulfate) && alkalinity > 0.0)
        coil_larson_skold_index(signs->chloride_mg_per_l, sulfate, alkalinity,
                                &signs->larson_skold);
    if (alkalinity > 0.0 && newest(facts, COIL_CALCIUM_HARDNESS) > 0.0)
        coil_aggressive_index(signs->ph, alkalinity,
                              newest(facts, COIL_CALCIUM_HARDNESS),
                              &signs->aggressive_index);
}

static enum db_status balance(struct db *db, const struct metal_wish *wish,
                              struct metal_answer *out)
{
    struct coil_permit_facts facts;
    struct db_fill_water fill;
    struct db_water water;
    struct coil_metal_tests *t = &out->tests;
    double days;
    enum db_status status = db_permit_facts(db, wish->heater_id, wish->water_id,
                                            wish->until, false, &facts);

    memset(out, 0, sizeof *out);
    if (status == DB_OK)
        status = db_fill_get(db, wish->water_id, &fill);
    if (status == DB_OK)
        status = db_water_get(db, wish->water_id, &water);
    if (status != DB_OK)
        return status;
    find_signs(&facts, out);
    out->lacks =
        !find_tests(
            &facts.history[wish->metal == COIL_METAL_COPPER ? COIL_COPPER : COIL_IRON],
            wish, out)
            ? "tests"
        : water.volume_m3_e6 < 100000 ? "volume_m3"
                                      : NULL;
    if (out->lacks != NULL)
        return DB_OK;
    days = (double)(out->after.at_s - out->before.at_s) / DAY_S;
    t->metal = (enum coil_metal)wish->metal;
    t->volume_l = decimal_to_double(water.volume_m3_e6) * 1000.0;
    t->u_volume_fraction = U_VOLUME;
    t->before_mg_per_l = out->before.value;
    t->after_mg_per_l = out->after.value;
    t->u_before_mg_per_l = u_of(&out->before);
    t->u_after_mg_per_l = u_of(&out->after);
    t->out_l = said_or(wish->out_l, 0.0, "out_l", out);
    t->u_out_fraction = U_OUT;
    t->fill_l =
        said_or(wish->fill_l,
                t->out_l + 1000.0 * EVAPORATION_M_PER_DAY * heat_area_m2(&water) * days,
                "fill_l", out);
    find_fill(wish, &fill, out);
    t->dosed_g = said_or(wish->dosed_g, 0.0, "dosed_g", out);
    t->u_dosed_g = U_OF_VALUE * t->dosed_g;
    if (coil_metal_balance(t, &out->balance) < COIL_OK ||
        coil_metal_depth_um(t->metal, out->balance.at_least_g, 1.0, &out->depth_um) <
            COIL_OK)
        out->lacks = "sense"; /* more water went out than the balance is good for */
    return DB_OK;
}

static cJSON *test_json(const struct coil_measure *measure, double u)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddNumberToObject(object, "at", (double)measure->at_s);
    forecast_add_number(object, "mg_per_l", measure->value, 0.0001);
    forecast_add_number(object, "u_mg_per_l", u, 0.0001);
    return object;
}

static void add_balance(cJSON *object, const struct metal_answer *answer)
{
    const struct coil_metal_balance *b = &answer->balance;
    const struct coil_metal_tests *t = &answer->tests;
    cJSON *one, *array;

    if (answer->lacks != NULL) {
        cJSON_AddNullToObject(object, "balance");
        return;
    }
    one = cJSON_AddObjectToObject(object, "balance");
    cJSON_AddItemToObject(one, "before",
                          test_json(&answer->before, t->u_before_mg_per_l));
    cJSON_AddItemToObject(one, "after", test_json(&answer->after, t->u_after_mg_per_l));
    forecast_add_number(one, "out_l", t->out_l, 1);
    forecast_add_number(one, "fill_l", t->fill_l, 1);
    forecast_add_number(one, "fill_mg_per_l", t->fill_mg_per_l, 0.001);
    forecast_add_number(one, "dosed_g", t->dosed_g, 0.01);
    array = cJSON_AddArrayToObject(one, "assumed");
    for (size_t i = 0; i < answer->assumed_count; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(answer->assumed[i]));
    forecast_add_number(one, "entered_g", b->entered_g, 0.01);
    forecast_add_number(one, "explained_g", b->explained_g, 0.01);
    forecast_add_number(one, "unexplained_g", b->unexplained_g, 0.01);
    forecast_add_number(one, "u_unexplained_g", b->u_unexplained_g, 0.01);
    forecast_add_number(one, "at_least_g", b->at_least_g, 0.01);
    forecast_add_number(one, "depth_um_of_1_m2", answer->depth_um, 0.01);
    cJSON_AddStringToObject(one, "verdict",
                            b->verdict == COIL_METAL_UNEXPLAINED ? "unexplained"
                                                                 : "nothing_shown");
}

static void add_signs(cJSON *object, enum coil_metal metal,
                      const struct coil_metal_signs *signs)
{
    static const struct {
        enum coil_metal_sign sign;
        const char *key;
    } names[] = {{COIL_SIGN_LARSON_HIGH, "larson_skold_high"},
                 {COIL_SIGN_AGGRESSIVE, "aggressive"},
                 {COIL_SIGN_CHLORIDE_HIGH, "chloride_high"},
                 {COIL_SIGN_PH_LOW, "ph_low"},
                 {COIL_SIGN_CHLORINE_HIGH, "free_chlorine_high"}};
    unsigned mask = coil_metal_signs(metal, signs);
    cJSON *array = cJSON_AddArrayToObject(object, "signs"), *values;

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if ((mask & (unsigned)names[i].sign) != 0)
            cJSON_AddItemToArray(array, cJSON_CreateString(names[i].key));
    values = cJSON_AddObjectToObject(object, "indices");
    forecast_add_number(values, "larson_skold", signs->larson_skold, 0.01);
    forecast_add_number(values, "aggressive_index", signs->aggressive_index, 0.01);
    forecast_add_number(values, "chloride_mg_per_l", signs->chloride_mg_per_l, 0.1);
}

void api_metal_get(struct app *app, struct db *db, const struct request *req,
                   struct reply *out)
{
    struct metal_answer answer;
    struct metal_wish wish;
    cJSON *object;

    if (!read_wish(app, db, req, out, &wish) ||
        !api_ok(out, balance(db, &wish, &answer), "pair of heater and water"))
        return;
    object = cJSON_CreateObject();
    cJSON_AddNumberToObject(object, "heater", (double)wish.heater_id);
    cJSON_AddNumberToObject(object, "water", (double)wish.water_id);
    cJSON_AddStringToObject(object, "metal",
                            wish.metal == COIL_METAL_COPPER ? "copper" : "iron");
    if (answer.lacks != NULL)
        cJSON_AddStringToObject(object, "lacks", answer.lacks);
    else
        cJSON_AddNullToObject(object, "lacks");
    add_balance(object, &answer);
    add_signs(object, (enum coil_metal)wish.metal, &answer.signs);
    api_send(out, 200, object);
}
