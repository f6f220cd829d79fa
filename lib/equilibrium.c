#include "equilibrium.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "equilibrium_search.h"

#define LN_10 2.302585092994045684
/* As far as sea water the activities were fitted. [ball-nordstrom-1991] */
#define IONIC_STRENGTH_FITTED 0.7

static int between(double x, double low, double high)
{
    return x >= low && x <= high; /* NaN is outside */
}

static enum coil_status check_totals(const struct coil_totals *t)
{
    const double scarce[] = {t->calcium_mol_per_kg,   t->magnesium_mol_per_kg,
                             t->sulfate_mol_per_kg,   t->borate_mol_per_kg,
                             t->cyanurate_mol_per_kg, t->chlorine_mol_per_kg};
    double sum = t->sodium_mol_per_kg + t->chloride_mol_per_kg;
    size_t i;

    for (i = 0; i < sizeof scarce / sizeof *scarce; i++)
        sum += scarce[i];
    if (!isfinite(sum))
        return COIL_ERR_NOT_FINITE;
    for (i = 0; i < sizeof scarce / sizeof *scarce; i++) {
        if (!between(scarce[i], 0, 0.5))
            return COIL_ERR_DOMAIN;
    }
    if (!between(t->sodium_mol_per_kg, 0, 2) || !between(t->chloride_mol_per_kg, 0, 2))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* Puts the two given values where they belong. */
static enum coil_status take_given(struct coil_search *s, double first, double second)
{
    /* Which of pH, alkalinity, DIC, pCO2 the two are. */
    static const unsigned char WHICH[][2] = {{0, 1}, {0, 2}, {0, 3},
                                             {1, 2}, {1, 3}, {2, 3}};
    static const double LOW[] = {COIL_SEARCH_PH_MIN, -1, 0, 0},
                        HIGH[] = {COIL_SEARCH_PH_MAX, 2, 2, 10};
    double values[4] = {NAN, NAN, NAN, NAN};
    int one, other;

    if ((unsigned)s->given >= sizeof WHICH / sizeof *WHICH)
        return COIL_ERR_DOMAIN;
    if (!isfinite(first) || !isfinite(second))
        return COIL_ERR_NOT_FINITE;
    one = WHICH[s->given][0];
    other = WHICH[s->given][1];
    if (!between(first, LOW[one], HIGH[one]) ||
        !between(second, LOW[other], HIGH[other]))
        return COIL_ERR_DOMAIN;
    values[one] = first;
    values[other] = second;
    s->ph = values[0];
    s->alkalinity = values[1];
    s->dic = values[2];
    s->pco2 = values[3];
    return COIL_OK;
}

static void fill_species(const struct coil_search *s, struct coil_equilibrium *out)
{
    const struct coil_conditional *k = &s->k;
    const struct coil_species *f = &s->species;
    double inverse_h = 1 / f->h;

    out->h_mol_per_kg = k->h * f->h;
    out->oh_mol_per_kg = k->oh * inverse_h;
    out->hco3_mol_per_kg = f->hco3;
    out->co3_mol_per_kg = k->co3 * f->hco3 * inverse_h;
    out->co2_mol_per_kg = k->co2 * f->hco3 * f->h;
    out->so4_mol_per_kg = f->sulfate;
    out->hso4_mol_per_kg = k->hso4 * f->sulfate * f->h;
    out->h2bo3_mol_per_kg = k->borate_total * k->borate / (f->h + k->borate);
    out->h3bo3_mol_per_kg = k->borate_total - out->h2bo3_mol_per_kg;
    out->hocl_mol_per_kg = f->chlorine.hocl;
    out->ocl_mol_per_kg = f->chlorine.ocl;
    if (k->cyanurate_total > 0)
        coil_chlorine_forms(&k->chlorine, f->h, &f->chlorine,
                            out->cyanurate_mol_per_kg);
    else
        memset(out->cyanurate_mol_per_kg, 0, sizeof out->cyanurate_mol_per_kg);
}

static void fill_metal(const struct coil_search *s, enum coil_metal metal,
                       double *out_free, double *out_bicarbonate, double *out_carbonate,
                       double *out_sulfate)
{
    double free = s->species.metal[metal], hco3 = s->species.hco3;

    *out_free = free;
    *out_bicarbonate = s->k.bicarbonate_pair[metal] * free * hco3;
    *out_carbonate = s->k.carbonate_pair[metal] * free * hco3 / s->species.h;
    *out_sulfate = s->k.sulfate_pair[metal] * free * s->species.sulfate;
}

static void fill_sums(const struct coil_search *s, struct coil_equilibrium *out)
{
    double product;

    out->carbonate_alkalinity_eq_per_kg =
        coil_species_carbonate_alkalinity(&s->k, &s->species);
    out->borate_alkalinity_eq_per_kg = out->h2bo3_mol_per_kg;
    out->hypochlorite_alkalinity_eq_per_kg = out->ocl_mol_per_kg;
    out->cyanurate_alkalinity_eq_per_kg =
        s->species.chlorine.alkalinity - out->ocl_mol_per_kg;
    out->water_alkalinity_eq_per_kg =
        out->oh_mol_per_kg - out->h_mol_per_kg - out->hso4_mol_per_kg;
    out->alkalinity_eq_per_kg =
        out->carbonate_alkalinity_eq_per_kg + out->borate_alkalinity_eq_per_kg +
        out->hypochlorite_alkalinity_eq_per_kg + out->cyanurate_alkalinity_eq_per_kg +
        out->water_alkalinity_eq_per_kg;
    out->dic_mol_per_kg = coil_species_dic(&s->k, &s->species);
    out->pco2_atm = out->co2_mol_per_kg * s->k.gamma_neutral / s->constants->k_henry;
    out->ca_activity = out->ca_mol_per_kg * s->k.gamma_calcium;
    out->co3_activity = out->co3_mol_per_kg * s->k.gamma_carbonate;
    product = out->ca_activity * out->co3_activity;
    out->si_calcite =
        product > 0 ? log10(product / s->constants->k_calcite) : -INFINITY;
}

static void fill(const struct coil_search *s, struct coil_equilibrium *out)
{
    out->temp_c = s->constants->temp_c;
    out->ph = isnan(s->ph) ? -log10(s->species.h) : s->ph;
    out->ionic_strength_mol_per_kg = s->ionic_strength;
    out->water_activity = s->water_activity;
    fill_species(s, out);
    fill_metal(s, COIL_METAL_CALCIUM, &out->ca_mol_per_kg, &out->cahco3_mol_per_kg,
               &out->caco3_mol_per_kg, &out->caso4_mol_per_kg);
    fill_metal(s, COIL_METAL_SODIUM, &out->na_mol_per_kg, &out->nahco3_mol_per_kg,
               &out->naco3_mol_per_kg, &out->naso4_mol_per_kg);
    fill_metal(s, COIL_METAL_MAGNESIUM, &out->mg_mol_per_kg, &out->mghco3_mol_per_kg,
               &out->mgco3_mol_per_kg, &out->mgso4_mol_per_kg);
    fill_sums(s, out);
    out->iterations = s->evaluations;
}

/* Met, or met by nothing: what was given against what the species sum to. */
static int is_met(const struct coil_search *s, const struct coil_equilibrium *water)
{
    double size = fabs(water->carbonate_alkalinity_eq_per_kg) + water->h_mol_per_kg +
                  water->oh_mol_per_kg + water->borate_alkalinity_eq_per_kg +
                  water->cyanurate_alkalinity_eq_per_kg +
                  water->hypochlorite_alkalinity_eq_per_kg + water->hso4_mol_per_kg;

    if (s->missing > 1e-9 * size)
        return 0;
    if (!isnan(s->alkalinity) &&
        !(fabs(water->alkalinity_eq_per_kg - s->alkalinity) <= 1e-9 * size))
        return 0;
    if (!isnan(s->dic) &&
        !(fabs(water->dic_mol_per_kg - s->dic) <= 1e-9 * fmax(s->dic, 1e-12)))
        return 0;
    return 1;
}

static int in_range(const struct coil_constants *c, const struct coil_totals *totals,
                    const struct coil_equilibrium *water)
{
    if (!(water->ionic_strength_mol_per_kg <= IONIC_STRENGTH_FITTED))
        return 0;
    if (totals->chlorine_mol_per_kg > 0 && !between(c->temp_c, 5, 35))
        return 0;
    if (totals->chlorine_mol_per_kg > 0 && totals->cyanurate_mol_per_kg > 0 &&
        water->ph < COIL_STRONG_CYANURATE_PH &&
        coil_cyanurate_lacks_strong(c->cyanurate.source))
        return 0;
    return !(totals->cyanurate_mol_per_kg > 0) ||
           coil_cyanurate_measured_at(c->cyanurate.source, c->temp_c);
}

/* Solves and hands over; search holds the given values and a first guess. */
static enum coil_status finish(struct coil_search *search,
                               const struct coil_totals *totals,
                               struct coil_equilibrium *out)
{
    struct coil_equilibrium water;
    enum coil_status status = coil_search_solve(search);

