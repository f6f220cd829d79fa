#include "speciation.h"

#include <math.h>
#include <string.h>

#define LN_10 2.302585092994045684
#define NEWTON_STEPS_MAX 60
/* Newton squares the error: a step this small, relative, leaves nothing. */
#define STEP_SMALL 1e-8

/*
 * Activity coefficients, Truesdell and Jones: ln g = -z2 A sqrt(I)/(1 + B a sqrt(I)) +
 * b I. Ion sizes a in angstrom and b as in WATEQ4F [ball-nordstrom-1991]. HCO3- stands
 * for NaCO3- and NaSO4- too, which have its size; CO3-2 is its fourth power. What is
 * only divided by is kept inverted (its charge square is negative): a product costs
 * less.
 */
static const struct {
    double size;
    double b;
    double charge_square;
} IONS[COIL_GAMMA_COUNT] = {
    [COIL_GAMMA_NEUTRAL] = {0, 0.1, 0},   [COIL_GAMMA_INV_H] = {9, 0, -1},
    [COIL_GAMMA_INV_OH] = {3.5, 0, -1},   [COIL_GAMMA_HCO3] = {5.4, 0, 1},
    [COIL_GAMMA_CA] = {5, 0.165, 4},      [COIL_GAMMA_INV_CAHCO3] = {6, 0, -1},
    [COIL_GAMMA_NA] = {4, 0.075, 1},      [COIL_GAMMA_MG] = {5.5, 0.2, 4},
    [COIL_GAMMA_INV_MGHCO3] = {4, 0, -1}, [COIL_GAMMA_SO4] = {5, -0.04, 4},
    [COIL_GAMMA_INV_HSO4] = {4.5, 0, -1}, [COIL_GAMMA_INV_H2BO3] = {2.5, 0, -1},
    [COIL_GAMMA_DAVIES] = {0, 0, 0},
};

/*
 * exp(exponent), from the value kept when the exponent has hardly moved: later passes
 * change the ionic strength in the fourth digit. Terms to d^4 leave 1e-17 at 1e-3.
 */
static double kept_exp(struct coil_gamma *kept, double exponent)
{
    double d = exponent - kept->exponent;

    if (fabs(d) < 1e-3)
        kept->value *= 1 + d * (1 + d * (1.0 / 2 + d * (1.0 / 6 + d * (1.0 / 24))));
    else
        kept->value = exp(exponent); /* also the first time: NaN is not small */
    kept->exponent = exponent;
    return kept->value;
}

static void find_gammas(struct coil_conditional *k, const struct coil_constants *c,
                        double ionic_strength, int first, int end)
{
    double root = sqrt(ionic_strength), slope = c->debye_a * root;
    double reach = c->debye_b * root, exponents[COIL_GAMMA_COUNT];
    int i;

    for (i = first; i < end; i++)
        exponents[i] = -IONS[i].charge_square * slope / (1 + reach * IONS[i].size) +
                       IONS[i].b * LN_10 * ionic_strength;
    if (first == COIL_GAMMA_DAVIES)
        exponents[first] = -c->debye_a * (root / (1 + root) - 0.3 * ionic_strength);
    for (i = first; i < end; i++)
        kept_exp(&k->gammas[i], exponents[i]);
}

static void pairs_of_calcium_and_sodium(const struct coil_constants *c,
                                        struct coil_conditional *out)
{
    double per_neutral = 1 / out->gammas[COIL_GAMMA_NEUTRAL].value;
    double hco3 = out->gammas[COIL_GAMMA_HCO3].value;
    double calcium = out->gammas[COIL_GAMMA_CA].value;
    double sodium = out->gammas[COIL_GAMMA_NA].value;

    out->bicarbonate_pair[COIL_METAL_CALCIUM] =
        c->k_cahco3 * calcium * hco3 * out->gammas[COIL_GAMMA_INV_CAHCO3].value;
    out->carbonate_pair[COIL_METAL_CALCIUM] =
        c->k_caco3 * c->k_2 * calcium * hco3 * per_neutral;
    out->bicarbonate_pair[COIL_METAL_SODIUM] =
        c->k_nahco3 * sodium * hco3 * per_neutral;
    out->carbonate_pair[COIL_METAL_SODIUM] = c->k_naco3 * c->k_2 * sodium;
}

static void pairs_of_magnesium(const struct coil_constants *c,
                               struct coil_conditional *out)
{
    double both = out->gammas[COIL_GAMMA_MG].value * out->gammas[COIL_GAMMA_HCO3].value;

