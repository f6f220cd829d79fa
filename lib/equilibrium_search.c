#include "equilibrium_search.h"

#include <math.h>

#define LN_10 2.302585092994045684
#define WATER_ACTIVITY_SLOPE 0.017 /* [phreeqc-3] */
#define QUICK_STEPS_MAX 10
#define OUTER_STEPS_MAX 120
#define SECANT_STEPS 8
#define WATER_STEPS_MAX 20
#define BISULFATE_STEPS_MAX 20
#define PH_STEPS_MAX 80
/* Relative; the pH then misses less than 1e-9. */
#define IONIC_STRENGTH_CLOSE 1e-8
#define WATER_ACTIVITY_CLOSE 1e-9
/* Relative step after which Newton's next error is nothing (squared). */
#define STEP_CLOSE 1e-6

/* Free bicarbonate beside CO2 of the given pressure. */
static double hco3_from_pressure(const struct coil_search *s)
{
    double co2 = s->constants->k_henry * s->pco2 / s->k.gamma_neutral;

    return co2 / (s->k.co2 * s->species.h);
}

/*
 * Quick passes: one Newton step in bicarbonate and ln h for each new ionic strength.
 */

/* Steps towards the given values; relative in bicarbonate. */
struct step {
    double hco3;
    double ln_h;
};

static struct step step_at_ph(struct coil_search *s)
{
    struct coil_species *f = &s->species;
    struct step step = {0, 0};
    double amount, got, slope;

    if (s->given == COIL_GIVEN_PH_PCO2) {
        step.hco3 = hco3_from_pressure(s) - f->hco3;
        return step;
    }
    if (s->given == COIL_GIVEN_PH_DIC) {
        amount = s->dic;
        got = coil_species_carbonate(&s->k, COIL_TARGET_DIC, f, &slope);
    } else {
        amount = s->alkalinity - coil_species_other_alkalinity(&s->k, f);
        got = coil_species_carbonate(&s->k, COIL_TARGET_ALKALINITY, f, &slope);
        slope += coil_species_bisulfate_slope(&s->k, f);
    }
    s->missing = amount < 0 ? -amount : 0;
    step.hco3 = amount > 0 ? (amount - got) / slope : -f->hco3;
    return step;
}

static struct step step_to_ph(const struct coil_search *s)
{
    const struct coil_species *f = &s->species;
    struct coil_species_slopes d;
    double alkalinity = s->alkalinity - coil_species_alkalinity(&s->k, f);
    double dic = s->dic - coil_species_dic(&s->k, f);
    double hco3;
    struct step step;

    coil_species_slopes(&s->k, f, &d);
    if (s->given == COIL_GIVEN_ALKALINITY_DIC) {
        double determinant =
            d.dic_by_hco3 * d.alkalinity_by_ln_h - d.alkalinity_by_hco3 * d.dic_by_ln_h;

        step.ln_h =
            (d.dic_by_hco3 * alkalinity - d.alkalinity_by_hco3 * dic) / determinant;
        step.hco3 = (dic - d.dic_by_ln_h * step.ln_h) / d.dic_by_hco3;
        return step;
    }
    /* CO2 is fixed: bicarbonate goes as 1/h, and is set exactly after the step. */
    hco3 = hco3_from_pressure(s);
    if (s->given == COIL_GIVEN_ALKALINITY_PCO2)
        step.ln_h = (alkalinity - d.alkalinity_by_hco3 * (hco3 - f->hco3)) /
                    (d.alkalinity_by_ln_h - d.alkalinity_by_hco3 * hco3);
    else
        step.ln_h = (dic - d.dic_by_hco3 * (hco3 - f->hco3)) /
                    (d.dic_by_ln_h - d.dic_by_hco3 * hco3);
    step.hco3 = hco3 * (1 - step.ln_h) - f->hco3;
    return step;
}

/* Takes the step and returns its size, relative; NaN when it leads nowhere. */
static double take_step(struct coil_search *s, struct step step)
{
    double hco3 = s->species.hco3 + step.hco3;
    double size = hco3 > 0 ? fabs(step.hco3) / hco3 : 0;

    if (step.ln_h != 0) {
        if (!(fabs(step.ln_h) < 4))
            return NAN;
        s->species.h *= exp(step.ln_h);
        if (fabs(step.ln_h) > size)
            size = fabs(step.ln_h);
    }
    if (!(hco3 >= 0))
        return NAN;
    s->species.hco3 = hco3;
    return size;
}

