/*
 * Species of a water at a fixed ionic strength: the inner equations of equilibrium.c.
 *
 * Private to lib/ and its tests. At fixed activity coefficients every species is a
 * product of free amounts, of constants and of powers of h = a(H+). Free calcium,
 * sodium and magnesium ("metals") and sulfate follow from h and free bicarbonate.
 */
#ifndef COIL_SPECIATION_H
#define COIL_SPECIATION_H

#include "equilibrium.h"

enum coil_metal {
    COIL_METAL_CALCIUM,
    COIL_METAL_SODIUM,
    COIL_METAL_MAGNESIUM,
    COIL_METAL_COUNT
};

/* Activity coefficients (INV: one over it); those that every water needs come first. */
enum coil_gamma_name {
    COIL_GAMMA_NEUTRAL,
    COIL_GAMMA_INV_H,
    COIL_GAMMA_INV_OH,
    COIL_GAMMA_HCO3,
    COIL_GAMMA_CA,
    COIL_GAMMA_INV_CAHCO3,
    COIL_GAMMA_NA,
    COIL_GAMMA_MG,
    COIL_GAMMA_INV_MGHCO3,
    COIL_GAMMA_SO4,
    COIL_GAMMA_INV_HSO4,
    COIL_GAMMA_INV_H2BO3,
    COIL_GAMMA_DAVIES, /* OCl-, cyanurate */
    COIL_GAMMA_COUNT
};

struct coil_gamma {
    double exponent; /* ln of value; NaN before the first */
    double value;
};

/* Constants between amounts, at one temperature and ionic strength. */
struct coil_conditional {
    double co2;                                /* [CO2] = co2 [HCO3] h */
    double co3;                                /* [CO3] = co3 [HCO3] / h */
    double oh;                                 /* [OH] = oh / h */
    double h;                                  /* [H] = this * h */
    double borate;                             /* [H2BO3] = borate [H3BO3] / h */
    double hso4;                               /* [HSO4] = hso4 [SO4] h */
    double bicarbonate_pair[COIL_METAL_COUNT]; /* pair = this [M] [HCO3] */
    double carbonate_pair[COIL_METAL_COUNT];   /* pair = this [M] [HCO3] / h */
    double sulfate_pair[COIL_METAL_COUNT];     /* pair = this [M] [SO4] */
    double metal_total[COIL_METAL_COUNT];
    int metal_count; /* magnesium is the last and left out when there is none */
    double sulfate_total;
    double borate_total;
    double gamma_neutral;
    double gamma_calcium;
    double gamma_carbonate;
    struct coil_gamma gammas[COIL_GAMMA_COUNT];
    struct coil_chlorine_kernel chlorine;
    double chlorine_total;
    double cyanurate_total;
    double inert_chloride;
};

/* Everything free at one h. */
struct coil_species {
    double h;       /* activity of H+ */
    double hco3;    /* free bicarbonate */
    double sulfate; /* free sulfate */
    double metal[COIL_METAL_COUNT];
    double metal_part[COIL_METAL_COUNT]; /* free metal / all of it */
    struct coil_chlorine_split chlorine; /* zero without chlorine and cyanurate */
};

/* What bicarbonate is found from. */
enum coil_carbonate_target { COIL_TARGET_DIC, COIL_TARGET_ALKALINITY };

/* Takes the totals over and zeroes the rest; once per water. */
void coil_conditional_start(const struct coil_totals *totals,
                            struct coil_conditional *out);

/* The constants at an ionic strength and water activity, for the totals inside. */
void coil_conditional_at(const struct coil_constants *constants, double ionic_strength,
                         double water_activity, struct coil_conditional *out);

/*
 * Free bicarbonate with which inorganic carbon, or the carbonate part of the
 * alkalinity, meets amount (<= 0 gives 0). species->h must be set, hco3 and sulfate are
 * the start (0: none). Fills metals, sulfate and hco3; returns evaluations done.
 */
int coil_species_find_carbonate(const struct coil_conditional *k,
                                enum coil_carbonate_target target, double amount,
                                struct coil_species *species);

/* Metals and sulfate beside a given free bicarbonate. */
void coil_species_find_metals(const struct coil_conditional *k,
                              struct coil_species *species);

/* Chlorine and cyanurate at species->h. */
void coil_species_find_chlorine(const struct coil_conditional *k,
                                struct coil_species *species);

/* Inorganic carbon or carbonate alkalinity of the species, and its slope by free
 * bicarbonate, metals and sulfate following. */
double coil_species_carbonate(const struct coil_conditional *k,
                              enum coil_carbonate_target target,
                              const struct coil_species *species, double *out_slope);

/* What one more bicarbonate takes from the alkalinity by freeing sulfate: - HSO4-. */
double coil_species_bisulfate_slope(const struct coil_conditional *k,
                                    const struct coil_species *species);

/* Sums over the species, mol/kg or eq/kg. */
double coil_species_dic(const struct coil_conditional *k,
                        const struct coil_species *species);
double coil_species_carbonate_alkalinity(const struct coil_conditional *k,
                                         const struct coil_species *species);
/* Without the carbonate part. */
double coil_species_other_alkalinity(const struct coil_conditional *k,
                                     const struct coil_species *species);
double coil_species_alkalinity(const struct coil_conditional *k,
                               const struct coil_species *species);
void coil_species_ionic_strength(const struct coil_conditional *k,
                                 const struct coil_species *species,
                                 double *out_ionic_strength, double *out_solutes);

/* Slopes of DIC and of total alkalinity; totals kept, metals and sulfate following. */
struct coil_species_slopes {
    double dic_by_hco3;
    double dic_by_ln_h;
    double alkalinity_by_hco3;
    double alkalinity_by_ln_h;
};
void coil_species_slopes(const struct coil_conditional *k,
                         const struct coil_species *species,
                         struct coil_species_slopes *out);

#endif
