/* The plan of treatment as JSON. */
#include <cjson/cJSON.h>
#include <math.h>

#include "api_treatment.h"
#include "shed.h"
#include "treatment_words.h"

/* Shown digits: no more than a test or the model can tell. */
static double rounded(double value, double step)
{
    double r = round(value / step) * step;

    return fabs(r) < step / 2 ? 0 : r;
}

static void add_rounded(cJSON *object, const char *name, double value, double step)
{
    if (!isfinite(value))
        cJSON_AddNullToObject(object, name);
    else
        api_add_e6(object, name, decimal_from_double(rounded(value, step)));
}

static const char *key_of(enum coil_quantity quantity)
{
    return coil_quantity_info(quantity)->key;
}

static double step_of(enum coil_aim aim)
{
    return aim == COIL_AIM_PH || aim == COIL_AIM_CHLORINE ? 0.01 : 0.1;
}

static void add_state(cJSON *object, const char *name,
                      const struct coil_treatment_state *state)
{
    cJSON *one = cJSON_AddObjectToObject(object, name);

    for (int i = 0; i < COIL_AIM_COUNT; i++)
        add_rounded(one, key_of(coil_aim_quantity((enum coil_aim)i)), state->value[i],
                    step_of((enum coil_aim)i));
    add_rounded(one, "saturation_pool", state->si_pool, 0.01);
    add_rounded(one, "saturation_surface", state->si_surface, 0.01);
}

static void add_texts(cJSON *object, const char *name, const char *const *texts,
                      size_t count)
{
    cJSON *array = cJSON_AddArrayToObject(object, name);

    for (size_t i = 0; i < count; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(texts[i]));
}

/* ---- steps ---- */

/* Scoops, marks of the jug or steps of the scale: how many of what size. */
static void add_measure(cJSON *one, const struct treatment_basis *basis,
                        const struct coil_treatment_step *step)
{
    const struct db_shed_item *item = NULL;
    cJSON *measure;

    for (int i = 0; i < basis->input.shed_count; i++)
        if (basis->items[i].id == step->shed_id && step->shed_id != 0)
            item = &basis->items[i];
    if (item == NULL || item->measure_size_e6 <= 0) {
        cJSON_AddNullToObject(one, "measure");
        return;
    }
    measure = shed_measure_json(item);
    add_rounded(measure, "count",
                step->amount / decimal_to_double(item->measure_size_e6), 0.001);
    cJSON_AddItemToObject(one, "measure", measure);
}

static void add_dose(cJSON *one, const struct treatment_basis *basis,
                     const struct coil_treatment_step *step)
{
    const struct coil_product_info *info = coil_product_info(step->product);

    cJSON_AddStringToObject(one, "product", info->key);
    api_add_id_or_null(one, "shed", step->shed_id);
    add_measure(one, basis, step);
    add_rounded(one, "amount", step->amount, 0.001);
    cJSON_AddStringToObject(one, "unit", info->is_liquid ? "mL" : "g");
    add_rounded(one, "strength_percent", step->strength_percent, 0.001);
    add_rounded(one, "short_by", step->short_by, 0.001);
}

static void add_step(cJSON *array, const struct treatment_basis *basis,
                     const struct coil_treatment_step *step)
{
    const char *cautions[TREATMENT_CAUTIONS_MAX];
    size_t count = treatment_cautions(step, cautions);
    cJSON *one = cJSON_CreateObject();

    cJSON_AddStringToObject(one, "kind", treatment_kind_key(step->kind));
    if (step->kind == COIL_STEP_DOSE)
        add_dose(one, basis, step);
    if (step->kind == COIL_STEP_REPLACE) {
        add_rounded(one, "fraction", step->fraction, 0.001);
        add_rounded(one, "volume_m3", step->fraction * basis->input.volume_m3, 0.01);
    }
    cJSON_AddNumberToObject(one, "part", step->part);
    cJSON_AddNumberToObject(one, "part_count", step->part_count);
    add_rounded(one, "wait_h", step->wait_h, 0.1);
    cJSON_AddBoolToObject(one, "pump_on", step->pump_on);
    cJSON_AddStringToObject(
        one, "heater",
        step->heater == COIL_STEP_HEATER_OFF_LINE ? "off_line" : "in_line_burner_off");
    cJSON_AddBoolToObject(one, "other_place", step->other_place);
    cJSON_AddBoolToObject(one, "test_after", step->test_after);
    add_texts(one, "cautions", cautions, count);
    add_state(one, "before", &step->before);
    add_state(one, "after", &step->after);
    cJSON_AddItemToArray(array, one);
}

