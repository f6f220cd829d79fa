#include "treatment.h"

#include <math.h>
#include <stddef.h>

#include "treatment_private.h"

static const enum coil_quantity AIM_QUANTITY[] = {
#define X(name, quantity) quantity,
    COIL_AIM_LIST(X)
#undef X
};

enum coil_quantity coil_aim_quantity(enum coil_aim aim)
{
    return (unsigned)aim < COIL_AIM_COUNT ? AIM_QUANTITY[aim] : COIL_QUANTITY_COUNT;
}

enum coil_aim coil_aim_from_quantity(enum coil_quantity quantity)
{
    int i;

    for (i = 0; i < COIL_AIM_COUNT; i++) {
        if (AIM_QUANTITY[i] == quantity)
            return (enum coil_aim)i;
    }
    return COIL_AIM_COUNT;
}

struct coil_wanted coil_wanted_default(enum coil_aim aim,
                                       const struct coil_wanted_basis *basis)
{
    static const struct coil_wanted none = {false, 0, 0};

    switch (aim) {
    case COIL_AIM_PH:
        return (struct coil_wanted){true, 7.4, 7.6};
    case COIL_AIM_ALKALINITY:
        return (struct coil_wanted){true, 80, 120};
    case COIL_AIM_CALCIUM:
        return basis->has_plaster ? (struct coil_wanted){true, 200, 400} : none;
    case COIL_AIM_CHLORINE:
        return basis->has_chlorine ? (struct coil_wanted){true, 2, 4} : none;
    case COIL_AIM_CYANURIC_ACID:
        return basis->has_chlorine && !basis->no_cyanuric_acid
                   ? (struct coil_wanted){true, 30, 50}
                   : none;
    default:
        return none;
    }
}

const char *coil_wanted_source(enum coil_aim aim)
{
    if (aim == COIL_AIM_PH)
        return "mil-hdbk-1027-4a";
    return aim == COIL_AIM_SALT || aim == COIL_AIM_BORATE
               ? ""
               : "common practice, no source";
}

struct coil_dose_limits coil_dose_limits_default(void)
{
    return (struct coil_dose_limits){10, 15, 50, 100, 10};
}

void coil_treatment_input_init(struct coil_treatment_input *input)
{
    *input = (struct coil_treatment_input){
        .limits = coil_dose_limits_default(),
        .smallest_solid_g = 10,
        .smallest_liquid_ml = 10,
        .surface_rise_k = COIL_FILM_RISE_DEFAULT_K,
        .heater_ph_low = 7.2,
        .heater_chlorine_high_mg_per_l = 5,
        .replace_at_once_max_fraction = 1.0 / 3,
        .source = COIL_CYANURATE_WAHMAN_2019,
    };
}

/* ---- checks ---- */

static enum coil_status refuse(enum coil_status status, const char *field,
                               const char **out_field)
{
    if (out_field != NULL)
        *out_field = field;
    return status;
}

struct bound {
    double value;
    const char *field;
    double lowest, highest;
    bool above_lowest; /* the lowest itself is refused */
};

static enum coil_status check_bounds(const struct bound *bounds, size_t count,
                                     const char **out_field)
{
    size_t i;

    for (i = 0; i < count; i++) {
        const struct bound *b = &bounds[i];

        if (!isfinite(b->value))
            return refuse(COIL_ERR_NOT_FINITE, b->field, out_field);
        if (b->value < b->lowest || b->value > b->highest ||
            (b->above_lowest && b->value == b->lowest))
            return refuse(COIL_ERR_DOMAIN, b->field, out_field);
    }
    return COIL_OK;
}

static enum coil_status check_numbers(const struct coil_treatment_input *in,
                                      const char **out_field)
{
    const struct coil_dose_limits *l = &in->limits;
    const struct bound bounds[] = {
        {in->volume_m3, "volume_m3", 0, 1e6, true},
        {in->chlorine_step_mg_per_l, "chlorine_step_mg_per_l", 0, 100, false},
        {l->acid_mg_per_l_caco3, "limits.acid", 0, 1e4, true},
        {l->carbonate_mg_per_l_caco3, "limits.carbonate", 0, 1e4, true},
        {l->bicarbonate_mg_per_l_caco3, "limits.bicarbonate", 0, 1e4, true},
        {l->calcium_mg_per_l_caco3, "limits.calcium", 0, 1e4, true},
        {l->chlorine_mg_per_l, "limits.chlorine", 0, 1e4, true},
        {in->smallest_solid_g, "smallest_solid_g", 0, 1e6, true},
        {in->smallest_liquid_ml, "smallest_liquid_ml", 0, 1e6, true},
        {in->surface_rise_k, "surface_rise_k", 0, 60, false},
        {in->heater_ph_low, "heater_ph_low", 0, 14, false},
        {in->heater_chlorine_high_mg_per_l, "heater_chlorine_high_mg_per_l", 0, 500,
         false},
        {in->replace_at_once_max_fraction, "replace_at_once_max_fraction", 0, 1, true},
    };

    return check_bounds(bounds, sizeof bounds / sizeof *bounds, out_field);
}

