/* From a set of products to steps in order: split, timed, each with the water before
 * and after it. */
#include <math.h>
#include <stddef.h>

#include "treatment_private.h"

/* Order in which products go in, and how long the pump mixes before the next. Common
 * practice, no source: alkalinity first, since it steadies pH; then pH; then what
 * dissolves slowly; chlorine last, hours after acid and at another place. */
struct habit {
    enum coil_product product;
    int rank;
    double wait_h;
};

static const struct habit HABITS[] = {
    {COIL_SODIUM_BICARBONATE, 1, 4},
    {COIL_SODIUM_SESQUICARBONATE, 2, 4},
    {COIL_SODIUM_CARBONATE, 2, 4},
    {COIL_SODIUM_HYDROXIDE, 2, 4},
    {COIL_BORAX, 2, 4},
    {COIL_HYDROCHLORIC_ACID, 3, 4},
    {COIL_SODIUM_BISULFATE, 3, 4},
    {COIL_CARBON_DIOXIDE, 3, 2},
    {COIL_BORIC_ACID, 5, 6},
    {COIL_CALCIUM_CHLORIDE, 6, 6},
    {COIL_CYANURIC_ACID_PRODUCT, 7, 24},
    {COIL_SODIUM_CHLORIDE, 8, 24},
    {COIL_SODIUM_HYPOCHLORITE, 9, 1},
    {COIL_CALCIUM_HYPOCHLORITE, 9, 4},
    {COIL_LITHIUM_HYPOCHLORITE, 9, 1},
    {COIL_DICHLOR, 9, 1},
    {COIL_TRICHLOR, 9, 24},
    {COIL_CHLORINE_GAS, 9, 1},
};

#define RANK_AERATION 4
#define WAIT_AERATION_H                                                                \
    24.0 /* then test: how fast CO2 leaves differs from pool to pool */

static const struct habit *habit_of(enum coil_product product)
{
    static const struct habit other = {COIL_OTHER_PRODUCT, 5, 6};
    size_t i;

    for (i = 0; i < sizeof HABITS / sizeof *HABITS; i++) {
        if (HABITS[i].product == product)
            return &HABITS[i];
    }
    return &other;
}

static bool is_acid(enum coil_product product)
{
    const struct coil_product_info *info = coil_product_info(product);

    return info != NULL && info->kind == COIL_KIND_ACID;
}

static bool is_chlorine(enum coil_product product)
{
    const struct coil_product_info *info = coil_product_info(product);

    return info != NULL && info->kind == COIL_KIND_SANITISER;
}

/* ---- states ---- */

enum coil_status treatment_state_of(const struct treatment_problem *problem,
                                    const struct treatment_water *water,
                                    struct coil_treatment_state *out)
{
    struct coil_equilibrium pool, hot;
    bool has_index = problem->input->knows_calcium;
    enum coil_status status =
        coil_closed_solve(&problem->constants, &water->closed, &pool);
    int i;

    if (status >= 0)
        status = coil_equilibrium_heat(&problem->surface, &water->closed.totals, &pool,
                                       &hot);
    if (status < 0)
        return status;
    for (i = 0; i < COIL_AIM_COUNT; i++)
        out->value[i] =
            i == COIL_AIM_PH ? pool.ph : treatment_linear(water, (enum coil_aim)i);
    out->si_pool = has_index && isfinite(pool.si_calcite) ? pool.si_calcite : NAN;
    out->si_surface = has_index && isfinite(hot.si_calcite) ? hot.si_calcite : NAN;
    return status;
}

struct coil_treatment_step *treatment_step_add(struct coil_treatment_plan *plan,
                                               enum coil_step_kind kind)
{
    struct coil_treatment_step *step;

    if (plan->step_count == COIL_TREATMENT_STEPS_MAX)
        return NULL;
    step = &plan->steps[plan->step_count];
    *step = (struct coil_treatment_step){.kind = kind,
                                         .part = 1,
                                         .part_count = 1,
                                         .pump_on = kind != COIL_STEP_REPLACE,
                                         .before = plan->end};
    return step;
}

static bool is_outside_walls(const struct treatment_problem *problem,
                             const struct coil_treatment_state *state)
{
    return state->value[COIL_AIM_PH] < problem->input->heater_ph_low ||
           state->value[COIL_AIM_CHLORINE] >
               problem->input->heater_chlorine_high_mg_per_l;
}

enum coil_status treatment_step_close(const struct treatment_problem *problem,
                                      const struct treatment_water *after,
                                      struct coil_treatment_plan *plan,
                                      struct coil_treatment_step *step)
{
    enum coil_status status = treatment_state_of(problem, after, &step->after);

    if (status < 0)
        return status;
    step->heater = is_outside_walls(problem, &step->before) ||
                           is_outside_walls(problem, &step->after)
                       ? COIL_STEP_HEATER_OFF_LINE
                       : COIL_STEP_HEATER_IN_LINE;
    plan->end = step->after;
    plan->step_count++;
    return status;
}