static void add_steps(cJSON *object, const struct treatment_basis *basis,
                      const struct coil_treatment_plan *plan)
{
    cJSON *array = cJSON_AddArrayToObject(object, "steps");

    for (int i = 0; plan != NULL && i < plan->step_count; i++)
        add_step(array, basis, &plan->steps[i]);
    cJSON_AddBoolToObject(object, "more_follows", plan != NULL && plan->is_cut);
    cJSON_AddNumberToObject(object, "to_buy", plan != NULL ? plan->to_buy_count : 0);
}

/* ---- values ---- */

static void add_wanted(cJSON *one, const struct treatment_basis *basis,
                       enum coil_aim aim)
{
    const struct coil_wanted *wanted = &basis->input.wanted[aim];
    cJSON *range;

    if (!wanted->is_set) {
        cJSON_AddNullToObject(one, "wanted");
        return;
    }
    range = cJSON_AddObjectToObject(one, "wanted");
    add_rounded(range, "low", wanted->low, 1e-6);
    add_rounded(range, "high", wanted->high, 1e-6);
    cJSON_AddStringToObject(
        range, "source", basis->is_own_wanted[aim] ? "own" : coil_wanted_source(aim));
}

static void add_value(cJSON *array, const struct treatment_basis *basis,
                      const struct coil_treatment_plan *plan, enum coil_aim aim)
{
    enum coil_quantity quantity = coil_aim_quantity(aim);
    cJSON *one;

    if (!basis->is_known[quantity] && !basis->input.wanted[aim].is_set)
        return;
    one = cJSON_CreateObject();
    cJSON_AddStringToObject(one, "quantity", key_of(quantity));
    if (basis->is_known[quantity])
        add_rounded(one, "value", basis->value[quantity], 1e-6);
    else
        cJSON_AddNullToObject(one, "value");
    api_add_id_or_null(one, "at", basis->at_s[quantity]);
    cJSON_AddBoolToObject(one, "is_trial", basis->is_trial[quantity]);
    add_wanted(one, basis, aim);
    if (plan != NULL) {
        add_rounded(one, "end", plan->end.value[aim], step_of(aim));
        cJSON_AddStringToObject(one, "outcome",
                                treatment_outcome_key(plan->outcome[aim]));
    }
    cJSON_AddItemToArray(array, one);
}

void treatment_add_missing(cJSON *object, const struct treatment_basis *basis)
{
    static const char *const whys[] = {"", "never_tested", "old", "after_dose"};
    cJSON *array = cJSON_AddArrayToObject(object, "test_first"), *one;
    enum coil_quantity needed[COIL_QUANTITY_COUNT];
    size_t count = treatment_needed(basis, needed);

    for (size_t i = 0; i < count; i++) {
        enum treatment_lack lack = treatment_lack_of(basis, needed[i]);

        if (lack == LACK_NONE)
            continue;
        one = cJSON_CreateObject();
        cJSON_AddStringToObject(one, "quantity", key_of(needed[i]));
        cJSON_AddStringToObject(one, "why", whys[lack]);
        cJSON_AddItemToArray(array, one);
    }
}

/* What nobody tested and the plan takes for something. */
static void add_assumed(cJSON *object, const struct treatment_basis *basis)
{
    static const enum coil_quantity silent[] = {
        COIL_CALCIUM_HARDNESS, COIL_SALT, COIL_SULFATE, COIL_MAGNESIUM, COIL_BORATE};
    cJSON *array = cJSON_AddArrayToObject(object, "assumed"), *one;

    for (size_t i = 0; i < sizeof silent / sizeof *silent; i++) {
        if (basis->is_known[silent[i]])
            continue;
        one = cJSON_CreateObject();
        cJSON_AddStringToObject(one, "quantity", key_of(silent[i]));
        add_rounded(one, "value",
                    silent[i] == COIL_SALT ? basis->input.water.salt_mg_per_l_nacl : 0,
                    0.1);
        cJSON_AddStringToObject(one, "from",
                                silent[i] == COIL_SALT && basis->salt_is_from_tds
                                    ? "dissolved_solids"
                                    : "none");
        cJSON_AddItemToArray(array, one);
    }
}

