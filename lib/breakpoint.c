#include "breakpoint.h"

#include <math.h>
#include <string.h>

#include "chlorine_loss.h"

#define CL2_G_PER_MOL 70.906
#define N_G_PER_MOL 14.0067
#define CACO3_G_PER_EQ 50.04345
#define FREE_CHLORINE_MAX 500.0
/* Of the combined chlorine before, what has to be left for the last try to have failed.
 */
#define STAYED_FRACTION 0.7

/* Acid equivalents per mol of N: 8, 5 or 2 for 2 N. */
double coil_breakpoint_alkalinity_per_n(enum coil_chlorine_form form)
{
    double acid = form == COIL_FORM_CL2 ? 8.0 : form == COIL_FORM_HOCL ? 5.0 : 2.0;

    return acid / 2.0 * CACO3_G_PER_EQ / N_G_PER_MOL;
}

static double hocl_at(double free_chlorine_mg_per_l, double cyanuric_acid_mg_per_l,
                      double ph, double water_temp_c, enum coil_status *out_status)
{
    struct coil_loss_water water = {free_chlorine_mg_per_l, ph, cyanuric_acid_mg_per_l,
                                    water_temp_c};
    struct coil_unbound unbound = {0};

    *out_status = coil_chlorine_unbound(&water, &unbound);
    return unbound.hocl_fraction * free_chlorine_mg_per_l;
}

enum coil_status coil_free_chlorine_for_hocl(double hocl_mg_per_l,
                                             double cyanuric_acid_mg_per_l, double ph,
                                             double water_temp_c, double *out_mg_per_l)
{
    enum coil_status status;
    double low = 0.0;
    double high = FREE_CHLORINE_MAX;
    double most = hocl_at(high, cyanuric_acid_mg_per_l, ph, water_temp_c, &status);

    if (!isfinite(hocl_mg_per_l))
        return COIL_ERR_NOT_FINITE;
    if (hocl_mg_per_l <= 0.0 || hocl_mg_per_l > 100.0)
        return COIL_ERR_DOMAIN;
    if (status < COIL_OK)
        return status;
    if (most < hocl_mg_per_l)
        return COIL_ERR_NO_SOLUTION;
    while (high - low > 0.005) {
        double middle = 0.5 * (low + high);

        if (hocl_at(middle, cyanuric_acid_mg_per_l, ph, water_temp_c, &status) <
            hocl_mg_per_l)
            low = middle;
        else
            high = middle;
    }
    *out_mg_per_l = high;
    return status;
}

static bool is_amount(double value, double most)
{
    return value >= 0.0 && value <= most;
}

static enum coil_status check_input(const struct coil_breakpoint_input *in)
{
    if (!isfinite(in->free_chlorine_mg_per_l) ||
        !isfinite(in->combined_chlorine_mg_per_l) || !isfinite(in->ph) ||
        !isfinite(in->water_temp_c) || isinf(in->ammonia_n_mg_per_l) ||
        isinf(in->cyanuric_acid_mg_per_l))
        return COIL_ERR_NOT_FINITE;
    if (!is_amount(in->free_chlorine_mg_per_l, 500.0) ||
        !is_amount(in->combined_chlorine_mg_per_l, 200.0) || in->ph < 5.0 ||
        in->ph > 10.0 || in->water_temp_c < 0.0 || in->water_temp_c > 60.0 ||
        in->ammonia_n_mg_per_l < 0.0 || in->cyanuric_acid_mg_per_l < 0.0 ||
        in->cyanuric_acid_mg_per_l > 1000.0)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* HOCl as a water without cyanurate has at the convention's level, with cyanurate. */
static enum coil_status hocl_level(const struct coil_breakpoint_input *in,
                                   double *out_level)
{
    enum coil_status status;
    double hocl = hocl_at(COIL_BREAKPOINT_HOCL_AS_MG_PER_L, 0.0, in->ph,
                          in->water_temp_c, &status);

    *out_level = NAN;
    if (status < COIL_OK || isnan(in->cyanuric_acid_mg_per_l))
        return status;
    status = coil_free_chlorine_for_hocl(hocl, in->cyanuric_acid_mg_per_l, in->ph,
                                         in->water_temp_c, out_level);
    if (status == COIL_ERR_NO_SOLUTION) {
        *out_level = FREE_CHLORINE_MAX;
        return COIL_OK;
    }
    return status;
}

static unsigned notes_of(const struct coil_breakpoint_input *in,
                         const struct coil_breakpoint *plan, double wanted)
{
    unsigned notes = 0;

    if (in->combined_chlorine_mg_per_l <= COIL_BREAKPOINT_COMBINED_LOW)
        notes |= COIL_BREAKPOINT_NOT_NEEDED;
    if (in->last_peak_mg_per_l >=
            COIL_BREAKPOINT_TRADE * in->last_combined_before_mg_per_l &&
        in->last_combined_before_mg_per_l > COIL_BREAKPOINT_COMBINED_LOW &&
        in->last_combined_after_mg_per_l >=
            STAYED_FRACTION * in->last_combined_before_mg_per_l)
        notes |= COIL_BREAKPOINT_ORGANIC; /* NaN compares false: no last try */
    if (isnan(in->cyanuric_acid_mg_per_l))
        notes |= COIL_BREAKPOINT_CYANURIC_UNKNOWN;
    if (in->cyanuric_acid_mg_per_l > COIL_BREAKPOINT_CYANURIC_MAX ||
        wanted > plan->level_mg_per_l)
        notes |= COIL_BREAKPOINT_CYANURIC_HIGH;
    return notes;
}

enum coil_status coil_breakpoint_plan(const struct coil_breakpoint_input *input,
                                      struct coil_breakpoint *out)
{
    struct coil_breakpoint plan = {0};
    enum coil_status status = check_input(input);
    double combined = input->combined_chlorine_mg_per_l;
    double nitrogen = combined * N_G_PER_MOL / CL2_G_PER_MOL; /* as monochloramine */
    double ammonia = input->ammonia_n_mg_per_l;
    double wanted;

