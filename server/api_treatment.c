/*
 * Treatment: a plan from the newest readings, and trials of other values. Both compute
 * and store nothing. What is missing is asked for, never guessed.
 */
#include <math.h>
#include <string.h>

#include "api.h"
#include "api_treatment.h"
#include "fill_values.h"
#include "shed.h"
#include "wanted.h"

/* How long values that change slowly count (common practice, no source): carbonate and
 * what a test shows of it a month, the rest a season. */
#define VALID_MONTH_S (30 * 86400)
#define VALID_SEASON_S (120 * 86400)
/* A small water is dosed with a small spoon. */
#define SMALL_WATER_M3 5.0
#define SMALL_DOSE 1.0

/* ---- what is known ---- */

static bool moves_with_doses(enum coil_quantity quantity)
{
    return quantity == COIL_PH || quantity == COIL_FREE_CHLORINE ||
           quantity == COIL_TOTAL_ALKALINITY || quantity == COIL_CALCIUM_HARDNESS ||
           quantity == COIL_CYANURIC_ACID;
}

static int64_t valid_for(enum coil_quantity quantity)
{
    if (quantity == COIL_PH || quantity == COIL_FREE_CHLORINE ||
        quantity == COIL_WATER_TEMP)
        return COIL_VALIDITY_S;
    return quantity == COIL_TOTAL_ALKALINITY ? VALID_MONTH_S : VALID_SEASON_S;
}

/* Does a dose of this product move that value by more than a test shows? */
static bool dose_moves(enum coil_product product, enum coil_quantity quantity)
{
    const struct coil_product_info *info = coil_product_info(product);

    switch (quantity) {
    case COIL_PH:
        return product != COIL_SODIUM_CHLORIDE;
    case COIL_FREE_CHLORINE:
        return info == NULL || info->kind == COIL_KIND_SANITISER ||
               product == COIL_SODIUM_THIOSULFATE || product == COIL_SODIUM_SULFITE ||
               product == COIL_MONOPERSULFATE || product == COIL_OTHER_PRODUCT;
    case COIL_CALCIUM_HARDNESS:
        return product == COIL_CALCIUM_CHLORIDE || product == COIL_OTHER_PRODUCT;
    case COIL_CYANURIC_ACID:
        return product == COIL_CYANURIC_ACID_PRODUCT || product == COIL_OTHER_PRODUCT;
    default:
        return info == NULL ||
               (info->kind != COIL_KIND_SANITISER && product != COIL_SODIUM_CHLORIDE &&
                product != COIL_CALCIUM_CHLORIDE &&
                product != COIL_CYANURIC_ACID_PRODUCT);
    }
}

enum treatment_lack treatment_lack_of(const struct treatment_basis *basis,
                                      enum coil_quantity quantity)
{
    const struct coil_permit_facts *facts = &basis->facts;

    if (basis->is_trial[quantity])
        return LACK_NONE;
    if (!basis->is_known[quantity])
        return LACK_NEVER_TESTED;
    for (size_t i = 0; moves_with_doses(quantity) && i < facts->dose_count; i++)
        if (facts->doses[i].at_s >= basis->at_s[quantity] &&
            dose_moves(facts->doses[i].product, quantity))
            return LACK_AFTER_DOSE;
    if (basis->now_s - basis->at_s[quantity] > valid_for(quantity))
        return LACK_OLD;
    return LACK_NONE;
}

size_t treatment_needed(const struct treatment_basis *basis, enum coil_quantity *out)
{
    static const enum coil_aim wanted[] = {COIL_AIM_CHLORINE, COIL_AIM_CALCIUM,
                                           COIL_AIM_CYANURIC_ACID, COIL_AIM_SALT,
                                           COIL_AIM_BORATE};
    size_t count = 0;

    out[count++] = COIL_PH;
    if (basis->input.wanted[COIL_AIM_CHLORINE].is_set)
        out[count++] = COIL_FREE_CHLORINE;
    out[count++] = COIL_TOTAL_ALKALINITY;
    out[count++] = COIL_WATER_TEMP;
    for (size_t i = 1; i < sizeof wanted / sizeof *wanted; i++)
        if (basis->input.wanted[wanted[i]].is_set)
            out[count++] = coil_aim_quantity(wanted[i]);
    return count;
}

