/* Which products, and how much of each: the least troublesome set that brings all
 * wanted values together. */
#include <math.h>
#include <stddef.h>

#include "treatment_private.h"

/* CO2 that can leave ends here: air of 427 ppm [noaa-co2]. */
#define AIR_ATM 427e-6

/* Weights: a trip to the shop outweighs three products; a product outweighs what it
 * leaves behind. A choice of ours. */
#define TROUBLE_TO_BUY 10.0
#define TROUBLE_PRODUCT 3.0
#define TROUBLE_PART 0.3

/* What a product is worth avoiding for, beside its effects that the bounds judge:
 * danger, slowness, salts that stay. A choice of ours. */
struct bother {
    enum coil_product product;
    double trouble;
};

static const struct bother BOTHERS[] = {
    {COIL_CALCIUM_HYPOCHLORITE, 0.5}, /* must be dissolved first */
    {COIL_LITHIUM_HYPOCHLORITE, 0.5},
    {COIL_DICHLOR, 0.5},
    {COIL_TRICHLOR, 4}, /* dissolves over days */
    {COIL_CHLORINE_GAS, 8},
    {COIL_SODIUM_BISULFATE, 0.5}, /* leaves sulfate */
    {COIL_CARBON_DIOXIDE, 1},
    {COIL_SODIUM_HYDROXIDE, 4},
    {COIL_SODIUM_SESQUICARBONATE, 0.2},
    {COIL_BORAX, 2}, /* leaves borate */
    {COIL_BORIC_ACID, 2},
};

/* Bought where the shed has none. */
static const enum coil_product SOLD[] = {
    COIL_HYDROCHLORIC_ACID, COIL_SODIUM_CARBONATE,    COIL_SODIUM_BICARBONATE,
    COIL_CALCIUM_CHLORIDE,  COIL_SODIUM_HYPOCHLORITE, COIL_CYANURIC_ACID_PRODUCT,
    COIL_SODIUM_CHLORIDE,   COIL_BORIC_ACID,
};

static double bother_of(enum coil_product product)
{
    size_t i;

    for (i = 0; i < sizeof BOTHERS / sizeof *BOTHERS; i++) {
        if (BOTHERS[i].product == product)
            return BOTHERS[i].trouble;
    }
    return 0;
}

/* Stabilised chlorine, where nobody wants cyanuric acid, is the last resort. */
static double bother_in(const struct coil_treatment_input *in,
                        enum coil_product product)
{
    bool stabilises = product == COIL_TRICHLOR || product == COIL_DICHLOR;

    return bother_of(product) +
           (stabilises && !in->wanted[COIL_AIM_CYANURIC_ACID].is_set ? 20 : 0);
}

static bool brings_chlorine(enum coil_product product)
{
    const struct coil_product_info *info = coil_product_info(product);

    return info != NULL && info->is_chlorine;
}

/* ---- candidates ---- */

enum coil_status treatment_put(const struct treatment_water *water,
                               const struct treatment_candidate *candidate,
                               double units, struct treatment_water *out)
{
    struct treatment_water next = *water;
    struct coil_dose dose = candidate->unit;
    enum coil_status status = COIL_OK;
    int i;

    if (candidate->is_aeration) {
        next.closed.dic_mol_per_kg -= units * TREATMENT_UNIT_MOL_PER_KG;
        if (!(next.closed.dic_mol_per_kg > 0))
            return COIL_ERR_NO_SOLUTION;
    }
    for (i = 0; i < dose.count; i++)
        dose.parts[i].mol_per_kg *= units;
    if (dose.count > 0)
        status = coil_dose_apply(&next.closed, &dose, &next.closed);
    if (status == COIL_OK)
        *out = next;
    return status;
}

/* Alkalinity of a water above that which its carbon and totals give at a pH, eq/kg. */
static enum coil_status above_ph(const struct treatment_problem *problem,
                                 const struct treatment_water *water, double ph,
                                 double *out_eq_per_kg)
{
    struct coil_equilibrium solved;
    enum coil_status status = coil_equilibrium_solve(
        &problem->constants, &water->closed.totals, COIL_GIVEN_PH_DIC, ph,
        water->closed.dic_mol_per_kg, &solved);

    if (status >= 0)
        *out_eq_per_kg =
            water->closed.alkalinity_eq_per_kg - solved.alkalinity_eq_per_kg;
    return status;
}