    out->bicarbonate_pair[COIL_METAL_MAGNESIUM] =
        c->k_mghco3 * both * out->gammas[COIL_GAMMA_INV_MGHCO3].value;
    out->carbonate_pair[COIL_METAL_MAGNESIUM] =
        c->k_mgco3 * c->k_2 * both / out->gammas[COIL_GAMMA_NEUTRAL].value;
}

static void pairs_of_sulfate(const struct coil_constants *c,
                             struct coil_conditional *out)
{
    double sulfate = out->gammas[COIL_GAMMA_SO4].value;
    double per_neutral = sulfate / out->gammas[COIL_GAMMA_NEUTRAL].value;

    out->hso4 = c->k_hso4 * sulfate * out->gammas[COIL_GAMMA_INV_HSO4].value;
    out->sulfate_pair[COIL_METAL_CALCIUM] =
        c->k_caso4 * out->gammas[COIL_GAMMA_CA].value * per_neutral;
    out->sulfate_pair[COIL_METAL_SODIUM] = c->k_naso4 * sulfate *
                                           out->gammas[COIL_GAMMA_NA].value /
                                           out->gammas[COIL_GAMMA_HCO3].value;
    if (out->metal_count == COIL_METAL_COUNT)
        out->sulfate_pair[COIL_METAL_MAGNESIUM] =
            c->k_mgso4 * out->gammas[COIL_GAMMA_MG].value * per_neutral;
}

void coil_conditional_start(const struct coil_totals *totals,
                            struct coil_conditional *out)
{
    int i;

    memset(out, 0, sizeof *out);
    out->metal_total[COIL_METAL_CALCIUM] = totals->calcium_mol_per_kg;
    out->metal_total[COIL_METAL_SODIUM] = totals->sodium_mol_per_kg;
    out->metal_total[COIL_METAL_MAGNESIUM] = totals->magnesium_mol_per_kg;
    out->metal_count =
        totals->magnesium_mol_per_kg > 0 ? COIL_METAL_COUNT : COIL_METAL_MAGNESIUM;
    out->sulfate_total = totals->sulfate_mol_per_kg;
    out->borate_total = totals->borate_mol_per_kg;
    out->chlorine_total = totals->chlorine_mol_per_kg;
    out->cyanurate_total = totals->cyanurate_mol_per_kg;
    out->inert_chloride = totals->chloride_mol_per_kg;
    for (i = 0; i < COIL_GAMMA_COUNT; i++)
        out->gammas[i].exponent = NAN;
}

/* What is not in the water is left out: most pools need seven coefficients. */
void coil_conditional_at(const struct coil_constants *constants, double ionic_strength,
                         double water_activity, struct coil_conditional *out)
{
    const struct coil_constants *c = constants;
    struct coil_gamma *g = out->gammas;
    double square;

    find_gammas(out, c, ionic_strength, 0, COIL_GAMMA_MG);
    out->co2 = g[COIL_GAMMA_HCO3].value /
               (c->k_1 * g[COIL_GAMMA_NEUTRAL].value * water_activity);
    square = g[COIL_GAMMA_HCO3].value * g[COIL_GAMMA_HCO3].value;
    out->gamma_carbonate = square * square;
    out->co3 = c->k_2 / (g[COIL_GAMMA_HCO3].value * square);
    out->oh = c->k_w * water_activity * g[COIL_GAMMA_INV_OH].value;
    out->h = g[COIL_GAMMA_INV_H].value;
    out->gamma_neutral = g[COIL_GAMMA_NEUTRAL].value;
    out->gamma_calcium = g[COIL_GAMMA_CA].value;
    pairs_of_calcium_and_sodium(c, out);
    if (out->metal_count == COIL_METAL_COUNT) {
        find_gammas(out, c, ionic_strength, COIL_GAMMA_MG, COIL_GAMMA_SO4);
        pairs_of_magnesium(c, out);
    }
    if (out->sulfate_total > 0) {
        find_gammas(out, c, ionic_strength, COIL_GAMMA_SO4, COIL_GAMMA_INV_H2BO3);
        pairs_of_sulfate(c, out);
    }
    if (out->borate_total > 0) {
        find_gammas(out, c, ionic_strength, COIL_GAMMA_INV_H2BO3, COIL_GAMMA_DAVIES);
        out->borate = c->k_boric * out->gamma_neutral * g[COIL_GAMMA_INV_H2BO3].value;
    }
    if (out->chlorine_total > 0 || out->cyanurate_total > 0) {
        find_gammas(out, c, ionic_strength, COIL_GAMMA_DAVIES, COIL_GAMMA_COUNT);
        coil_chlorine_kernel_at(c, out->gamma_neutral, g[COIL_GAMMA_DAVIES].value,
                                water_activity, &out->chlorine);
    }
}