bool treatment_lacks_values(const struct treatment_basis *basis)
{
    enum coil_quantity needed[COIL_QUANTITY_COUNT];
    size_t count = treatment_needed(basis, needed);

    for (size_t i = 0; i < count; i++)
        if (treatment_lack_of(basis, needed[i]) != LACK_NONE)
            return true;
    return false;
}

/* ---- gathering ---- */

static void take_readings(struct treatment_basis *basis)
{
    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        const struct coil_history *history = &basis->facts.history[i];

        if (history->count == 0)
            continue;
        basis->is_known[i] = true;
        basis->value[i] = history->newest[0].value;
        basis->at_s[i] = history->newest[0].at_s;
    }
}

/* The defaults, and what is kept over them. */
static enum db_status take_wishes(struct db *db, struct treatment_basis *basis)
{
    const struct coil_wanted_basis on = wanted_basis(&basis->water);
    struct db_wanted kept;
    enum db_status status = db_wanted_get(db, basis->water_id, &kept);

    for (int i = 0; i < COIL_AIM_COUNT; i++)
        basis->input.wanted[i] = coil_wanted_default((enum coil_aim)i, &on);
    if (status == DB_OK)
        wanted_apply(&kept, &basis->input, basis->is_own_wanted);
    return status;
}

/* Half a scoop can be told apart; a jug by its marks, a scale by its steps. */
static double measure_step(const struct db_shed_item *item)
{
    return decimal_to_double(item->measure_size_e6) *
           (item->measure == DB_SCOOP ? 0.5 : 1);
}

static enum db_status take_shed(struct db *db, struct treatment_basis *basis)
{
    size_t count = 0;
    enum db_status status = db_shed_list(db, basis->items, COIL_SHED_MAX, &count);

    for (size_t i = 0; status == DB_OK && i < count; i++) {
        const struct db_shed_item *item = &basis->items[i];
        struct shed_age age;
        double strength = shed_age(item, basis->now_s, &age)
                              ? round(age.strength_percent * 10) / 10
                              : decimal_to_double(item->strength_e6);

        basis->shed[i] = (struct coil_shed_item){
            item->id, item->product, fmax(strength, 0.01),
            decimal_to_double(item->amount_left_e6), measure_step(item)};
    }
    basis->input.shed = basis->shed;
    basis->input.shed_count = (int)count;
    return status;
}

static void take_heater(struct treatment_basis *basis)
{
    const struct coil_limit *low = &basis->heater.limits[COIL_LIMIT_PH_LOW];
    const struct coil_limit *high =
        &basis->heater.limits[COIL_LIMIT_FREE_CHLORINE_HIGH];
    const double film_k = decimal_to_double(basis->heater.film_rise_k_e6);

    if (low->is_set)
        basis->input.heater_ph_low = low->value;
    if (high->is_set)
        basis->input.heater_chlorine_high_mg_per_l = high->value;
    if (basis->facts.surface_rise_k > 0) {
        basis->input.surface_rise_k = basis->facts.surface_rise_k;
        basis->rise_source = basis->facts.surface_rise_k == film_k ? TREATMENT_RISE_FILM
                             : film_k > 0 ? TREATMENT_RISE_HEATER
                                          : TREATMENT_RISE_OUTLET;
    }
}

static enum db_status gather(struct app *app, struct db *db,
                             struct treatment_basis *basis)
{
    enum db_status status;

    basis->now_s = api_now(app);
    coil_treatment_input_init(&basis->input);
    status = db_permit_facts(db, basis->heater_id, basis->water_id, basis->now_s, false,
                             &basis->facts);
    if (status == DB_OK)
        status = db_water_get(db, basis->water_id, &basis->water);
    if (status == DB_OK)
        status = db_heater_get(db, basis->heater_id, &basis->heater);
    if (status == DB_OK)
        status = db_site_get(db, &basis->site);
    if (status == DB_OK)
        status = take_shed(db, basis);
    if (status == DB_OK)
        status = db_fill_get(db, basis->water_id, &basis->fill);
    if (status != DB_OK)
        return status;
    basis->input.volume_m3 = decimal_to_double(basis->water.volume_m3_e6);
    take_readings(basis);
    take_heater(basis);
    return take_wishes(db, basis);
}