static enum coil_status check_wanted(const struct coil_treatment_input *in,
                                     const char **out_field)
{
    static const char *const fields[] = {
        "wanted.ph",
        "wanted.total_alkalinity_mg_per_l_caco3",
        "wanted.calcium_hardness_mg_per_l_caco3",
        "wanted.free_chlorine_mg_per_l",
        "wanted.cyanuric_acid_mg_per_l",
        "wanted.salt_mg_per_l_nacl",
        "wanted.borate_mg_per_l_b",
    };
    int i;

    for (i = 0; i < COIL_AIM_COUNT; i++) {
        const struct coil_wanted *w = &in->wanted[i];
        const struct coil_quantity_info *info = coil_quantity_info(AIM_QUANTITY[i]);

        if (!w->is_set)
            continue;
        if (!isfinite(w->low) || !isfinite(w->high))
            return refuse(COIL_ERR_NOT_FINITE, fields[i], out_field);
        if (!(w->low <= w->high) || w->low < info->possible_low ||
            w->high > info->possible_high)
            return refuse(COIL_ERR_DOMAIN, fields[i], out_field);
    }
    return COIL_OK;
}

static enum coil_status check_shed(const struct coil_treatment_input *in,
                                   const char **out_field)
{
    int i;

    if (in->shed_count < 0 || in->shed_count > COIL_SHED_MAX)
        return refuse(COIL_ERR_DOMAIN, "shed", out_field);
    for (i = 0; i < in->shed_count; i++) {
        const struct coil_shed_item *item = &in->shed[i];

        if (coil_product_info(item->product) == NULL)
            return refuse(COIL_ERR_UNKNOWN, "shed.product", out_field);
        if (!isfinite(item->strength_percent))
            return refuse(COIL_ERR_NOT_FINITE, "shed.strength_percent", out_field);
        if (!(item->strength_percent >= 0 && item->strength_percent <= 100))
            return refuse(COIL_ERR_DOMAIN, "shed.strength_percent", out_field);
        if (!isfinite(item->amount_left))
            return refuse(COIL_ERR_NOT_FINITE, "shed.amount_left", out_field);
        if (!(item->amount_left >= 0))
            return refuse(COIL_ERR_DOMAIN, "shed.amount_left", out_field);
        if (!isfinite(item->measure_step))
            return refuse(COIL_ERR_NOT_FINITE, "shed.measure", out_field);
        if (!(item->measure_step >= 0))
            return refuse(COIL_ERR_DOMAIN, "shed.measure", out_field);
    }
    return COIL_OK;
}

static enum coil_status check_input(const struct coil_treatment_input *in,
                                    const char **out_field)
{
    enum coil_status status = check_numbers(in, out_field);

    if (status == COIL_OK)
        status = check_wanted(in, out_field);
    return status == COIL_OK ? check_shed(in, out_field) : status;
}

/* ---- the waters ---- */

double treatment_linear(const struct treatment_water *water, enum coil_aim aim)
{
    const struct coil_totals *t = &water->closed.totals;

    switch (aim) {
    case COIL_AIM_ALKALINITY:
        return coil_mg_per_l_from_alkalinity(water->closed.alkalinity_eq_per_kg);
    case COIL_AIM_CALCIUM:
        return coil_mg_per_l_from_calcium(t->calcium_mol_per_kg);
    case COIL_AIM_CHLORINE:
        return t->chlorine_mol_per_kg * 1000 * COIL_CHLORINE_G_PER_MOL;
    case COIL_AIM_CYANURIC_ACID:
        return t->cyanurate_mol_per_kg * 1000 * COIL_CYANURIC_ACID_G_PER_MOL;
    case COIL_AIM_SALT: /* as a test of chloride shows it */
        return (t->chloride_mol_per_kg - water->uncounted_chloride_mol_per_kg) * 1000 *
               COIL_NACL_G_PER_MOL;
    case COIL_AIM_BORATE:
        return t->borate_mol_per_kg * 1000 * COIL_BORON_G_PER_MOL;
    default:
        return NAN;
    }
}