/* Pairs with carbonate per free metal and free bicarbonate. */
static double pair_sum(const struct coil_conditional *k, int metal, double inverse_h)
{
    return k->bicarbonate_pair[metal] + k->carbonate_pair[metal] * inverse_h;
}

/*
 * Free sulfate: what is bound rises with what is free, less and less, so that Newton
 * from below never passes the root. All metals free is such a start.
 */
static void find_sulfate(const struct coil_conditional *k,
                         const double *without_sulfate, struct coil_species *s)
{
    double fixed = 1 + k->hso4 * s->h;
    double low = fixed, slope, excess, next;
    int i, metal;

    for (metal = 0; metal < k->metal_count; metal++)
        low += k->sulfate_pair[metal] * k->metal_total[metal] / without_sulfate[metal];
    low = k->sulfate_total / low;
    if (!(s->sulfate >= low && s->sulfate <= k->sulfate_total))
        s->sulfate = low;
    for (i = 0; i < NEWTON_STEPS_MAX; i++) {
        excess = s->sulfate * fixed - k->sulfate_total;
        slope = fixed;
        for (metal = 0; metal < k->metal_count; metal++) {
            double all = without_sulfate[metal] + k->sulfate_pair[metal] * s->sulfate;
            double bound = k->sulfate_pair[metal] * k->metal_total[metal] / all;

            excess += s->sulfate * bound;
            slope += bound * without_sulfate[metal] / all;
        }
        next = fmax(s->sulfate - excess / slope, low);
        slope = fabs(next - s->sulfate);
        s->sulfate = next;
        if (slope <= STEP_SMALL * next)
            return;
    }
}

void coil_species_find_metals(const struct coil_conditional *k,
                              struct coil_species *species)
{
    double inverse_h = 1 / species->h;
    double all[COIL_METAL_COUNT];
    int metal;

    for (metal = 0; metal < k->metal_count; metal++)
        all[metal] = 1 + pair_sum(k, metal, inverse_h) * species->hco3;
    if (k->sulfate_total > 0) {
        find_sulfate(k, all, species);
        for (metal = 0; metal < k->metal_count; metal++)
            all[metal] += k->sulfate_pair[metal] * species->sulfate;
    } else {
        species->sulfate = 0;
    }
    for (metal = 0; metal < k->metal_count; metal++) {
        species->metal_part[metal] = 1 / all[metal];
        species->metal[metal] = k->metal_total[metal] * species->metal_part[metal];
    }
}

/* Slope of free sulfate by free bicarbonate and by ln h, metals following. */
static void sulfate_slopes(const struct coil_conditional *k,
                           const struct coil_species *s, double *out_by_hco3,
                           double *out_by_ln_h)
{
    double inverse_h = 1 / s->h;
    double by_itself = 1 + k->hso4 * s->h;
    double by_hco3 = 0, by_ln_h = k->hso4 * s->h * s->sulfate;
    int metal;

    *out_by_hco3 = *out_by_ln_h = 0;
    if (!(k->sulfate_total > 0))
        return;
    for (metal = 0; metal < k->metal_count; metal++) {
        double pairs = pair_sum(k, metal, inverse_h);
        double bound = k->sulfate_pair[metal] * s->metal[metal];
        double part = s->metal_part[metal];

        by_itself += bound * (1 - k->sulfate_pair[metal] * s->sulfate * part);
        by_hco3 -= s->sulfate * bound * pairs * part;
        by_ln_h +=
            s->sulfate * bound * s->hco3 * k->carbonate_pair[metal] * inverse_h * part;
    }
    *out_by_hco3 = -by_hco3 / by_itself;
    *out_by_ln_h = -by_ln_h / by_itself;
}

/* Carbonate per free bicarbonate without pairs: counted as carbon, or as alkalinity. */
static double plain_weight(const struct coil_conditional *k, double h,
                           enum coil_carbonate_target target)
{
    return target == COIL_TARGET_DIC ? 1 + k->co2 * h + k->co3 / h : 1 + 2 * k->co3 / h;
}