/* ---- from values to the input ---- */

static double step_of(const struct treatment_basis *basis, enum coil_quantity quantity)
{
    const struct coil_history *history = &basis->facts.history[quantity];

    if (history->count > 0)
        return history->newest[0].resolution;
    return basis->is_known[quantity]
               ? coil_method_resolution(COIL_METHOD_UNKNOWN, quantity)
               : 0;
}

static void fill_composition(struct treatment_basis *basis)
{
    const double *v = basis->value; /* 0 where nothing is known */
    struct coil_composition *c = &basis->input.water;

    *c = (struct coil_composition){
        .ph = v[COIL_PH],
        .total_alkalinity_mg_per_l_caco3 = v[COIL_TOTAL_ALKALINITY],
        .calcium_hardness_mg_per_l_caco3 = v[COIL_CALCIUM_HARDNESS],
        .magnesium_mg_per_l = v[COIL_MAGNESIUM],
        .salt_mg_per_l_nacl = v[COIL_SALT],
        .sulfate_mg_per_l = v[COIL_SULFATE],
        .borate_mg_per_l_b = v[COIL_BORATE],
        .cyanuric_acid_mg_per_l = v[COIL_CYANURIC_ACID],
        .chlorine_mg_per_l = v[COIL_FREE_CHLORINE],
        .water_temp_c = v[COIL_WATER_TEMP],
    };
    if (!basis->is_known[COIL_SALT] && basis->is_known[COIL_TDS] &&
        coil_salt_from_tds(c, v[COIL_TDS], &c->salt_mg_per_l_nacl) == COIL_OK)
        basis->salt_is_from_tds = true;
}

void treatment_fill_input(struct treatment_basis *basis)
{
    struct coil_treatment_input *in = &basis->input;

    fill_composition(basis);
    in->surface_rise_k =
        fmin(in->surface_rise_k,
             fmax(COIL_EQUILIBRIUM_TEMP_MAX_C - basis->value[COIL_WATER_TEMP], 0));
    if (!in->knows_fill)
        in->knows_fill = fill_values_composition(
            basis->fill.values, basis->value[COIL_WATER_TEMP], &in->fill);
    in->knows_calcium = basis->is_known[COIL_CALCIUM_HARDNESS];
    in->chlorine_step_mg_per_l = step_of(basis, COIL_FREE_CHLORINE);
    in->steps = (struct coil_saturation_steps){
        .ph = step_of(basis, COIL_PH),
        .total_alkalinity_mg_per_l_caco3 = step_of(basis, COIL_TOTAL_ALKALINITY),
        .calcium_hardness_mg_per_l_caco3 = step_of(basis, COIL_CALCIUM_HARDNESS),
        .salt_mg_per_l_nacl = step_of(basis, COIL_SALT),
        .borate_mg_per_l_b = step_of(basis, COIL_BORATE),
        .cyanuric_acid_mg_per_l = step_of(basis, COIL_CYANURIC_ACID),
        .water_temp_k = step_of(basis, COIL_WATER_TEMP),
    };
    if (in->volume_m3 > 0 && in->volume_m3 < SMALL_WATER_M3)
        in->smallest_solid_g = in->smallest_liquid_ml = SMALL_DOSE;
}

/* ---- answering ---- */

static void refuse_plan(struct reply *out, enum coil_status status, const char *field)
{
    if (status == COIL_ERR_NO_SOLUTION)
        reply_refuse(out, 422, "no_such_water", field,
                     "No water has these values together. Test again, pH and "
                     "alkalinity first.");
    else
        reply_refuse(out, 422, "out_of_range", field,
                     "This value is outside what can be computed.");
}