static enum coil_status water_of(const struct coil_composition *composition,
                                 enum coil_cyanurate_source source,
                                 struct coil_constants *out_constants,
                                 struct treatment_water *out, const char **out_field)
{
    struct coil_totals totals;
    struct coil_equilibrium water;
    enum coil_quantity field = COIL_PH;
    enum coil_status status = coil_water_from_composition(
        composition, source, out_constants, &totals, &water, &field);

    if (status < 0)
        return refuse(status,
                      status == COIL_ERR_UNKNOWN ? "source"
                                                 : coil_quantity_info(field)->key,
                      out_field);
    coil_closed_from_equilibrium(&totals, &water, &out->closed);
    out->uncounted_chloride_mol_per_kg =
        2 * (totals.calcium_mol_per_kg + totals.magnesium_mol_per_kg);
    return status;
}

static enum coil_status problem_init(const struct coil_treatment_input *input,
                                     struct treatment_problem *out,
                                     const char **out_field)
{
    enum coil_status status = check_input(input, out_field);
    enum coil_status hot;

    if (status != COIL_OK)
        return status;
    *out = (struct treatment_problem){.input = input};
    status =
        water_of(&input->water, input->source, &out->constants, &out->water, out_field);
    if (status < 0)
        return status;
    out->is_outside_source = status > 0;
    hot = coil_constants_at(input->water.water_temp_c + input->surface_rise_k,
                            input->source, &out->surface);
    return hot == COIL_OK ? status : refuse(hot, "surface_rise_k", out_field);
}

/* ---- what only replacing water brings down ---- */

static bool only_replacing_lowers(enum coil_aim aim)
{
    return aim == COIL_AIM_CALCIUM || aim == COIL_AIM_CYANURIC_ACID ||
           aim == COIL_AIM_SALT || aim == COIL_AIM_BORATE;
}

/* Where a value from above is taken to: a quarter inside, or halfway between what the
 * fill water holds and the end of the range. */
static double replace_target(const struct coil_wanted *wanted, double fill)
{
    double target = wanted->high - 0.25 * (wanted->high - wanted->low);

    return fill < target ? target : (fill + wanted->high) / 2;
}

static double replace_fraction(const struct treatment_problem *problem,
                               const struct treatment_water *fill,
                               struct coil_treatment_plan *plan)
{
    double fraction = 0, value, poured, part;
    int i;

    for (i = 0; i < COIL_AIM_COUNT; i++) {
        const struct coil_wanted *wanted = &problem->input->wanted[i];

        value = treatment_linear(&problem->water, (enum coil_aim)i);
        if (!wanted->is_set || !only_replacing_lowers((enum coil_aim)i) ||
            !(value > wanted->high))
            continue;
        if (fill == NULL) {
            plan->outcome[i] = COIL_AIM_FILL_UNKNOWN;
            plan->replace_is_least = true;
            part = 1 - wanted->high / value;
        } else {
            poured = treatment_linear(fill, (enum coil_aim)i);
            if (poured >= wanted->high) {
                plan->outcome[i] = COIL_AIM_FILL_TOO_HIGH;
                continue;
            }
            plan->outcome[i] = COIL_AIM_AFTER_REPLACE;
            part = (value - replace_target(wanted, poured)) / (value - poured);
        }
        fraction = fmax(fraction, part);
    }
    return fraction;
}

static enum coil_status replace_once(struct treatment_problem *problem,
                                     const struct treatment_water *fill, double part,
                                     struct coil_treatment_plan *plan,
                                     struct coil_treatment_step *step)
{
    struct treatment_water mixed;
    enum coil_status status =
        coil_water_mix(&problem->water.closed, &fill->closed, part, &mixed.closed);

    if (status != COIL_OK)
        return status;
    mixed.uncounted_chloride_mol_per_kg =
        problem->water.uncounted_chloride_mol_per_kg +
        part * (fill->uncounted_chloride_mol_per_kg -
                problem->water.uncounted_chloride_mol_per_kg);
    step->fraction = part;
    step->wait_h = 6; /* to mix; common practice, no source */
    step->test_after = true;
    problem->water = mixed;
    return treatment_step_close(problem, &mixed, plan, step);
}