/* ---- amounts ---- */

/* One product of the plan, split into parts. */
struct portion {
    const struct treatment_candidate *candidate;
    double units;  /* in all, as measured */
    double amount; /* in all, g or mL */
    double step;   /* that can be measured */
    int part_count;
    int done;
    double done_amount;
};

double treatment_measure_step(const struct coil_treatment_input *input,
                              enum coil_product product, double own_step)
{
    const struct coil_product_info *info = coil_product_info(product);

    if (own_step > 0)
        return own_step;
    return info != NULL && info->is_liquid ? input->smallest_liquid_ml
                                           : input->smallest_solid_g;
}

static double measured(double amount, double step)
{
    return floor(amount / step + 0.5) * step;
}

static double limit_of(const struct coil_dose_limits *limits,
                       const struct treatment_candidate *c, double units,
                       double *out_effect)
{
    double alkalinity = c->effect[COIL_AIM_ALKALINITY] * units;

    if (is_chlorine(c->product)) {
        *out_effect = c->effect[COIL_AIM_CHLORINE] * units;
        return limits->chlorine_mg_per_l;
    }
    if (c->product == COIL_CALCIUM_CHLORIDE) {
        *out_effect = c->effect[COIL_AIM_CALCIUM] * units;
        return limits->calcium_mg_per_l_caco3;
    }
    *out_effect = fabs(alkalinity);
    if (alkalinity < 0)
        return limits->acid_mg_per_l_caco3;
    return c->product == COIL_SODIUM_BICARBONATE ? limits->bicarbonate_mg_per_l_caco3
                                                 : limits->carbonate_mg_per_l_caco3;
}

/* What one step of the measure may not bring is measured finer than the item says: a
 * limit is never passed because the scoop is large. */
static double step_of(const struct treatment_problem *problem,
                      const struct treatment_candidate *c)
{
    double effect, step = c->measure_step;
    double limit = limit_of(&problem->input->limits, c, step / c->unit_amount, &effect);

    return effect <= limit ? step
                           : treatment_measure_step(problem->input, c->product, 0);
}

static bool portion_of(const struct treatment_problem *problem,
                       const struct treatment_candidate *c, double units,
                       struct portion *out)
{
    double effect, limit, most, steps;

    *out = (struct portion){.candidate = c, .units = units, .part_count = 1};
    if (c->is_aeration)
        return units > 0;
    out->step = step_of(problem, c);
    out->amount = measured(units * c->unit_amount, out->step);
    out->units = out->amount / c->unit_amount;
    limit = limit_of(&problem->input->limits, c, out->step / c->unit_amount, &effect);
    most = fmax(limit / effect, 1); /* steps of the measure in one part */
    steps = out->amount / out->step;
    /* What rounding to the measure adds makes no part of its own. */
    out->part_count = (int)fmin(fmax(ceil(steps / most - 0.02), 1), 1000);
    while (out->part_count < steps &&
           ceil(steps / out->part_count - 1e-9) > 1.03 * most)
        out->part_count++;
    return out->amount > 0;
}

/* ---- putting in ---- */

static double next_amount(const struct portion *portion)
{
    double upto = portion->amount * (portion->done + 1) / portion->part_count;

    return portion->done + 1 == portion->part_count
               ? portion->amount - portion->done_amount
               : measured(upto, portion->step) - portion->done_amount;
}

/* Acid just before chlorine, or the other way: hours between, another place. */
static void keep_apart(struct coil_treatment_plan *plan,
                       struct coil_treatment_step *step)
{
    int i;

    for (i = plan->step_count - 1; i >= 0; i--) {
        struct coil_treatment_step *before = &plan->steps[i];

        if (before->kind != COIL_STEP_DOSE)
            continue;
        if ((is_acid(before->product) && is_chlorine(step->product)) ||
            (is_chlorine(before->product) && is_acid(step->product))) {
            step->other_place = true;
            before->wait_h = fmax(before->wait_h, 4);
        }
        return;
    }
}

static bool put_part(struct treatment_problem *problem, struct portion *portion,
                     struct coil_treatment_plan *plan)
{
    const struct treatment_candidate *c = portion->candidate;
    struct coil_treatment_step *step = treatment_step_add(plan, COIL_STEP_DOSE);
    struct treatment_water after;
    double left = c->amount_left - portion->done_amount;