    if (status == COIL_OK)
        status = hocl_level(input, &plan.hocl_level_mg_per_l);
    if (status < COIL_OK)
        return status;
    plan.stoichiometric_mg_per_l = COIL_BREAKPOINT_PER_COMBINED * combined;
    plan.trade_level_mg_per_l = COIL_BREAKPOINT_TRADE * combined;
    plan.practice_low_mg_per_l = plan.stoichiometric_mg_per_l;
    plan.practice_high_mg_per_l = plan.trade_level_mg_per_l;
    if (!isnan(ammonia)) {
        nitrogen += ammonia;
        plan.stoichiometric_mg_per_l += COIL_BREAKPOINT_PER_N * ammonia;
        plan.practice_low_mg_per_l += COIL_BREAKPOINT_PER_N_LOW * ammonia;
        plan.practice_high_mg_per_l += COIL_BREAKPOINT_PER_N_HIGH * ammonia;
    }
    wanted = fmax(plan.trade_level_mg_per_l, plan.stoichiometric_mg_per_l);
    if (!isnan(plan.hocl_level_mg_per_l))
        wanted = fmax(wanted, plan.hocl_level_mg_per_l);
    plan.level_mg_per_l = fmin(wanted, COIL_BREAKPOINT_LEVEL_MAX);
    plan.dose_mg_per_l = fmax(0.0, plan.level_mg_per_l - input->free_chlorine_mg_per_l);
    plan.alkalinity_cost_low_mg_per_l_caco3 =
        nitrogen * coil_breakpoint_alkalinity_per_n(COIL_FORM_OCL);
    plan.alkalinity_cost_high_mg_per_l_caco3 =
        nitrogen * coil_breakpoint_alkalinity_per_n(COIL_FORM_CL2);
    plan.notes = notes_of(input, &plan, wanted);
    *out = plan;
    return status;
}

/* ---- neutralisers ---- */

struct agent {
    const char *key;
    const char *words;
    double g_per_mol;
    double mol_low, mol_high; /* per mol Cl2 */
    double field;             /* mg/mg, 0: none printed */
    double acid_low, acid_high;
};

static const struct agent agents[COIL_NEUTRALISER_COUNT] = {
#define X(name, number, key, words, mass, low, high, field, acid_low, acid_high)       \
    [name] = {key, words, mass, low, high, field, acid_low, acid_high},
    COIL_NEUTRALISER_LIST(X)
#undef X
};

static const struct agent *find(enum coil_neutraliser agent)
{
    if ((int)agent < 0 || agent >= COIL_NEUTRALISER_COUNT)
        return NULL;
    return &agents[agent];
}

const char *coil_neutraliser_key(enum coil_neutraliser agent)
{
    return find(agent) == NULL ? NULL : find(agent)->key;
}

const char *coil_neutraliser_words(enum coil_neutraliser agent)
{
    return find(agent) == NULL ? NULL : find(agent)->words;
}

enum coil_status coil_neutraliser_from_key(const char *key,
                                           enum coil_neutraliser *out_agent)
{
    for (int i = 0; key != NULL && i < COIL_NEUTRALISER_COUNT; i++) {
        if (strcmp(agents[i].key, key) == 0) {
            *out_agent = (enum coil_neutraliser)i;
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

enum coil_status coil_neutraliser_need(enum coil_neutraliser agent,
                                       struct coil_neutraliser_need *out)
{
    const struct agent *found = find(agent);

    if (found == NULL)
        return COIL_ERR_UNKNOWN;
    out->low = found->mol_low * found->g_per_mol / CL2_G_PER_MOL;
    out->high = found->mol_high * found->g_per_mol / CL2_G_PER_MOL;
    out->field = found->field > 0.0 ? found->field : (double)NAN;
    return COIL_OK;
}

enum coil_status coil_neutraliser_amount(enum coil_neutraliser agent,
                                         double drop_mg_per_l, double volume_m3,
                                         struct coil_neutraliser_amount *out)
{
    const struct agent *found = find(agent);
    struct coil_neutraliser_need need;
    double chlorine_g = drop_mg_per_l * volume_m3; /* mg/L is g/m3 */
    double caco3 = drop_mg_per_l * CACO3_G_PER_EQ / CL2_G_PER_MOL;

    if (found == NULL)
        return COIL_ERR_UNKNOWN;
    if (!isfinite(drop_mg_per_l) || !isfinite(volume_m3))
        return COIL_ERR_NOT_FINITE;
    if (!is_amount(drop_mg_per_l, 500.0) || volume_m3 <= 0.0)
        return COIL_ERR_DOMAIN;
    coil_neutraliser_need(agent, &need);
    out->low_g = need.low * chlorine_g;
    out->high_g =
        fmax(need.high, need.field > need.high ? need.field : 0.0) * chlorine_g;
    out->field_g = need.field * chlorine_g;
    out->first_g = 0.5 * (isnan(need.field) ? need.low : need.field) * chlorine_g;
    out->alkalinity_loss_low_mg_per_l_caco3 = found->acid_low * caco3;
    out->alkalinity_loss_high_mg_per_l_caco3 = found->acid_high * caco3;
    return COIL_OK;
}
