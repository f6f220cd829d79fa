/*
 * What happens to pH while nobody doses, and how much water there is by a known dose.
 * Both compute and store nothing.
 */
#include <math.h>
#include <string.h>

#include "api.h"
#include "api_treatment.h"
#include "lib/drift.h"
#include "lib/volume.h"

#define DAYS_DEFAULT 14
/* Outdoors and indoors, mm a day of open water: illustrative, common practice, no
 * source. */
#define EVAPORATION_OUTDOORS 5.0
#define EVAPORATION_INDOORS 3.0
/* What part of the time a cover is on, where there is one: illustrative. */
#define COVERED_FRACTION 0.5

static const char *const stirs[] = {"still", "some", "strong", NULL};
/* Water features, jets, bathers: illustrative, no rate of a pool is published. */
static const double stir_factors[] = {1, 2, 5};

struct wish {
    int64_t days;
    double wind_m_per_s, covered_fraction, evaporation_mm_per_d, replaced_mm_per_d;
    int stir;
    bool evaporation_is_own, cover_is_own;
};

static void read_double(struct form *form, const char *member, double low, double high,
                        double *value, bool *is_own)
{
    int64_t e6;

    if (!form_e6(form, member, low, high, FORM_OPTIONAL, &e6))
        return;
    *value = decimal_to_double(e6);
    if (is_own != NULL)
        *is_own = true;
}

static struct wish read_wish(struct form *form, const struct treatment_basis *basis)
{
    struct wish wish = {.days = DAYS_DEFAULT};

    wish.covered_fraction = basis->water.cover == DB_COVER_NONE ? 0 : COVERED_FRACTION;
    form_integer(form, "days", 1, (int64_t)COIL_DRIFT_DAYS_MAX, FORM_OPTIONAL,
                 &wish.days);
    read_double(form, "wind_m_per_s", 0, 20, &wish.wind_m_per_s, NULL);
    read_double(form, "covered_fraction", 0, 1, &wish.covered_fraction,
                &wish.cover_is_own);
    wish.evaporation_mm_per_d =
        (basis->water.indoor ? EVAPORATION_INDOORS : EVAPORATION_OUTDOORS) *
        (1 - wish.covered_fraction);
    read_double(form, "evaporation_mm_per_d", 0, 50, &wish.evaporation_mm_per_d,
                &wish.evaporation_is_own);
    read_double(form, "replaced_mm_per_d", 0, 1000, &wish.replaced_mm_per_d, NULL);
    form_choice(form, "features", stirs, FORM_OPTIONAL, &wish.stir);
    return wish;
}

/* Mean depth: volume over surface, else as said; 0 where neither is known. */
static double depth_of(const struct treatment_basis *basis)
{
    double volume = basis->input.volume_m3;
    double surface = decimal_to_double(basis->water.surface_m2_e6);

    return volume > 0 && surface > 0 ? volume / surface
                                     : decimal_to_double(basis->water.depth_m_e6);
}

/* Fill water counts only where its values are kept: else level and salts stay. */
static enum coil_status take_water(const struct treatment_basis *basis,
                                   struct wish *wish, struct coil_drift_input *out)
{
    const struct coil_treatment_input *in = &basis->input;
    struct coil_constants constants;
    struct coil_totals totals;
    struct coil_equilibrium solved;
    enum coil_status status = coil_water_from_composition(
                         &in->water, in->source, &constants, &totals, &solved, NULL),
                     fill;

    if (status < 0)
        return status;
    coil_closed_from_equilibrium(&totals, &solved, &out->water);
    if (!in->knows_fill) {
        wish->evaporation_mm_per_d = wish->replaced_mm_per_d = 0;
        return status;
    }
    fill = coil_water_from_composition(&in->fill, in->source, &constants, &totals,
                                       &solved, NULL);
    if (fill >= 0)
        coil_closed_from_equilibrium(&totals, &solved, &out->fill);
    return fill < 0 ? fill : status;
}

static enum coil_status drift(const struct treatment_basis *basis, struct wish *wish,
                              struct coil_drift_input *in, struct coil_drift_point *out)
{
    double days[(int)COIL_DRIFT_DAYS_MAX + 1];
    struct coil_drift_transfer k;
    enum coil_status status = take_water(basis, wish, in);