static double middle_ph(const struct treatment_problem *problem)
{
    const struct coil_wanted *w = &problem->input->wanted[COIL_AIM_PH];

    return w->is_set ? (w->low + w->high) / 2 : 7.5;
}

static bool fill_effects(const struct treatment_problem *problem,
                         struct treatment_candidate *c)
{
    struct treatment_water dosed;
    double before, after, ph = middle_ph(problem);
    int i;

    if (treatment_put(&problem->water, c, 1, &dosed) != COIL_OK ||
        above_ph(problem, &problem->water, ph, &before) < 0 ||
        above_ph(problem, &dosed, ph, &after) < 0)
        return false;
    for (i = 0; i < COIL_AIM_COUNT; i++)
        c->effect[i] = i == COIL_AIM_PH
                           ? after - before
                           : treatment_linear(&dosed, (enum coil_aim)i) -
                                 treatment_linear(&problem->water, (enum coil_aim)i);
    for (i = 0; i < COIL_AIM_COUNT; i++) {
        double least = i == COIL_AIM_PH ? 1e-7 : 0.05; /* side effects are no help */

        if (problem->driven[i] &&
            (problem->is_raised[i] ? c->effect[i] > least : c->effect[i] < -least))
            c->helps |= 1u << i;
    }
    return true;
}

static void add_candidate(struct treatment_problem *problem,
                          struct treatment_candidate candidate)
{
    struct coil_dose one;

    if (problem->candidate_count == CANDIDATES_MAX)
        return;
    if (!candidate.is_aeration) {
        candidate.measure_step = treatment_measure_step(
            problem->input, candidate.product, candidate.measure_step);
        if (coil_dose_from_product(candidate.product, 1, candidate.strength_percent,
                                   problem->input->volume_m3, &one) < 0 ||
            !(one.parts[0].mol_per_kg > 0))
            return;
        candidate.unit_amount = TREATMENT_UNIT_MOL_PER_KG / one.parts[0].mol_per_kg;
        coil_dose_from_product(candidate.product, candidate.unit_amount,
                               candidate.strength_percent, problem->input->volume_m3,
                               &candidate.unit);
    }
    if (fill_effects(problem, &candidate))
        problem->candidates[problem->candidate_count++] = candidate;
}

/* Chlorine products only where chlorine is wanted; neutralisers and oxidisers are no
 * part of the search. */
static bool is_searched(const struct treatment_problem *problem,
                        enum coil_product product)
{
    switch (product) {
    case COIL_BROMINE_TABLETS:
    case COIL_MONOPERSULFATE:
    case COIL_SODIUM_THIOSULFATE:
    case COIL_SODIUM_SULFITE:
    case COIL_OTHER_PRODUCT:
        return false;
    default:
        return !brings_chlorine(product) ||
               problem->input->wanted[COIL_AIM_CHLORINE].is_set;
    }
}

static bool is_in_list(const struct treatment_problem *problem,
                       enum coil_product product)
{
    int i;

    for (i = 0; i < problem->candidate_count; i++) {
        if (problem->candidates[i].product == product)
            return true;
    }
    return false;
}

/* Air costs nothing but days. While the water is too acid for the heater those days are
 * worth a trip to the shop. */
static double trouble_of_air(const struct treatment_problem *problem)
{
    struct coil_equilibrium now;

    if (coil_closed_solve(&problem->constants, &problem->water.closed, &now) >= 0 &&
        now.ph < problem->input->heater_ph_low)
        return TROUBLE_TO_BUY + TROUBLE_PRODUCT + 1;
    return 5;
}

void treatment_candidates(struct treatment_problem *problem)
{
    const struct coil_treatment_input *in = problem->input;
    size_t k;
    int i;

    problem->candidate_count = 0;
    add_candidate(problem,
                  (struct treatment_candidate){.is_aeration = true,
                                               .shed_id = -1,
                                               .trouble = trouble_of_air(problem)});
    for (i = 0; i < in->shed_count; i++) {
        const struct coil_shed_item *item = &in->shed[i];

        if (is_searched(problem, item->product) && item->amount_left > 0)
            add_candidate(problem, (struct treatment_candidate){
                                       .product = item->product,
                                       .shed_id = item->id,
                                       .strength_percent = item->strength_percent,
                                       .amount_left = item->amount_left,
                                       .measure_step = item->measure_step,
                                       .trouble = bother_in(in, item->product)});
    }
    for (k = 0; k < sizeof SOLD / sizeof *SOLD; k++) {
        if (!is_in_list(problem, SOLD[k]) && is_searched(problem, SOLD[k]))
            add_candidate(problem, (struct treatment_candidate){
                                       .product = SOLD[k],
                                       .strength_percent =
                                           coil_product_info(SOLD[k])->strength_percent,
                                       .trouble = bother_of(SOLD[k])});
    }
}