/* Drains and fills in as many parts as the shell allows. */
static enum coil_status replace_water(struct treatment_problem *problem,
                                      struct coil_treatment_plan *plan,
                                      const char **out_field)
{
    const struct coil_treatment_input *in = problem->input;
    struct treatment_water fill;
    struct coil_constants unused;
    enum coil_status status = COIL_OK;
    double part, at_once = in->replace_at_once_max_fraction;
    int count, i;

    if (in->knows_fill)
        status = water_of(&in->fill, in->source, &unused, &fill, out_field);
    if (status < 0)
        return refuse(status, "fill", out_field);
    plan->replace_fraction =
        replace_fraction(problem, in->knows_fill ? &fill : NULL, plan);
    if (!(plan->replace_fraction > 0) || plan->replace_is_least)
        return COIL_OK;
    count = at_once < 1
                ? (int)ceil(log1p(-plan->replace_fraction) / log1p(-at_once) - 1e-9)
                : 1;
    count = count > 8 ? 8 : count < 1 ? 1 : count;
    part = 1 - pow(1 - plan->replace_fraction, 1.0 / count);
    for (i = 0; i < count && status >= 0; i++) {
        struct coil_treatment_step *step = treatment_step_add(plan, COIL_STEP_REPLACE);

        step->part = i + 1;
        step->part_count = count;
        status = replace_once(problem, &fill, part, plan, step);
    }
    return status;
}

/* ---- chlorine above its range ---- */

/* Neutralisers of the shed; sulfite's reaction is known, thiosulfate's lies between
 * two. Both are taken only far above the range, since light does it for nothing. */
static const struct coil_shed_item *
neutraliser_of(const struct coil_treatment_input *in)
{
    const struct coil_shed_item *found = NULL;
    int i;

    for (i = 0; i < in->shed_count; i++) {
        const struct coil_shed_item *item = &in->shed[i];

        if (!(item->amount_left > 0) || !(item->strength_percent > 0))
            continue;
        if (item->product == COIL_SODIUM_SULFITE)
            return item;
        if (item->product == COIL_SODIUM_THIOSULFATE)
            found = item;
    }
    return found;
}

static double chlorine_target(const struct coil_wanted *wanted)
{
    return wanted->high - 0.25 * (wanted->high - wanted->low);
}

static enum coil_status neutralise(struct treatment_problem *problem,
                                   const struct coil_shed_item *item, double fall,
                                   struct coil_treatment_plan *plan)
{
    const struct coil_treatment_input *in = problem->input;
    struct coil_treatment_step *step;
    struct coil_dose one, dose;
    struct treatment_water after = problem->water;
    double takes = item->product == COIL_SODIUM_SULFITE ? 1 : 4; /* Cl per mol */
    double mol = fall / (1000 * COIL_CHLORINE_G_PER_MOL) / takes, amount, grain;
    enum coil_status status = coil_dose_from_product(
        item->product, 1, item->strength_percent, in->volume_m3, &one);

    if (status < 0)
        return status;
    grain = treatment_measure_step(in, item->product, item->measure_step);
    amount = floor(mol / one.parts[0].mol_per_kg / grain) * grain;
    if (!(amount > 0))
        return COIL_OK;
    amount = fmin(amount, item->amount_left);
    coil_dose_from_product(item->product, amount, item->strength_percent, in->volume_m3,
                           &dose);
    status = coil_dose_apply(&problem->water.closed, &dose, &after.closed);
    step = status == COIL_OK ? treatment_step_add(plan, COIL_STEP_DOSE) : NULL;
    if (step == NULL)
        return status;
    step->product = item->product;
    step->shed_id = item->id;
    step->amount = amount;
    step->strength_percent = item->strength_percent;
    step->wait_h = 1; /* common practice, no source */
    step->test_after = true;
    problem->water = after;
    return treatment_step_close(problem, &after, plan, step);
}

static enum coil_status wait_for_chlorine(struct treatment_problem *problem,
                                          struct coil_treatment_plan *plan)
{
    const struct coil_wanted *wanted = &problem->input->wanted[COIL_AIM_CHLORINE];
    double value = treatment_linear(&problem->water, COIL_AIM_CHLORINE);
    struct treatment_water after = problem->water;
    struct coil_treatment_step *step;
    enum coil_status status = coil_chlorine_spend(
        &problem->water.closed, 1 - chlorine_target(wanted) / value, &after.closed);