static double pair_weight(const struct coil_conditional *k, int metal, double inverse_h,
                          enum coil_carbonate_target target)
{
    double carbonate = k->carbonate_pair[metal] * inverse_h;

    return k->bicarbonate_pair[metal] +
           (target == COIL_TARGET_DIC ? carbonate : 2 * carbonate);
}

double coil_species_carbonate(const struct coil_conditional *k,
                              enum coil_carbonate_target target,
                              const struct coil_species *species, double *out_slope)
{
    const struct coil_species *s = species;
    double inverse_h = 1 / s->h, per_hco3 = plain_weight(k, s->h, target);
    double slope = per_hco3, sulfate_by_hco3, sulfate_by_ln_h;
    int metal;

    sulfate_slopes(k, s, &sulfate_by_hco3, &sulfate_by_ln_h);
    for (metal = 0; metal < k->metal_count; metal++) {
        double pairs = pair_sum(k, metal, inverse_h);
        double bound = s->metal[metal] * pair_weight(k, metal, inverse_h, target);

        per_hco3 += bound;
        slope += bound * (1 - s->hco3 * s->metal_part[metal] *
                                  (pairs + k->sulfate_pair[metal] * sulfate_by_hco3));
    }
    *out_slope = slope;
    return s->hco3 * per_hco3;
}

double coil_species_bisulfate_slope(const struct coil_conditional *k,
                                    const struct coil_species *species)
{
    double by_hco3, by_ln_h;

    if (!(k->sulfate_total > 0))
        return 0;
    sulfate_slopes(k, species, &by_hco3, &by_ln_h);
    return -k->hso4 * species->h * by_hco3;
}

/*
 * What is bound rises with bicarbonate, less and less: Newton from below never passes
 * the root. The bracket: all metals free below, none above.
 */
int coil_species_find_carbonate(const struct coil_conditional *k,
                                enum coil_carbonate_target target, double amount,
                                struct coil_species *species)
{
    double inverse_h = 1 / species->h;
    double plain = plain_weight(k, species->h, target);
    double low, high, got, slope, next, step, most = plain;
    int i, metal;

    if (!(amount > 0)) {
        species->hco3 = 0;
        coil_species_find_metals(k, species);
        return 1;
    }
    for (metal = 0; metal < k->metal_count; metal++)
        most += k->metal_total[metal] * pair_weight(k, metal, inverse_h, target);
    low = amount / most;
    high = amount / plain;
    if (!(species->hco3 >= low && species->hco3 <= high))
        species->hco3 = low;
    for (i = 1; i <= NEWTON_STEPS_MAX; i++) {
        coil_species_find_metals(k, species);
        got = coil_species_carbonate(k, target, species, &slope);
        if (got > amount)
            high = species->hco3;
        else
            low = species->hco3;
        next = species->hco3 - (got - amount) / slope;
        /* Beyond an end by rounding: that end. Farther: only sulfate could bend the
         * curve so. */
        if (next >= low * (1 - STEP_SMALL) && next <= high * (1 + STEP_SMALL))
            next = fmin(fmax(next, low), high);
        else
            next = (low + high) / 2;
        step = fabs(next - species->hco3);
        species->hco3 = next;
        if (step <= STEP_SMALL * next)
            break;
    }
    coil_species_find_metals(k, species);
    return i;
}

void coil_species_find_chlorine(const struct coil_conditional *k,
                                struct coil_species *species)
{
    if (k->chlorine_total > 0 || k->cyanurate_total > 0)
        coil_chlorine_split_at(&k->chlorine, species->h, k->chlorine_total,
                               k->cyanurate_total, &species->chlorine);
    else
        memset(&species->chlorine, 0, sizeof species->chlorine);
}

static double weighed(const struct coil_conditional *k, const struct coil_species *s,
                      enum coil_carbonate_target target)
{
    double inverse_h = 1 / s->h, per_hco3 = plain_weight(k, s->h, target);
    int metal;

    for (metal = 0; metal < k->metal_count; metal++)
        per_hco3 += s->metal[metal] * pair_weight(k, metal, inverse_h, target);
    return s->hco3 * per_hco3;
}

double coil_species_dic(const struct coil_conditional *k,
                        const struct coil_species *species)
{
    return weighed(k, species, COIL_TARGET_DIC);
}