/* ---- one set: amounts within bounds ---- */

/* Values against their bounds; for pH the alkalinity above that of its lower end. */
struct fit {
    const struct treatment_problem *problem;
    const int *member;
    int count;
    double value[COIL_AIM_COUNT];
    double low[COIL_AIM_COUNT], high[COIL_AIM_COUNT];
    double scale[COIL_AIM_COUNT];
};

static double miss(const struct fit *fit, int aim)
{
    if (fit->value[aim] < fit->low[aim])
        return (fit->value[aim] - fit->low[aim]) / fit->scale[aim];
    if (fit->value[aim] > fit->high[aim])
        return (fit->value[aim] - fit->high[aim]) / fit->scale[aim];
    return 0;
}

static double effect_of(const struct fit *fit, int j, int aim)
{
    return fit->problem->candidates[fit->member[j]].effect[aim] / fit->scale[aim];
}

static double sum_of_squares(const struct fit *fit)
{
    double sum = 0, m;
    int i;

    for (i = 0; i < COIL_AIM_COUNT; i++) {
        m = miss(fit, i);
        sum += m * m;
    }
    return sum;
}

/* The water with these amounts against the bounds, by the equilibrium. */
static enum coil_status fit_at(struct fit *fit, const double *units,
                               struct treatment_water *out_water)
{
    const struct treatment_problem *p = fit->problem;
    struct treatment_water water = p->water;
    enum coil_status status = COIL_OK;
    double low = 0, high = 0;
    int i;

    for (i = 0; i < fit->count && status == COIL_OK; i++)
        status =
            treatment_put(&water, &p->candidates[fit->member[i]], units[i], &water);
    if (status != COIL_OK)
        return status;
    for (i = 0; i < COIL_AIM_COUNT; i++) {
        if (i == COIL_AIM_PH)
            continue;
        fit->value[i] = treatment_linear(&water, (enum coil_aim)i);
        fit->low[i] = p->low[i];
        fit->high[i] = p->high[i];
    }
    fit->value[COIL_AIM_PH] = 0;
    fit->low[COIL_AIM_PH] = -INFINITY;
    fit->high[COIL_AIM_PH] = INFINITY;
    if (p->input->wanted[COIL_AIM_PH].is_set) {
        status = above_ph(p, &water, p->low[COIL_AIM_PH], &low);
        if (status >= 0)
            status = above_ph(p, &water, p->high[COIL_AIM_PH], &high);
        fit->value[COIL_AIM_PH] = low;
        fit->low[COIL_AIM_PH] = 0;
        fit->high[COIL_AIM_PH] = fmax(low - high, 0);
    }
    *out_water = water;
    return status;
}

/* Solves the damped normal equations of the free members, in place; n <= SET_MAX. */
static void solve_small(double a[SET_MAX][SET_MAX], double *b, int n)
{
    int i, j, k;

    for (k = 0; k < n; k++) {
        for (i = k + 1; i < n; i++) {
            double f = a[i][k] / a[k][k];

            for (j = k; j < n; j++)
                a[i][j] -= f * a[k][j];
            b[i] -= f * b[k];
        }
    }
    for (k = n - 1; k >= 0; k--) {
        for (j = k + 1; j < n; j++)
            b[k] -= a[k][j] * b[j];
        b[k] /= a[k][k];
    }
}

/* A step under way: which bounds it looks at, which members may still move. */
struct stride {
    double to_bound[COIL_AIM_COUNT]; /* in parts of the scale */
    bool is_active[COIL_AIM_COUNT];
    bool is_fixed[SET_MAX];
};

