/*
 * Equilibrium constants of pool water at one temperature, all at zero ionic strength.
 *
 * Constants come as sets: calcite's solubility of one evaluation must not meet the ion
 * pairs of another. This is the set of Plummer and Busenberg, with the parameters that
 * belong to it. Computing it costs some thirty logarithms, so it is made once per
 * temperature and kept by the caller.
 *
 * Knows nothing of how much of anything is in the water.
 */
#ifndef COIL_EQUILIBRIUM_CONSTANTS_H
#define COIL_EQUILIBRIUM_CONSTANTS_H

#include "status.h"

/* Temperatures that the water engine computes (degC, both ends included). */
#define COIL_EQUILIBRIUM_TEMP_MIN_C 0.0
#define COIL_EQUILIBRIUM_TEMP_MAX_C 70.0

/* Forms of cyanurate; the order is that of the arrays below. */
#define COIL_CYANURATE_FORM_LIST(X)                                                    \
    X(COIL_H3CY, 0, 0) /* name, chlorine atoms, charges given off */                   \
    X(COIL_H2CY, 0, 1)                                                                 \
    X(COIL_HCY, 0, 2)                                                                  \
    X(COIL_CY, 0, 3)                                                                   \
    X(COIL_H2CLCY, 1, 0)                                                               \
    X(COIL_HCLCY, 1, 1)                                                                \
    X(COIL_CLCY, 1, 2)                                                                 \
    X(COIL_HCL2CY, 2, 0)                                                               \
    X(COIL_CL2CY, 2, 1)                                                                \
    X(COIL_CL3CY, 3, 0)

enum coil_cyanurate_form {
#define X(name, chlorines, charges) name,
    COIL_CYANURATE_FORM_LIST(X)
#undef X
    COIL_CYANURATE_FORM_COUNT
};

/* Where the constants of chlorine with cyanurate come from. The numbers are written
 * into databases: never renumber one. */
enum coil_cyanurate_source {
    /* Default. H3Cy, HClCy-, Cl2Cy- over 5 to 35 degC [wahman-2018] [wahman-2019]; the
     * two later dissociations of cyanuric acid at 25 degC [obrien-1974]. */
    COIL_CYANURATE_WAHMAN_2019 = 0,
    /* All ten forms, measured at 25 degC only [obrien-1974]. */
    COIL_CYANURATE_OBRIEN_1974 = 1,
    /* As the first, and nothing but the forms that those two papers measured. */
    COIL_CYANURATE_WAHMAN_2019_ALONE = 2,
    /* As the first, but chlorine does not bind: for waters computed elsewhere so. */
    COIL_CYANURATE_NO_CHLORINE = 3
};

/*
 * formation[f] = a(form) a(H+)^charges a(H2O)^chlorines / (a(H3Cy) a(HOCl)^chlorines);
 * 0 where the source has no such form.
 */
struct coil_cyanurate_constants {
    enum coil_cyanurate_source source;
    double formation[COIL_CYANURATE_FORM_COUNT];
};

/* All are dissociation or formation constants (mol/kg of water), not logarithms. */
struct coil_constants {
    double temp_c;
    double debye_a;   /* Debye-Hueckel slope, ln units, (kg/mol)^0.5 */
    double debye_b;   /* (kg/mol)^0.5 per angstrom */
    double k_1;       /* CO2 + H2O = H+ + HCO3- */
    double k_2;       /* HCO3- = H+ + CO3-2 */
    double k_w;       /* H2O = H+ + OH- */
    double k_henry;   /* CO2 gas = CO2, mol/(kg atm) */
    double k_calcite; /* CaCO3 = Ca+2 + CO3-2 */
    double k_cahco3;  /* Ca+2 + HCO3- = CaHCO3+ */
    double k_caco3;   /* Ca+2 + CO3-2 = CaCO3 dissolved */
    double k_nahco3;  /* Na+ + HCO3- = NaHCO3 */
    double k_naco3;   /* Na+ + CO3-2 = NaCO3- */
    double k_mghco3;  /* Mg+2 + HCO3- = MgHCO3+ */
    double k_mgco3;   /* Mg+2 + CO3-2 = MgCO3 */
    double k_caso4;   /* Ca+2 + SO4-2 = CaSO4 */
    double k_naso4;   /* Na+ + SO4-2 = NaSO4- */
    double k_mgso4;   /* Mg+2 + SO4-2 = MgSO4 */
    double k_hso4;    /* H+ + SO4-2 = HSO4- */
    double k_boric;   /* H3BO3 = H+ + H2BO3- */
    double k_hocl;    /* HOCl = H+ + OCl- */
    struct coil_cyanurate_constants cyanurate;
};

/*
 * All constants at a temperature.
 *
 * temp_c  0 to 70 degC
 * source  which set for chlorine with cyanurate; outside its temperatures it is
 *         extrapolated and whoever finds cyanurate in a water says so
 * out     the caller keeps it; untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN or COIL_ERR_UNKNOWN (source).
 *
 * Sources: K1, K2, Henry, calcite, CaHCO3+, CaCO3 [plummer-busenberg-1982]; water,
 * NaCO3- [nordstrom-1990]; NaHCO3, sulfate and magnesium pairs and boric acid as in
 * WATEQ4F [ball-nordstrom-1991]; HOCl [morris-1966].
 * Checked by fixtures/tables/constants.csv and calcite_pksp_pb1982.csv.
 */
enum coil_status coil_constants_at(double temp_c, enum coil_cyanurate_source source,
                                   struct coil_constants *out);

/*
 * Cyanurate's constants alone, for any temperature of the engine; same statuses.
 */
enum coil_status coil_cyanurate_constants_at(double temp_c,
                                             enum coil_cyanurate_source source,
                                             struct coil_cyanurate_constants *out);

/* 1 when the source measured at this temperature (5 to 35 degC, or 25), else 0. */
int coil_cyanurate_measured_at(enum coil_cyanurate_source source, double temp_c);

/*
 * The measured set has no Cl3Cy and no HCl2Cy, which hold back most of the acid of a
 * strong trichlor solution: without them 12 g/L would have pH 1.4, where data sheets say
 * 2.7 to 3.3. Below this pH they count (HCl2Cy gives off its H+ around pH 3.8
 * [obrien-1974]); no pool is there, a feeder is.
 */
#define COIL_STRONG_CYANURATE_PH 5.5

/* Does a source lack them? */
int coil_cyanurate_lacks_strong(enum coil_cyanurate_source source);

/* Words for people ("Wahman 2018, 2019"); NULL for a foreign number. */
const char *coil_cyanurate_source_words(enum coil_cyanurate_source source);

/* Solubility of CO2 by the gas's own literature, mol/(L atm); temp_c as above and not
 * checked. [weiss-1974] */
double coil_co2_solubility_weiss(double temp_c);

/*
 * Chlorine atoms and charges of a form; both -1 when there is no such form.
 */
int coil_cyanurate_chlorines(enum coil_cyanurate_form form);
int coil_cyanurate_charges(enum coil_cyanurate_form form);

#endif