    step = status == COIL_OK ? treatment_step_add(plan, COIL_STEP_WAIT) : NULL;
    if (step == NULL)
        return status;
    step->test_after = true;
    problem->water = after;
    return treatment_step_close(problem, &after, plan, step);
}

/* What lower_chlorine left for the end. */
static enum coil_status end_with_wait(struct treatment_problem *problem,
                                      struct coil_treatment_plan *plan)
{
    const struct coil_wanted *wanted = &problem->input->wanted[COIL_AIM_CHLORINE];

    if (!wanted->is_set || plan->is_cut ||
        !(treatment_linear(&problem->water, COIL_AIM_CHLORINE) > wanted->high))
        return COIL_OK;
    plan->outcome[COIL_AIM_CHLORINE] = COIL_AIM_WAITS;
    return wait_for_chlorine(problem, plan);
}

static enum coil_status lower_chlorine(struct treatment_problem *problem,
                                       struct coil_treatment_plan *plan)
{
    const struct coil_treatment_input *in = problem->input;
    const struct coil_wanted *wanted = &in->wanted[COIL_AIM_CHLORINE];
    double value = treatment_linear(&problem->water, COIL_AIM_CHLORINE);
    const struct coil_shed_item *item = neutraliser_of(in);
    enum coil_status status = COIL_OK;

    if (!wanted->is_set || !(value > wanted->high))
        return COIL_OK;
    if (value <= in->heater_chlorine_high_mg_per_l)
        return COIL_OK; /* a little too much need not keep the rest waiting */
    plan->outcome[COIL_AIM_CHLORINE] = COIL_AIM_WAITS;
    if (item != NULL && value > 2 * wanted->high) {
        status = neutralise(problem, item, value - chlorine_target(wanted), plan);
        if (status < 0 ||
            treatment_linear(&problem->water, COIL_AIM_CHLORINE) <= wanted->high) {
            plan->outcome[COIL_AIM_CHLORINE] = COIL_AIM_REACHED;
            return status;
        }
    }
    return wait_for_chlorine(problem, plan);
}

/* ---- the search's bounds ---- */

static double half_step(const struct coil_treatment_input *in, enum coil_aim aim)
{
    const struct coil_saturation_steps *s = &in->steps;

    switch (aim) {
    case COIL_AIM_PH:
        return s->ph / 2;
    case COIL_AIM_ALKALINITY:
        return s->total_alkalinity_mg_per_l_caco3 / 2;
    case COIL_AIM_CALCIUM:
        return s->calcium_hardness_mg_per_l_caco3 / 2;
    case COIL_AIM_CHLORINE:
        return in->chlorine_step_mg_per_l / 2;
    case COIL_AIM_CYANURIC_ACID:
        return s->cyanuric_acid_mg_per_l / 2;
    case COIL_AIM_SALT:
        return s->salt_mg_per_l_nacl / 2;
    default:
        return s->borate_mg_per_l_b / 2;
    }
}

static void bound_aim(struct treatment_problem *problem, enum coil_aim aim,
                      double value)
{
    const struct coil_wanted *w = &problem->input->wanted[aim];
    double inside = 0.25 * (w->high - w->low);
    double slack = half_step(problem->input, aim);

    problem->low[aim] = -INFINITY;
    problem->high[aim] = INFINITY;
    if (!w->is_set)
        return;
    problem->is_raised[aim] = value < w->low;
    problem->driven[aim] =
        value < w->low ||
        (value > w->high && !only_replacing_lowers(aim) && aim != COIL_AIM_CHLORINE);
    if (problem->driven[aim]) {
        problem->low[aim] = w->low + inside;
        problem->high[aim] = w->high - inside;
        /* What a product of its own raises is not raised further than asked, just
         * because that shifts pH a little. */
        if (problem->is_raised[aim] && aim != COIL_AIM_PH && aim != COIL_AIM_ALKALINITY)
            problem->high[aim] = problem->low[aim] + 0.1 * (w->high - w->low);
    } else { /* one that stays too high may not rise further */
        problem->low[aim] = w->low - slack / 2; /* rounding wants the rest */
        problem->high[aim] = fmax(w->high, value) + slack / 2;
    }
}