/* Least squares of the active bounds by the members that move; fixed ones go to 0. */
static void stride_solve(const struct fit *fit, const struct stride *stride,
                         const double *units, double *out_step)
{
    double a[SET_MAX][SET_MAX], b[SET_MAX];
    int moving[SET_MAX], n = 0, i, j, aim;

    for (j = 0; j < fit->count; j++) {
        out_step[j] = stride->is_fixed[j] ? -units[j] : 0;
        if (!stride->is_fixed[j])
            moving[n++] = j;
    }
    for (i = 0; i < n; i++) {
        b[i] = 0;
        for (j = 0; j < n; j++)
            a[i][j] = i == j ? 1e-9 : 0;
        for (aim = 0; aim < COIL_AIM_COUNT; aim++) {
            double e = effect_of(fit, moving[i], aim), left;

            if (!stride->is_active[aim])
                continue;
            left = stride->to_bound[aim];
            for (j = 0; j < fit->count; j++)
                left -= stride->is_fixed[j] ? effect_of(fit, j, aim) * out_step[j] : 0;
            b[i] += e * left;
            for (j = 0; j < n; j++)
                a[i][j] += e * effect_of(fit, moving[j], aim);
        }
    }
    solve_small(a, b, n);
    for (i = 0; i < n; i++)
        out_step[moving[i]] = b[i];
}

/* Takes in the bounds that the step would break and fixes members that it would take
 * below nothing. False when there was nothing to mend. */
static bool stride_mend(const struct fit *fit, struct stride *stride,
                        const double *units, const double *step)
{
    bool changed = false;
    int j, aim;

    for (j = 0; j < fit->count; j++) {
        if (!stride->is_fixed[j] && units[j] + step[j] < -1e-12) {
            stride->is_fixed[j] = true;
            changed = true;
        }
    }
    for (aim = 0; aim < COIL_AIM_COUNT; aim++) {
        struct fit after = *fit;

        if (stride->is_active[aim])
            continue;
        for (j = 0; j < fit->count; j++)
            after.value[aim] += effect_of(fit, j, aim) * step[j] * fit->scale[aim];
        if (fabs(miss(&after, aim)) > 1e-9) {
            stride->to_bound[aim] =
                (miss(&after, aim) < 0 ? fit->low[aim] - fit->value[aim]
                                       : fit->high[aim] - fit->value[aim]) /
                fit->scale[aim];
            stride->is_active[aim] = true;
            changed = true;
        }
    }
    return changed;
}

/* The step that brings all missed values to their bounds and breaks no other, as far as
 * the members can. */
static void newton_step(const struct fit *fit, const double *units, double *out_step)
{
    struct stride stride = {0};
    int aim, round;

    for (aim = 0; aim < COIL_AIM_COUNT; aim++) {
        stride.to_bound[aim] = -miss(fit, aim);
        stride.is_active[aim] = stride.to_bound[aim] != 0;
    }
    for (round = 0; round < COIL_AIM_COUNT + SET_MAX; round++) {
        stride_solve(fit, &stride, units, out_step);
        if (!stride_mend(fit, &stride, units, out_step))
            return;
    }
}

/* Goes a share of a step, not below nothing; values follow linearly. */
static void go(struct fit *fit, double *units, const double *step, double share)
{
    int j, aim;

    for (j = 0; j < fit->count; j++) {
        double next = fmax(units[j] + share * step[j], 0);

        for (aim = 0; aim < COIL_AIM_COUNT; aim++)
            fit->value[aim] +=
                (next - units[j]) * effect_of(fit, j, aim) * fit->scale[aim];
        units[j] = next;
    }
}

#define HOLDS 1e-10 /* sum of squared misses, in parts of the ranges */

/* Least misses of the linear problem. True when all hold. */
static bool fit_linear(struct fit *fit, double *units)
{
    double step[SET_MAX], best = sum_of_squares(fit);
    int round, halving, j;

    for (round = 0; round < 10 && best > HOLDS; round++) {
        struct fit at = *fit;
        double from[SET_MAX], share = 1, now = best;

        for (j = 0; j < fit->count; j++)
            from[j] = units[j];
        newton_step(fit, units, step);
        for (halving = 0; halving < 5; halving++, share /= 2) {
            *fit = at;
            for (j = 0; j < fit->count; j++)
                units[j] = from[j];
            go(fit, units, step, share);
            now = sum_of_squares(fit);
            if (now < best)
                break;
        }
        if (!(now < best * 0.9999))
            return now <= HOLDS;
        best = now;
    }
    return best <= HOLDS;
}