static void answer(struct reply *out, struct treatment_basis *basis)
{
    struct coil_treatment_plan plan;
    const char *field = NULL;
    enum coil_status status;

    treatment_fill_input(basis);
    if (treatment_lacks_values(basis) || !(basis->input.volume_m3 > 0)) {
        api_send(out, 200, treatment_json(basis, NULL));
        return;
    }
    status = coil_treatment_plan(&basis->input, &plan, &field);
    if (status < 0)
        refuse_plan(out, status, field);
    else
        api_send(out, 200, treatment_json(basis, &plan));
}

/* Both ids, or neither: then the site's main pair. */
static bool find_pair(struct db *db, struct reply *out, struct problem *problem,
                      struct treatment_basis *basis)
{
    api_check_pair(problem, basis->heater_id, basis->water_id);
    if (api_refused(out, problem))
        return false;
    return api_main_pair(db, out, &basis->heater_id, &basis->water_id);
}

void api_treatment_get(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct treatment_basis basis;
    struct problem problem;

    memset(&basis, 0, sizeof basis);
    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &basis.heater_id);
    api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, &basis.water_id);
    if (find_pair(db, out, &problem, &basis) &&
        api_ok(out, gather(app, db, &basis), "heater or water"))
        answer(out, &basis);
}

/* ---- trials ---- */

/* "values": {KEY: number}: taken as if just tested. */
static void read_values(struct form *form, struct treatment_basis *basis)
{
    struct form values;

    if (!form_nested(form, "values", FORM_OPTIONAL, &values))
        return;
    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        const struct coil_quantity_info *info = coil_quantity_info(i);
        int64_t value_e6;

        if (!form_e6(&values, info->key, info->possible_low, info->possible_high,
                     FORM_OPTIONAL, &value_e6))
            continue;
        basis->value[i] = decimal_to_double(value_e6);
        basis->at_s[i] = 0;
        basis->is_known[i] = basis->is_trial[i] = true;
    }
    form_close(&values);
}

/* "fill": the fill water's own values, instead of those that are kept. */
static void read_fill(struct form *form, struct treatment_basis *basis)
{
    struct db_fill_value values[DB_FILL_VALUE_COUNT] = {{false, 0}};
    struct form fill;

    if (!form_nested(form, "fill", FORM_OPTIONAL, &fill))
        return;
    fill_values_read(&fill, values);
    form_close(&fill);
    basis->input.knows_fill = fill_values_composition(
        values, basis->value[COIL_WATER_TEMP], &basis->input.fill);
}

static void read_trial(struct form *form, struct treatment_basis *basis)
{
    struct db_wanted wanted = {0};
    int64_t e6;

    read_values(form, basis);
    wanted_read(form, &wanted);
    wanted_apply(&wanted, &basis->input, basis->is_own_wanted);
    read_fill(form, basis);
    if (form_e6(form, "volume_m3", 0.05, 20000, FORM_OPTIONAL, &e6))
        basis->input.volume_m3 = decimal_to_double(e6);
    if (form_e6(form, "surface_rise_k", 0, 60, FORM_OPTIONAL, &e6)) {
        basis->input.surface_rise_k = decimal_to_double(e6);
        basis->rise_source = TREATMENT_RISE_OWN;
    }
}

bool treatment_open(struct app *app, struct db *db, const struct request *req,
                    struct reply *out, struct form *form, struct problem *problem,
                    struct treatment_basis *basis)
{
    memset(basis, 0, sizeof *basis);
    problem_init(problem);
    form_open(form, req, problem);
    form_integer(form, "heater", 1, INT64_MAX / 2, FORM_OPTIONAL, &basis->heater_id);
    form_integer(form, "water", 1, INT64_MAX / 2, FORM_OPTIONAL, &basis->water_id);
    if (find_pair(db, out, problem, basis) &&
        api_ok(out, gather(app, db, basis), "heater or water"))
        return true;
    problem_init(problem); /* answered: the rest is not looked at */
    form_close(form);
    return false;
}

void api_treatment_trial(struct app *app, struct db *db, const struct request *req,
                         struct reply *out)
{
    struct treatment_basis basis;
    struct problem problem;
    struct form form;

    if (!treatment_open(app, db, req, out, &form, &problem, &basis))
        return;
    read_trial(&form, &basis);
    form_close(&form);
    if (!api_refused(out, &problem))
        answer(out, &basis);
}