double coil_species_carbonate_alkalinity(const struct coil_conditional *k,
                                         const struct coil_species *species)
{
    return weighed(k, species, COIL_TARGET_ALKALINITY);
}

double coil_species_other_alkalinity(const struct coil_conditional *k,
                                     const struct coil_species *species)
{
    double h = species->h;

    return k->oh / h - k->h * h + k->borate_total * k->borate / (h + k->borate) +
           species->chlorine.alkalinity - k->hso4 * species->sulfate * h;
}

double coil_species_alkalinity(const struct coil_conditional *k,
                               const struct coil_species *species)
{
    return coil_species_carbonate_alkalinity(k, species) +
           coil_species_other_alkalinity(k, species);
}

void coil_species_ionic_strength(const struct coil_conditional *k,
                                 const struct coil_species *species,
                                 double *out_ionic_strength, double *out_solutes)
{
    const struct coil_species *s = species;
    double h = s->h, inverse_h = 1 / h, hydrogen = k->h * h,
           hydroxide = k->oh * inverse_h;
    double co3 = k->co3 * s->hco3 * inverse_h, hso4 = k->hso4 * s->sulfate * h;
    double borate = k->borate_total * k->borate / (h + k->borate);
    double ca = s->metal[COIL_METAL_CALCIUM], na = s->metal[COIL_METAL_SODIUM];
    double mg = s->metal[COIL_METAL_MAGNESIUM];
    double charged_pairs =
        s->hco3 * (ca * k->bicarbonate_pair[COIL_METAL_CALCIUM] +
                   mg * k->bicarbonate_pair[COIL_METAL_MAGNESIUM] +
                   na * k->carbonate_pair[COIL_METAL_SODIUM] * inverse_h) +
        s->sulfate * na * k->sulfate_pair[COIL_METAL_SODIUM];
    double all_metals = k->metal_total[0] + k->metal_total[1] + k->metal_total[2];

    *out_ionic_strength =
        0.5 * (hydrogen + hydroxide + k->inert_chloride + s->hco3 + 4 * co3 +
               4 * (ca + mg) + na + charged_pairs + 4 * s->sulfate + hso4 + borate +
               s->chlorine.charge_squares);
    /* Every pair holds one metal: free metals and pairs together are all metals. */
    *out_solutes = hydrogen + hydroxide + k->inert_chloride + s->hco3 + co3 +
                   k->co2 * s->hco3 * h + all_metals + s->sulfate + hso4 +
                   k->borate_total + k->cyanurate_total + s->chlorine.hocl +
                   s->chlorine.ocl;
}

void coil_species_slopes(const struct coil_conditional *k,
                         const struct coil_species *species,
                         struct coil_species_slopes *out)
{
    const struct coil_species *s = species;
    double h = s->h, inverse_h = 1 / h, c = s->hco3;
    double co3 = k->co3 * inverse_h, ratio = k->borate + h;
    double sulfate_by_c, sulfate_by_l;
    int metal;

    sulfate_slopes(k, s, &sulfate_by_c, &sulfate_by_l);
    out->dic_by_hco3 = 1 + k->co2 * h + co3;
    out->dic_by_ln_h = c * (k->co2 * h - co3);
    out->alkalinity_by_hco3 = 1 + 2 * co3 - k->hso4 * h * sulfate_by_c;
    out->alkalinity_by_ln_h = -2 * c * co3 - k->oh * inverse_h - k->h * h +
                              s->chlorine.alkalinity_slope -
                              k->borate_total * k->borate * h / (ratio * ratio) -
                              k->hso4 * h * (s->sulfate + sulfate_by_l);
    for (metal = 0; metal < k->metal_count; metal++) {
        double carbonate = k->carbonate_pair[metal] * inverse_h;
        double pairs = k->bicarbonate_pair[metal] + carbonate;
        double charged = pairs + carbonate;
        double sulfate = k->sulfate_pair[metal];
        double m = s->metal[metal];
        double part = s->metal_part[metal];
        /* of ln of the free metal */
        double by_c = -part * (pairs + sulfate * sulfate_by_c);
        double by_l = part * (carbonate * c - sulfate * sulfate_by_l);

        out->dic_by_hco3 += m * pairs * (1 + c * by_c);
        out->alkalinity_by_hco3 += m * charged * (1 + c * by_c);
        out->dic_by_ln_h += c * m * (pairs * by_l - carbonate);
        out->alkalinity_by_ln_h += c * m * (charged * by_l - 2 * carbonate);
    }
}
