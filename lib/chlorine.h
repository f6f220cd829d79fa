/*
 * Chlorine with cyanurate: how much of the chlorine that a test shows is free
 * hypochlorous acid.
 *
 * A DPD test shows all chlorine(+1): HOCl, OCl- and what cyanurate holds. Works on
 * given pH and totals; knows nothing of carbonate.
 */
#ifndef COIL_CHLORINE_H
#define COIL_CHLORINE_H

#include "equilibrium_constants.h"
#include "status.h"

#define COIL_CHLORINE_G_PER_MOL 70.906       /* as Cl2: one HOCl counts as one Cl2 */
#define COIL_CYANURIC_ACID_G_PER_MOL 129.074 /* H3Cy, not the moiety of 126.05 */

/* How activities are found. */
enum coil_activity {
    COIL_ACTIVITY_DAVIES, /* ions by Davies, uncharged by 0.1 I */
    COIL_ACTIVITY_IDEAL   /* every coefficient 1 */
};

/* mol per kg of water. */
struct coil_chlorine_input {
    double ph;                   /* -log10 of the activity of H+; 0 to 14 */
    double chlorine_mol_per_kg;  /* all chlorine(+1), >= 0 */
    double cyanurate_mol_per_kg; /* all cyanurate, >= 0 */
    double salt_mol_per_kg;      /* NaCl beside the rest, >= 0 */
};

struct coil_chlorine {
    double hocl_mol_per_kg;
    double ocl_mol_per_kg;
    double forms_mol_per_kg[COIL_CYANURATE_FORM_COUNT];
    double ionic_strength_mol_per_kg;
    double water_activity;
    double alkalinity_eq_per_kg; /* OCl- 1, every cyanurate form its charges */
    int iterations;              /* most steps taken in one solve for HOCl */
};

/*
 * Species of chlorine and cyanurate at a given pH; sodium balances the charges.
 *
 * constants  of coil_constants_at; the caller may replace single formation constants
 * out        the caller keeps it; untouched unless >= 0 is returned
 *
 * Returns COIL_OK; COIL_WARN_RANGE outside the temperatures of the source (HOCl itself
 * 5 to 35 degC) or above ionic strength 0.5, where Davies ends; COIL_ERR_NOT_FINITE;
 * COIL_ERR_DOMAIN for a negative amount, more than 1 mol/kg or a pH outside 0 to 14.
 *
 * Method: every form is a product of powers of HOCl and H+; one equation in HOCl whose
 * left side rises, by Newton inside a bracket. Activities: Davies with 0.3 I, uncharged
 * log g = 0.1 I; a(H2O) = 1 - 0.017 sum of molalities [phreeqc-3].
 * Checked by fixtures/tables/chlorine_cyanurate.csv and hocl_with_cyanurate.csv.
 */
enum coil_status coil_chlorine_solve(const struct coil_constants *constants,
                                     enum coil_activity activity,
                                     const struct coil_chlorine_input *input,
                                     struct coil_chlorine *out);

/*
 * Share of HOCl in HOCl + OCl- without cyanurate, ideal.
 *
 * Returns COIL_OK, COIL_WARN_RANGE outside 5 to 35 degC [morris-1966],
 * COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN (0 to 70 degC, pH 0 to 14).
 */
enum coil_status coil_hocl_fraction(double temp_c, double ph, double *out_fraction);

/*
 * The kernel, also used by the equilibrium engine. At one temperature and ionic
 * strength: amount of a form with n chlorine atoms and a charges is
 * weight[n][a] * [H3Cy] * [HOCl]^n / a(H+)^a.
 */
struct coil_chlorine_kernel {
    double weight[4][4];
    double ocl; /* [OCl-] = ocl * [HOCl] / a(H+) */
};

struct coil_chlorine_split {
    double hocl;
    double ocl;
    double h3cy;
    double alkalinity;       /* sum of charges of all forms, eq/kg */
    double charge_squares;   /* the same with squared charges */
    double alkalinity_slope; /* by ln a(H+), totals kept; never above 0 */
    int iterations;
};

/* gamma_neutral, gamma_charge_1: activity coefficients; charge z has gamma_1^(z z). */
void coil_chlorine_kernel_at(const struct coil_constants *constants,
                             double gamma_neutral, double gamma_charge_1,
                             double water_activity, struct coil_chlorine_kernel *out);

/* Amounts >= 0, h = a(H+) > 0; out->hocl is where to look first (0: not known). Never
 * fails. */
void coil_chlorine_split_at(const struct coil_chlorine_kernel *kernel, double h,
                            double chlorine, double cyanurate,
                            struct coil_chlorine_split *out);

/* The amounts of the ten forms of a split. */
void coil_chlorine_forms(const struct coil_chlorine_kernel *kernel, double h,
                         const struct coil_chlorine_split *split, double *out_forms);

#endif