/* One pass at the search's ionic strength; gives the step's size. */
static double quick_pass(struct coil_search *s)
{
    struct step step;
    double size;

    coil_conditional_at(s->constants, s->ionic_strength, s->water_activity, &s->k);
    coil_species_find_chlorine(&s->k, &s->species);
    coil_species_find_metals(&s->k, &s->species);
    step = isnan(s->ph) ? step_to_ph(s) : step_at_ph(s);
    size = take_step(s, step);
    s->evaluations++;
    return size;
}

/* Metals and chlorine beside the last step. */
static void settle(struct coil_search *s)
{
    coil_species_find_metals(&s->k, &s->species);
    if (isnan(s->ph))
        coil_species_find_chlorine(&s->k, &s->species);
}

/*
 * Ionic strength by repetition with a secant, everything else beside it. Has no
 * bracket: COIL_ERR_NO_SOLUTION means that the careful search has to do it.
 */
static enum coil_status solve_quickly(struct coil_search *s)
{
    double guess_before = 0, excess_before = 0, found, solutes, size;
    int i;

    for (i = 0; i < QUICK_STEPS_MAX; i++) {
        double guess = s->ionic_strength, excess, rate;

        size = quick_pass(s);
        if (!(size < 1e3))
            return COIL_ERR_NO_SOLUTION;
        settle(s);
        coil_species_ionic_strength(&s->k, &s->species, &found, &solutes);
        excess = found - guess;
        solutes = 1 - WATER_ACTIVITY_SLOPE * solutes;
        if (size <= STEP_CLOSE && fabs(excess) <= IONIC_STRENGTH_CLOSE * found &&
            fabs(solutes - s->water_activity) <= WATER_ACTIVITY_CLOSE)
            return COIL_OK;
        s->water_activity = solutes > 0.8 ? solutes : 0.8;
        rate = i > 0 && guess != guess_before
                   ? (excess - excess_before) / (guess - guess_before)
                   : -1;
        if (!(rate < -0.5 && rate > -2))
            rate = -1;
        s->ionic_strength = guess - excess / rate;
        if (!(s->ionic_strength > 0 && s->ionic_strength < 10))
            return COIL_ERR_NO_SOLUTION;
        guess_before = guess;
        excess_before = excess;
    }
    return COIL_ERR_NO_SOLUTION;
}

/*
 * Careful search: each equation solved inside a bracket before the next one out.
 */

/* All species when pH is known. */
static void solve_at_ph(struct coil_search *s)
{
    struct coil_species *species = &s->species;
    double amount;
    int i;

    s->missing = 0;
    coil_species_find_chlorine(&s->k, species);
    if (s->given == COIL_GIVEN_PH_PCO2) {
        species->hco3 = hco3_from_pressure(s);
        coil_species_find_metals(&s->k, species);
        s->evaluations++;
        return;
    }
    if (s->given == COIL_GIVEN_PH_DIC) {
        s->evaluations +=
            coil_species_find_carbonate(&s->k, COIL_TARGET_DIC, s->dic, species);
        return;
    }
    /* HSO4- takes from what carbonate holds, which hardly acts back on it. */
    for (i = 0; i < BISULFATE_STEPS_MAX; i++) {
        double bisulfate = s->k.hso4 * species->sulfate * species->h;

        amount = s->alkalinity - coil_species_other_alkalinity(&s->k, species);
        s->missing = amount < 0 ? -amount : 0;
        s->evaluations +=
            coil_species_find_carbonate(&s->k, COIL_TARGET_ALKALINITY, amount, species);
        if (fabs(s->k.hso4 * species->sulfate * species->h - bisulfate) <=
            1e-14 * bisulfate)
            break;
    }
}