static enum coil_status bound_all(struct treatment_problem *problem)
{
    struct coil_equilibrium solved;
    enum coil_status status =
        coil_closed_solve(&problem->constants, &problem->water.closed, &solved);
    int i;

    if (status < 0)
        return status;
    for (i = 0; i < COIL_AIM_COUNT; i++)
        bound_aim(problem, (enum coil_aim)i,
                  i == COIL_AIM_PH
                      ? solved.ph
                      : treatment_linear(&problem->water, (enum coil_aim)i));
    return status;
}

static bool any_driven(const struct treatment_problem *problem)
{
    int i;

    for (i = 0; i < COIL_AIM_COUNT; i++) {
        if (problem->driven[i])
            return true;
    }
    return false;
}

/* ---- the whole ---- */

static void judge_aim(const struct treatment_problem *problem, enum coil_aim aim,
                      const struct treatment_set *set, struct coil_treatment_plan *plan)
{
    const struct coil_wanted *w = &problem->input->wanted[aim];
    double end = plan->end.value[aim], slack = half_step(problem->input, aim);
    bool inside = end >= w->low - slack - 1e-9 && end <= w->high + slack + 1e-9;

    if (!w->is_set)
        plan->outcome[aim] = COIL_AIM_NOT_WANTED;
    else if (plan->outcome[aim] != COIL_AIM_NOT_WANTED)
        return; /* settled before */
    else if (plan->is_cut)
        plan->outcome[aim] =
            problem->driven[aim] ? COIL_AIM_REACHED : COIL_AIM_IN_RANGE;
    else if (inside)
        plan->outcome[aim] = problem->driven[aim] && plan->step_count > 0
                                 ? COIL_AIM_REACHED
                                 : COIL_AIM_IN_RANGE;
    else if (set->is_found && (problem->driven[aim] || !set->is_relaxed))
        plan->outcome[aim] = COIL_AIM_TOO_SMALL;
    else
        plan->outcome[aim] = COIL_AIM_NOT_REACHED;
}

static double band_of(const struct treatment_problem *problem, double rise_k,
                      double model)
{
    const struct coil_treatment_input *in = problem->input;
    struct coil_saturation_band band;
    enum coil_status status;

    if (!in->knows_calcium || !(in->water.calcium_hardness_mg_per_l_caco3 > 0))
        return NAN;
    status =
        coil_saturation_band(&in->water, &in->steps, in->source, rise_k, model, &band);
    return status >= 0 ? band.half_width : NAN;
}

static enum coil_status make_steps(struct treatment_problem *problem,
                                   struct coil_treatment_plan *plan,
                                   struct treatment_set *set)
{
    enum coil_status status = bound_all(problem);

    if (status < 0)
        return status;
    if (any_driven(problem)) {
        treatment_candidates(problem);
        treatment_search(problem, set);
        plan->sets_tried = set->tried;
        treatment_steps(problem, set, plan);
    }
    return COIL_OK;
}

enum coil_status coil_treatment_plan(const struct coil_treatment_input *input,
                                     struct coil_treatment_plan *out,
                                     const char **out_field)
{
    struct treatment_problem problem;
    struct coil_treatment_plan plan = {0};
    struct treatment_set set = {0};
    enum coil_status status = problem_init(input, &problem, out_field);
    int i;

    if (status >= 0)
        status = treatment_state_of(&problem, &problem.water, &plan.start);
    if (status < 0)
        return status;
    plan.end = plan.start;
    status = replace_water(&problem, &plan, out_field);
    if (status >= 0)
        status = lower_chlorine(&problem, &plan);
    if (status >= 0)
        status = make_steps(&problem, &plan, &set);
    if (status >= 0)
        status = end_with_wait(&problem, &plan);
    if (status < 0)
        return status;
    for (i = 0; i < COIL_AIM_COUNT; i++)
        judge_aim(&problem, (enum coil_aim)i, &set, &plan);
    plan.si_pool_half_width = band_of(&problem, 0, COIL_SATURATION_MODEL_POOL);
    plan.si_surface_half_width =
        band_of(&problem, input->surface_rise_k, COIL_SATURATION_MODEL_FILM);
    plan.is_outside_source = problem.is_outside_source;
    *out = plan;
    return problem.is_outside_source ? COIL_WARN_RANGE : COIL_OK;
}