    if (step == NULL) {
        plan->is_cut = true;
        return false;
    }
    step->product = c->product;
    step->shed_id = c->shed_id;
    step->strength_percent = c->strength_percent;
    step->amount = next_amount(portion);
    step->short_by = fmin(fmax(step->amount - fmax(left, 0), 0), step->amount);
    step->part = portion->done + 1;
    step->part_count = portion->part_count;
    step->wait_h = habit_of(c->product)->wait_h;
    if (treatment_put(&problem->water, c, step->amount / c->unit_amount, &after) < 0 ||
        treatment_step_close(problem, &after, plan, step) < 0)
        return false;
    plan->step_count--; /* keep_apart looks at those before */
    keep_apart(plan, step);
    plan->step_count++;
    problem->water = after;
    portion->done++;
    portion->done_amount += step->amount;
    return true;
}

/* A share of the CO2 that has to leave. */
static bool aerate(struct treatment_problem *problem, const struct portion *air,
                   double share, struct coil_treatment_plan *plan)
{
    struct coil_treatment_step *step = treatment_step_add(plan, COIL_STEP_AERATE);
    struct treatment_water after;

    if (step == NULL) {
        plan->is_cut = true;
        return false;
    }
    step->wait_h = WAIT_AERATION_H;
    step->test_after = true;
    if (treatment_put(&problem->water, air->candidate, share * air->units, &after) <
            0 ||
        treatment_step_close(problem, &after, plan, step) < 0)
        return false;
    problem->water = after;
    return true;
}

/* All parts of one product; with acid, CO2 leaves after each part, so that pH recovers
 * before the next. */
static bool put_all(struct treatment_problem *problem, struct portion *portion,
                    const struct portion *air, struct coil_treatment_plan *plan)
{
    int parts = portion->part_count;

    while (portion->done < parts) {
        if (!put_part(problem, portion, plan))
            return false;
        if (air != NULL && !aerate(problem, air, 1.0 / parts, plan))
            return false;
    }
    return true;
}

static int rank_of(const struct portion *portion)
{
    return portion->candidate->is_aeration
               ? RANK_AERATION
               : habit_of(portion->candidate->product)->rank;
}

static void sort_portions(struct portion *portions, int count)
{
    int i, j;

    for (i = 1; i < count; i++) {
        struct portion moved = portions[i];

        for (j = i; j > 0 && rank_of(&portions[j - 1]) > rank_of(&moved); j--)
            portions[j] = portions[j - 1];
        portions[j] = moved;
    }
}

/* Aeration ends at a pH, whatever rounding did to the doses: what has to leave so that
 * the water of all portions ends inside its bounds. */
static void mend_air(const struct treatment_problem *problem, struct portion *portions,
                     int count, struct portion *air)
{
    struct treatment_water water = problem->water;
    struct coil_equilibrium now, wanted;
    double ph;
    int i;

    for (i = 0; i < count; i++) {
        if (treatment_put(&water, portions[i].candidate, portions[i].units, &water) < 0)
            return;
    }
    if (coil_closed_solve(&problem->constants, &water.closed, &now) < 0)
        return;
    ph = fmin(fmax(now.ph, problem->low[COIL_AIM_PH]), problem->high[COIL_AIM_PH]);
    if (coil_equilibrium_solve(&problem->constants, &water.closed.totals,
                               COIL_GIVEN_PH_ALKALINITY, ph,
                               water.closed.alkalinity_eq_per_kg, &wanted) < 0)
        return;
    air->units = fmax(air->units + (now.dic_mol_per_kg - wanted.dic_mol_per_kg) /
                                       TREATMENT_UNIT_MOL_PER_KG,
                      0);
}

static void count_products(struct coil_treatment_plan *plan,
                           const struct portion *portions, int count)
{
    int i;

    for (i = 0; i < count; i++) {
        const struct treatment_candidate *c = portions[i].candidate;

        if (c->is_aeration)
            continue;
        plan->product_count++;
        if (c->shed_id == 0 || portions[i].amount > c->amount_left)
            plan->to_buy_count++;
    }
}

void treatment_steps(struct treatment_problem *problem, const struct treatment_set *set,
                     struct coil_treatment_plan *plan)
{
    struct portion portions[SET_MAX];
    struct portion *air = NULL;
    bool acid_takes_air = false;
    int count = 0, i;

    for (i = 0; i < set->count && set->is_found; i++) {
        if (portion_of(problem, &problem->candidates[set->member[i]], set->units[i],
                       &portions[count]))
            count++;
    }
    sort_portions(portions, count);
    count_products(plan, portions, count);
    for (i = 0; i < count; i++) {
        if (portions[i].candidate->is_aeration)
            air = &portions[i];
    }
    if (air != NULL)
        mend_air(problem, portions, count, air);
    for (i = 0; i < count && air != NULL; i++)
        acid_takes_air |= is_acid(portions[i].candidate->product);
    for (i = 0; i < count; i++) {
        bool takes_air = air != NULL && is_acid(portions[i].candidate->product);

        if (&portions[i] == air) {
            if (!acid_takes_air && !aerate(problem, air, 1, plan))
                return;
        } else if (!put_all(problem, &portions[i], takes_air ? air : NULL, plan)) {
            return;
        }
    }
}