/* How far the species at ln h are from the given values, and the slope; falls. */
static double excess_at(struct coil_search *s, double ln_h, double *out_slope)
{
    struct coil_species *species = &s->species;
    struct coil_species_slopes slopes;
    double hco3_by_ln_h;

    species->h = exp(ln_h);
    coil_species_find_chlorine(&s->k, species);
    if (s->given == COIL_GIVEN_ALKALINITY_DIC) {
        s->evaluations +=
            coil_species_find_carbonate(&s->k, COIL_TARGET_DIC, s->dic, species);
        coil_species_slopes(&s->k, species, &slopes);
        hco3_by_ln_h = -slopes.dic_by_ln_h / slopes.dic_by_hco3;
    } else {
        species->hco3 = hco3_from_pressure(s);
        coil_species_find_metals(&s->k, species);
        coil_species_slopes(&s->k, species, &slopes);
        hco3_by_ln_h = -species->hco3;
        s->evaluations++;
    }
    if (s->given == COIL_GIVEN_DIC_PCO2) {
        *out_slope = slopes.dic_by_ln_h + slopes.dic_by_hco3 * hco3_by_ln_h;
        return coil_species_dic(&s->k, species) - s->dic;
    }
    *out_slope = slopes.alkalinity_by_ln_h + slopes.alkalinity_by_hco3 * hco3_by_ln_h;
    return coil_species_alkalinity(&s->k, species) - s->alkalinity;
}

/*
 * pH by Newton in ln h inside its bracket; a step that leaves the bracket, or does not
 * halve the one before the last, becomes a bisection.
 */
static void solve_for_ph(struct coil_search *s)
{
    double low = -LN_10 * COIL_SEARCH_PH_MAX, high = -LN_10 * COIL_SEARCH_PH_MIN;
    double ln_h = fmin(fmax(log(s->species.h), low), high);
    double step_before = high - low, step = step_before;
    int i;

    for (i = 0; i < PH_STEPS_MAX; i++) {
        double slope, excess = excess_at(s, ln_h, &slope), next;

        if (excess > 0)
            low = ln_h;
        else
            high = ln_h;
        next = ln_h - excess / slope;
        if (!(next >= low && next <= high) || fabs(next - ln_h) > step_before / 2)
            next = (low + high) / 2;
        step_before = step;
        step = fabs(next - ln_h);
        ln_h = next;
        if (step <= STEP_CLOSE)
            break;
    }
    excess_at(s, ln_h, &step);
}

/* The ionic strength of the species at the search's own, with the water activity that
 * belongs to them: that one settles in three rounds, as it hardly acts back. */
static double found_ionic_strength(struct coil_search *s)
{
    double found = 0, solutes, activity, change;
    int i;

    for (i = 0; i < WATER_STEPS_MAX; i++) {
        coil_conditional_at(s->constants, s->ionic_strength, s->water_activity, &s->k);
        if (isnan(s->ph))
            solve_for_ph(s);
        else
            solve_at_ph(s);
        coil_species_ionic_strength(&s->k, &s->species, &found, &solutes);
        activity = fmax(1 - WATER_ACTIVITY_SLOPE * solutes, 0.8);
        change = fabs(activity - s->water_activity);
        s->water_activity = activity;
        if (change <= WATER_ACTIVITY_CLOSE)
            break;
    }
    return found;
}

/*
 * The ionic strength that its own species have. Found below a guess of 0 and above one
 * of infinity, so that a bracket is always there; plain repetition gains a digit and a
 * half per pass, the secant more.
 */
static enum coil_status solve_carefully(struct coil_search *s)
{
    double low = 0, high = INFINITY, guess_before = 0, excess_before = 0;
    int i;

    for (i = 0; i < OUTER_STEPS_MAX; i++) {
        double guess = s->ionic_strength, found = found_ionic_strength(s);
        double excess = found - guess, next = found;

        if (!isfinite(excess))
            return COIL_ERR_NO_SOLUTION;
        if (fabs(excess) <= IONIC_STRENGTH_CLOSE * found)
            return COIL_OK;
        if (excess > 0)
            low = guess;
        else
            high = guess;
        if (i > 0 && excess != excess_before)
            next = guess - excess * (guess - guess_before) / (excess - excess_before);
        if (!(next > low && next < high))
            next = found > low && found < high ? found : (low + fmin(high, 10)) / 2;
        /* A secant that creeps: halve in between. */
        if (i >= SECANT_STEPS && i % 2 == 0)
            next = (low + fmin(high, 10)) / 2;
        guess_before = guess;
        excess_before = excess;
        s->ionic_strength = next;
    }
    return COIL_ERR_NO_SOLUTION;
}