    if (status >= 0)
        status = coil_drift_transfer(wish->wind_m_per_s, stir_factors[wish->stir],
                                     wish->covered_fraction, &k);
    if (status < 0)
        return status;
    in->water_temp_c = basis->input.water.water_temp_c;
    in->mean_depth_m = depth_of(basis);
    in->k_low = k.k_low;
    in->k_likely = k.k_likely;
    in->k_high = k.k_high;
    in->evaporation_m_per_d = wish->evaporation_mm_per_d / 1000;
    in->replaced_m_per_d = wish->replaced_mm_per_d / 1000;
    in->air_pco2_atm = COIL_DRIFT_AIR_ATM;
    in->source = basis->input.source;
    for (int i = 0; i <= wish->days; i++)
        days[i] = i;
    return coil_drift(in, days, (int)wish->days + 1, out);
}

/* ---- answering ---- */

static void add_column(cJSON *object, const char *name,
                       const struct coil_drift_point *points, int64_t days,
                       double (*value)(const struct coil_drift_point *), double step)
{
    cJSON *array = cJSON_AddArrayToObject(object, name);

    for (int64_t i = 0; i <= days; i++)
        cJSON_AddItemToArray(
            array, cJSON_CreateNumber(round(value(&points[i]) / step) * step));
}

static double ph_low(const struct coil_drift_point *p)
{
    return p->ph_low;
}
static double ph_likely(const struct coil_drift_point *p)
{
    return p->ph_likely;
}
static double ph_high(const struct coil_drift_point *p)
{
    return p->ph_high;
}
static double alkalinity(const struct coil_drift_point *p)
{
    return coil_mg_per_l_from_alkalinity(p->alkalinity_eq_per_kg);
}
static double calcium(const struct coil_drift_point *p)
{
    return coil_mg_per_l_from_calcium(p->calcium_mol_per_kg);
}

static void add_basis(cJSON *object, const struct treatment_basis *basis,
                      const struct wish *wish, const struct coil_drift_input *in)
{
    cJSON *one = cJSON_AddObjectToObject(object, "basis"), *k;

    cJSON_AddNumberToObject(one, "mean_depth_m", round(in->mean_depth_m * 100) / 100);
    k = cJSON_AddObjectToObject(one, "transfer_m_per_d");
    cJSON_AddNumberToObject(k, "low", round(in->k_low * 100) / 100);
    cJSON_AddNumberToObject(k, "likely", round(in->k_likely * 100) / 100);
    cJSON_AddNumberToObject(k, "high", round(in->k_high * 100) / 100);
    cJSON_AddNumberToObject(one, "wind_m_per_s", wish->wind_m_per_s);
    cJSON_AddStringToObject(one, "features", stirs[wish->stir]);
    cJSON_AddNumberToObject(one, "covered_fraction", wish->covered_fraction);
    cJSON_AddBoolToObject(one, "cover_is_assumed", !wish->cover_is_own);
    cJSON_AddNumberToObject(one, "evaporation_mm_per_d", wish->evaporation_mm_per_d);
    cJSON_AddBoolToObject(one, "evaporation_is_assumed", !wish->evaporation_is_own);
    cJSON_AddNumberToObject(one, "replaced_mm_per_d", wish->replaced_mm_per_d);
    cJSON_AddBoolToObject(one, "fill_is_known", basis->input.knows_fill);
}

static cJSON *drift_json(const struct treatment_basis *basis, const struct wish *wish,
                         const struct coil_drift_input *in,
                         const struct coil_drift_point *points)
{
    cJSON *object = cJSON_CreateObject(), *ph;

    cJSON_AddNumberToObject(object, "water", (double)basis->water_id);
    cJSON_AddNumberToObject(object, "at", (double)basis->now_s);
    treatment_add_missing(object, basis);
    cJSON_AddBoolToObject(object, "depth_is_known", depth_of(basis) > 0);
    if (points == NULL) {
        cJSON_AddNullToObject(object, "ph");
        return object;
    }
    ph = cJSON_AddObjectToObject(object, "ph");
    add_column(ph, "low", points, wish->days, ph_low, 0.01);
    add_column(ph, "likely", points, wish->days, ph_likely, 0.01);
    add_column(ph, "high", points, wish->days, ph_high, 0.01);
    add_column(object, "total_alkalinity_mg_per_l_caco3", points, wish->days,
               alkalinity, 1);
    add_column(object, "calcium_hardness_mg_per_l_caco3", points, wish->days, calcium,
               1);
    add_basis(object, basis, wish, in);
    return object;
}