static void fit_open(struct fit *fit, const struct treatment_problem *problem,
                     const int *member, int count)
{
    struct coil_equilibrium solved;
    int i;

    fit->problem = problem;
    fit->member = member;
    fit->count = count;
    for (i = 0; i < COIL_AIM_COUNT; i++) {
        double width = problem->high[i] - problem->low[i];

        fit->scale[i] = isfinite(width) && width > 1 ? width : 1;
    }
    /* pH: the alkalinity of a tenth, from the water as it stands. */
    fit->scale[COIL_AIM_PH] = 2e-5;
    if (coil_closed_solve(&problem->constants, &problem->water.closed, &solved) >= 0)
        fit->scale[COIL_AIM_PH] =
            0.1 * coil_equilibrium_buffer_capacity(
                      &problem->constants, &problem->water.closed.totals, &solved) +
            1e-6;
}

/* CO2 leaves only down to what air holds. */
static bool air_allows(const struct treatment_problem *problem,
                       const struct treatment_water *water)
{
    struct coil_equilibrium solved;

    return coil_closed_solve(&problem->constants, &water->closed, &solved) >= 0 &&
           solved.pco2_atm >= AIR_ATM;
}

/* Amounts of a set, by the equilibrium; false when the set cannot do it. */
static bool fit_set(const struct fit *open, double *units)
{
    struct fit fit = *open;
    struct treatment_water water;
    bool aerates = false;
    int round, j;

    for (j = 0; j < fit.count; j++) {
        units[j] = 0;
        aerates |= fit.problem->candidates[fit.member[j]].is_aeration;
    }
    for (round = 0; round < 8; round++) {
        if (fit_at(&fit, units, &water) < 0)
            return false;
        if (sum_of_squares(&fit) <= 1e-6)
            return !aerates || air_allows(fit.problem, &water);
        if (!fit_linear(&fit, units))
            return false;
    }
    return false;
}

/* ---- all sets ---- */

static double parts_of(const struct treatment_problem *problem,
                       const struct treatment_candidate *c, double units)
{
    const struct coil_dose_limits *l = &problem->input->limits;
    double alkalinity = c->effect[COIL_AIM_ALKALINITY] * units;
    double chlorine = c->effect[COIL_AIM_CHLORINE] * units;
    double calcium = c->effect[COIL_AIM_CALCIUM] * units;
    double parts = 1;

    if (c->is_aeration)
        return 1;
    if (brings_chlorine(c->product))
        return fmax(ceil(chlorine / l->chlorine_mg_per_l), 1);
    parts = fmax(parts, ceil(calcium / l->calcium_mg_per_l_caco3));
    if (alkalinity < 0)
        parts = fmax(parts, ceil(-alkalinity / l->acid_mg_per_l_caco3));
    else if (c->product == COIL_SODIUM_BICARBONATE)
        parts = fmax(parts, ceil(alkalinity / l->bicarbonate_mg_per_l_caco3));
    else
        parts = fmax(parts, ceil(alkalinity / l->carbonate_mg_per_l_caco3));
    return parts;
}

/* What must be borne whatever the amounts. */
static double least_trouble(const struct treatment_problem *problem, const int *member,
                            int count)
{
    double trouble = 0;
    int i;

    for (i = 0; i < count; i++) {
        const struct treatment_candidate *c = &problem->candidates[member[i]];

        trouble += c->trouble + (c->is_aeration ? 0 : TROUBLE_PRODUCT) +
                   (c->shed_id == 0 ? TROUBLE_TO_BUY : 0);
    }
    return trouble;
}

static double full_trouble(const struct treatment_problem *problem, const int *member,
                           int count, const double *units)
{
    double trouble = least_trouble(problem, member, count);
    int i;

    for (i = 0; i < count; i++) {
        const struct treatment_candidate *c = &problem->candidates[member[i]];

        if (c->shed_id > 0 && units[i] * c->unit_amount > c->amount_left)
            trouble += TROUBLE_TO_BUY;
        trouble += TROUBLE_PART * (parts_of(problem, c, units[i]) - 1);
        /* What stays in the water: salt and sulfate by their mass, 100 mg/L as a part.
         */
        trouble += units[i] * fmax(c->effect[COIL_AIM_SALT], 0) / 1000;
        if (!problem->driven[COIL_AIM_CYANURIC_ACID])
            trouble += units[i] * fmax(c->effect[COIL_AIM_CYANURIC_ACID], 0) / 5;
        if (!problem->driven[COIL_AIM_CALCIUM])
            trouble += units[i] * fmax(c->effect[COIL_AIM_CALCIUM], 0) / 50;
    }
    return trouble;
}