/* ---- saturation and replacing ---- */

static void add_index(cJSON *object, const char *name, double start, double end,
                      double half_width)
{
    cJSON *one = cJSON_AddObjectToObject(object, name);

    add_rounded(one, "start", start, 0.01);
    add_rounded(one, "end", end, 0.01);
    add_rounded(one, "half_width", half_width, 0.01);
}

static void add_saturation(cJSON *object, const struct treatment_basis *basis,
                           const struct coil_treatment_plan *plan)
{
    cJSON *one;

    if (plan == NULL || !isfinite(plan->start.si_pool)) {
        cJSON_AddNullToObject(object, "saturation");
        return;
    }
    one = cJSON_AddObjectToObject(object, "saturation");
    add_index(one, "pool", plan->start.si_pool, plan->end.si_pool,
              plan->si_pool_half_width);
    add_index(one, "surface", plan->start.si_surface, plan->end.si_surface,
              plan->si_surface_half_width);
    add_rounded(one, "surface_rise_k", basis->input.surface_rise_k, 0.01);
    cJSON_AddStringToObject(one, "surface_rise_source",
                            treatment_rise_source(basis->rise_source));
}

static void add_replace(cJSON *object, const struct treatment_basis *basis,
                        const struct coil_treatment_plan *plan)
{
    cJSON *one;

    if (plan == NULL || !(plan->replace_fraction > 0)) {
        cJSON_AddNullToObject(object, "replace");
        return;
    }
    one = cJSON_AddObjectToObject(object, "replace");
    add_rounded(one, "fraction", plan->replace_fraction, 0.001);
    add_rounded(one, "volume_m3", plan->replace_fraction * basis->input.volume_m3,
                0.01);
    cJSON_AddBoolToObject(one, "is_least", plan->replace_is_least);
}

/* Ranges that reach where the heater's limits forbid the water to pass it. */
static void add_clashes(cJSON *cautions, const struct treatment_basis *basis)
{
    const struct coil_treatment_input *in = &basis->input;
    char text[TREATMENT_CLASH_SIZE];

    if (in->wanted[COIL_AIM_PH].is_set &&
        in->wanted[COIL_AIM_PH].low < in->heater_ph_low) {
        treatment_clash(COIL_AIM_PH, in->heater_ph_low, text);
        cJSON_AddItemToArray(cautions, cJSON_CreateString(text));
    }
    if (in->wanted[COIL_AIM_CHLORINE].is_set &&
        in->wanted[COIL_AIM_CHLORINE].high > in->heater_chlorine_high_mg_per_l) {
        treatment_clash(COIL_AIM_CHLORINE, in->heater_chlorine_high_mg_per_l, text);
        cJSON_AddItemToArray(cautions, cJSON_CreateString(text));
    }
}

cJSON *treatment_json(const struct treatment_basis *basis,
                      const struct coil_treatment_plan *plan)
{
    cJSON *object = cJSON_CreateObject(), *values;
    size_t always = 0;

    cJSON_AddNumberToObject(object, "heater", (double)basis->heater_id);
    cJSON_AddNumberToObject(object, "water", (double)basis->water_id);
    cJSON_AddNumberToObject(object, "at", (double)basis->now_s);
    cJSON_AddBoolToObject(object, "can_plan", plan != NULL);
    treatment_add_missing(object, basis);
    cJSON_AddBoolToObject(object, "volume_is_known", basis->input.volume_m3 > 0);
    values = cJSON_AddArrayToObject(object, "values");
    for (int i = 0; i < COIL_AIM_COUNT; i++)
        add_value(values, basis, plan, (enum coil_aim)i);
    add_steps(object, basis, plan);
    add_replace(object, basis, plan);
    add_saturation(object, basis, plan);
    add_assumed(object, basis);
    while (treatment_always[always] != NULL)
        always++;
    add_texts(object, "cautions", treatment_always, always);
    add_clashes(cJSON_GetObjectItemCaseSensitive(object, "cautions"), basis);
    return object;
}