void api_drift_trial(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct coil_drift_point points[(int)COIL_DRIFT_DAYS_MAX + 1];
    struct coil_drift_input in = {0};
    struct treatment_basis basis;
    struct problem problem;
    struct form form;
    struct wish wish;
    enum coil_status status;

    if (!treatment_open(app, db, req, out, &form, &problem, &basis))
        return;
    wish = read_wish(&form, &basis);
    form_close(&form);
    if (api_refused(out, &problem))
        return;
    treatment_fill_input(&basis);
    for (int i = 0; i < COIL_AIM_COUNT; i++) /* only what pH depends on is needed */
        basis.input.wanted[i].is_set = false;
    if (treatment_lacks_values(&basis) || !(depth_of(&basis) > 0)) {
        api_send(out, 200, drift_json(&basis, &wish, &in, NULL));
        return;
    }
    status = drift(&basis, &wish, &in, points);
    if (status < 0)
        reply_refuse(out, 422, "no_such_water", "ph",
                     "No water has these values together. Test again, pH and "
                     "alkalinity first.");
    else
        api_send(out, 200, drift_json(&basis, &wish, &in, points));
}

/* ---- how much water ---- */

/* CaCO3 that a gram of bicarbonate brings as alkalinity: half of 100.087 over 84.007.
 */
#define CACO3_PER_BICARBONATE (100.087 / 2 / 84.007)

static const char *const tracers[] = {"sodium_chloride", "sodium_bicarbonate", NULL};

void api_volume_trial(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    struct coil_volume_input in = {0};
    struct coil_volume volume;
    struct problem problem;
    struct form form;
    int64_t amount_e6 = 0, before_e6 = 0, after_e6 = 0, step_e6 = 0;
    double strength = 99, calibration = 5;
    int tracer = 0;
    cJSON *object;

    (void)app;
    (void)db;
    problem_init(&problem);
    form_open(&form, req, &problem);
    form_choice(&form, "product", tracers, FORM_REQUIRED, &tracer);
    form_e6(&form, "amount_g", 1, 1e7, FORM_REQUIRED, &amount_e6);
    form_e6(&form, "before_mg_per_l", 0, 50000, FORM_REQUIRED, &before_e6);
    form_e6(&form, "after_mg_per_l", 0, 50000, FORM_REQUIRED, &after_e6);
    form_e6(&form, "step_mg_per_l", 0, 1000, FORM_REQUIRED, &step_e6);
    read_double(&form, "strength_percent", 1, 100, &strength, NULL);
    read_double(&form, "calibration_percent", 0, 50, &calibration, NULL);
    form_close(&form);
    if (api_refused(out, &problem))
        return;
    in.before_mg_per_l = decimal_to_double(before_e6);
    in.after_mg_per_l = decimal_to_double(after_e6);
    in.step_mg_per_l = decimal_to_double(step_e6);
    in.brought_g = decimal_to_double(amount_e6) * strength / 100 *
                   (tracer == 1 ? CACO3_PER_BICARBONATE : 1);
    in.brought_half_g = in.brought_g * 0.02; /* a scale, and what a bag holds */
    in.calibration_fraction = calibration / 100;
    if (coil_volume_from_dose(&in, &volume) != COIL_OK) {
        reply_refuse(out, 422, "rise_too_small", "after_mg_per_l",
                     "The rise is not more than the test leaves open: take more of it, "
                     "or a finer test.");
        return;
    }
    object = cJSON_CreateObject();
    api_add_e6(object, "volume_m3", decimal_from_double(volume.volume_m3));
    api_add_e6(object, "low_m3", decimal_from_double(volume.low_m3));
    api_add_e6(object, "high_m3", decimal_from_double(volume.high_m3));
    api_send(out, 200, object);
}