    if (status != COIL_OK)
        return status;
    fill(search, &water);
    if (!is_met(search, &water))
        return COIL_ERR_NO_SOLUTION;
    *out = water;
    return in_range(search->constants, totals, &water) ? COIL_OK : COIL_WARN_RANGE;
}

enum coil_status coil_equilibrium_solve(const struct coil_constants *constants,
                                        const struct coil_totals *totals,
                                        enum coil_given given, double first,
                                        double second, struct coil_equilibrium *out)
{
    struct coil_search search = {.constants = constants, .given = given};
    enum coil_status status = check_totals(totals);

    if (status == COIL_OK)
        status = take_given(&search, first, second);
    if (status != COIL_OK)
        return status;
    coil_search_start(&search, totals);
    return finish(&search, totals, out);
}

enum coil_status coil_equilibrium_heat(const struct coil_constants *constants,
                                       const struct coil_totals *totals,
                                       const struct coil_equilibrium *from,
                                       struct coil_equilibrium *out)
{
    struct coil_search search = {.constants = constants,
                                 .given = COIL_GIVEN_ALKALINITY_DIC};
    enum coil_status status = check_totals(totals);

    if (status == COIL_OK)
        status = take_given(&search, from->alkalinity_eq_per_kg, from->dic_mol_per_kg);
    if (status != COIL_OK)
        return status;
    coil_search_start_from(&search, totals, from);
    return finish(&search, totals, out);
}

double coil_equilibrium_buffer_capacity(const struct coil_constants *constants,
                                        const struct coil_totals *totals,
                                        const struct coil_equilibrium *water)
{
    struct coil_conditional k;
    struct coil_species species = {.h = exp(-LN_10 * water->ph),
                                   .hco3 = water->hco3_mol_per_kg,
                                   .sulfate = water->so4_mol_per_kg};
    struct coil_species_slopes slopes;

    coil_conditional_start(totals, &k);
    coil_conditional_at(constants, water->ionic_strength_mol_per_kg,
                        water->water_activity, &k);
    coil_species_find_chlorine(&k, &species);
    coil_species_find_metals(&k, &species);
    coil_species_slopes(&k, &species, &slopes);
    return -LN_10 *
           (slopes.alkalinity_by_ln_h -
            slopes.alkalinity_by_hco3 * slopes.dic_by_ln_h / slopes.dic_by_hco3);
}