/* Never one product twice, never two kinds of chlorine: dry ones explode together. */
static bool is_allowed(const struct treatment_problem *problem, const int *member,
                       int count)
{
    int i, j;

    for (i = 0; i < count; i++) {
        for (j = i + 1; j < count; j++) {
            enum coil_product a = problem->candidates[member[i]].product;
            enum coil_product b = problem->candidates[member[j]].product;

            if (a == b || (brings_chlorine(a) && brings_chlorine(b)))
                return false;
        }
    }
    return true;
}

static void try_set(const struct treatment_problem *problem, struct fit *fit,
                    const int *member, int count, struct treatment_set *best)
{
    double units[SET_MAX], trouble;
    int i;

    if (!is_allowed(problem, member, count) ||
        (best->is_found && least_trouble(problem, member, count) >= best->trouble))
        return;
    best->tried++;
    fit->member = member;
    fit->count = count;
    if (!fit_set(fit, units))
        return;
    trouble = full_trouble(problem, member, count, units);
    if (best->is_found && trouble >= best->trouble)
        return;
    best->is_found = true;
    best->trouble = trouble;
    best->count = count;
    for (i = 0; i < count; i++) {
        best->member[i] = member[i];
        best->units[i] = units[i];
    }
}

/* All sets of `left` more members from `next` on, whose help covers every driven aim.
 */
static void try_from(const struct treatment_problem *problem, struct fit *fit,
                     const int *list, int list_count, int next, int *member, int count,
                     int left, unsigned needed, struct treatment_set *best)
{
    int i;

    if (left == 0) {
        if (needed == 0)
            try_set(problem, fit, member, count, best);
        return;
    }
    for (i = next; i + left <= list_count; i++) {
        member[count] = list[i];
        try_from(problem, fit, list, list_count, i + 1, member, count + 1, left - 1,
                 needed & ~problem->candidates[list[i]].helps, best);
    }
}

static void search(const struct treatment_problem *problem, unsigned touching,
                   struct treatment_set *best)
{
    struct fit fit;
    int list[CANDIDATES_MAX], member[SET_MAX], count = 0, size, i;
    unsigned needed = 0;

    for (i = 0; i < COIL_AIM_COUNT; i++)
        needed |= problem->driven[i] ? 1u << i : 0;
    for (i = 0; i < problem->candidate_count; i++) {
        const struct treatment_candidate *c = &problem->candidates[i];

        if (c->helps != 0 ||
            ((touching >> COIL_AIM_PH & 1u) && fabs(c->effect[COIL_AIM_PH]) > 2e-5 &&
             !brings_chlorine(c->product)))
            list[count++] = i;
    }
    fit_open(&fit, problem, member, 0);
    for (size = 1; size <= SET_MAX; size++) {
        if (best->is_found && size * TROUBLE_PRODUCT >= best->trouble)
            break;
        try_from(problem, &fit, list, count, 0, member, 0, size, needed, best);
    }
}

/* First with what helps; then with acids and bases that mend what the others spoil; at
 * last anywhere in the wanted ranges, and without the bounds of values that were well
 * before, but pH. */
void treatment_search(struct treatment_problem *problem, struct treatment_set *out)
{
    int i;

    *out = (struct treatment_set){0};
    search(problem, 0, out);
    if (!out->is_found)
        search(problem, 1u << COIL_AIM_PH, out);
    if (out->is_found)
        return;
    for (i = 0; i < COIL_AIM_COUNT; i++) {
        if (problem->driven[i]) {
            problem->low[i] = problem->input->wanted[i].low;
            problem->high[i] = problem->input->wanted[i].high;
        } else if (i != COIL_AIM_PH) {
            problem->low[i] = -INFINITY;
            problem->high[i] = INFINITY;
        }
    }
    search(problem, 1u << COIL_AIM_PH, out);
    out->is_relaxed = out->is_found;
}