/* Where to begin: carbonate alone, no activities. */
static double first_h(const struct coil_search *s)
{
    double k_1 = s->constants->k_1, k_2 = s->constants->k_2;
    double between_both = sqrt(k_1 * k_2), a = s->alkalinity, d = s->dic;
    double co2 = s->constants->k_henry * s->pco2;

    switch (s->given) {
    case COIL_GIVEN_ALKALINITY_DIC:
        if (!(a > 0))
            return fmax(-a, sqrt(k_1 * d));
        if (a < d)
            return fmax(k_1 * (d - a) / a, between_both);
        if (a < 2 * d)
            return fmin(k_2 * (2 * d - a) / fmax(a - d, 1e-9 * a), between_both);
        return fmin(s->constants->k_w / fmax(a - 2 * d, 1e-9 * a), k_2);
    case COIL_GIVEN_ALKALINITY_PCO2:
        return a > 0 ? k_1 * co2 / a : -a;
    default:
        return k_1 * co2 / fmax(d - co2, 1e-9 * d);
    }
}

void coil_search_start(struct coil_search *search, const struct coil_totals *totals)
{
    struct coil_search *s = search;
    const struct coil_totals *t = totals;
    double low_h = exp(-LN_10 * COIL_SEARCH_PH_MAX), ends, bicarbonate;

    s->species.h =
        isnan(s->ph) ? fmin(fmax(first_h(s), low_h), 1) : exp(-LN_10 * s->ph);
    ends = s->species.h + s->constants->k_w / s->species.h;
    if (!isnan(s->dic))
        bicarbonate = s->dic;
    else if (!isnan(s->alkalinity))
        bicarbonate = fabs(s->alkalinity);
    else
        bicarbonate =
            s->constants->k_henry * s->pco2 * s->constants->k_1 / s->species.h;
    bicarbonate = fmin(bicarbonate, 2);
    coil_conditional_start(t, &s->k);
    s->species.hco3 = bicarbonate;
    s->ionic_strength =
        0.5 * (t->sodium_mol_per_kg + t->chloride_mol_per_kg + bicarbonate + ends) +
        2 * (t->calcium_mol_per_kg + t->magnesium_mol_per_kg + t->sulfate_mol_per_kg);
    s->water_activity =
        fmax(0.8, 1 - WATER_ACTIVITY_SLOPE *
                          (t->sodium_mol_per_kg + t->chloride_mol_per_kg + bicarbonate +
                           t->calcium_mol_per_kg + t->sulfate_mol_per_kg));
}

/*
 * Closed heating keeps CO2 less carbonate nearly as it is, so that ln h moves by the
 * mean of ln K1 and ln K2, weighed by the two.
 */
void coil_search_start_from(struct coil_search *search,
                            const struct coil_totals *totals,
                            const struct coil_equilibrium *from)
{
    struct coil_search *s = search;
    double h = exp(-LN_10 * from->ph), co2, co3;

    coil_conditional_start(totals, &s->k);
    s->ionic_strength = from->ionic_strength_mol_per_kg;
    s->water_activity = from->water_activity;
    s->species.hco3 = from->hco3_mol_per_kg;
    s->species.h = h;
    coil_conditional_at(s->constants, s->ionic_strength, s->water_activity, &s->k);
    co2 = from->co2_mol_per_kg;
    co3 = from->co3_mol_per_kg;
    if (co2 > 0 && co3 > 0) {
        double by_1 = log(co2 / (s->k.co2 * from->hco3_mol_per_kg * h));
        double by_2 = log(s->k.co3 * from->hco3_mol_per_kg / (h * co3));

        s->species.h *= exp((co2 * by_1 + co3 * by_2) / (co2 + co3));
    }
}

enum coil_status coil_search_solve(struct coil_search *search)
{
    struct coil_search *s = search;
    double h = s->species.h, hco3 = s->species.hco3;
    double ionic_strength = s->ionic_strength, water_activity = s->water_activity;

    if (solve_quickly(s) == COIL_OK)
        return COIL_OK;
    s->species.h = h;
    s->species.hco3 = hco3;
    s->ionic_strength = ionic_strength;
    s->water_activity = water_activity;
    return solve_carefully(s);
}
