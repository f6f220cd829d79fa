/*
 * The indices that the trade reads scale and attack from.
 *
 * They are conventions: each is one published formula, kept as published. The handbook
 * index lies 0.1 below Standard Methods' at 28 degC, a quarter below at 5 degC, and up
 * to a quarter above at 60 degC. None of them says anything about copper
 * [edwards-1996]: never call a positive index safe for an exchanger.
 */
#ifndef COIL_INDEX_H
#define COIL_INDEX_H

#include "status.h"

/* What the saturation indices need to know of a water. */
struct coil_index_water {
    double temp_c;                          /* degC */
    double ph;                              /* at that temperature, 0 to 14 */
    double tds_mg_per_l;                    /* dissolved solids */
    double calcium_hardness_mg_per_l_caco3; /* > 0 */
    double total_alkalinity_mg_per_l_caco3; /* > 0, taken as bicarbonate */
};

/* The handbook formula with its terms; all without unit. */
struct coil_handbook_index {
    double tds_term;        /* A */
    double temp_term;       /* B */
    double calcium_term;    /* C */
    double alkalinity_term; /* D */
    double ph_s;            /* pH at which the index is 0 */
    double index;           /* pH - ph_s: > 0 tends to scale, < 0 to dissolve it */
};

/* The Standard Methods formula with its terms; all without unit but the first. */
struct coil_sm2330_index {
    double ionic_strength_mol_per_l; /* I */
    double pfm;                      /* minus log10 activity coefficient, one charge */
    double p_ca;                     /* minus log10 of calcium, mol/L */
    double p_hco3;                   /* minus log10 of alkalinity, eq/L */
    double pk2;                      /* second dissociation of carbonic acid */
    double pk_s;                     /* solubility of calcite */
    double ph_s;
    double index;
};

/*
 * Saturation index by the handbook formula: pHs = (9.3 + A + B) - (C + D).
 *
 * A = (log10 TDS - 1)/10, B = -13.12 log10(t + 273) + 34.55, C = log10 Ca - 0.4,
 * D = log10 alkalinity; Ca and alkalinity in mg/L as CaCO3.
 *
 * water     borrowed; temperature -5 to 120 degC, TDS, hardness and alkalinity > 0
 * out_index receives terms and index; untouched unless >= 0 is returned
 *
 * Returns COIL_OK; COIL_WARN_RANGE outside 0 to 82 degC, TDS 50 to 1000, hardness or
 * alkalinity 10 to 1000 mg/L, where the formula's own tables end (from memory; much
 * pool water is saltier, so this one is common); COIL_ERR_NOT_FINITE; COIL_ERR_DOMAIN.
 *
 * Method: [handbook-saturation-index]. Known example: TDS 320, calcium hardness 150,
 * alkalinity 34 at 25 degC has pHs 8.2, at 82 degC 7.2. Checked by
 * fixtures/tables/saturation_formula.csv.
 */
enum coil_status coil_handbook_index(const struct coil_index_water *water,
                                     struct coil_handbook_index *out_index);

/*
 * Saturation index by Standard Methods: pHs = pK2 - pKs + pCa + pHCO3 + 5 pfm.
 *
 * pfm = A (sqrt I/(1 + sqrt I) - 0.3 I), A = 1.82e6 (E T)^-1.5, E = 60954/(T + 116) -
 * 68.937, I = TDS/40000 mol/L; pHCO3 from the whole alkalinity, no ion pairs.
 *
 * water     borrowed; temperature -5 to 120 degC, TDS >= 0 (0: no activity correction),
 *           hardness and alkalinity > 0
 * out_index receives terms and index; untouched unless >= 0 is returned
 *
 * Returns COIL_OK; COIL_WARN_RANGE outside 0 to 90 degC (range of the constants) or
 * above TDS 20000 (I 0.5, where the activity formula ends); COIL_ERR_NOT_FINITE;
 * COIL_ERR_DOMAIN.
 *
 * Method: [standard-methods-2330]; pK2, pKs [plummer-busenberg-1982].
 * Checked by fixtures/tables/saturation_formula.csv, sm2330_table.csv, constants.csv
 * and ccpp_and_indices.csv.
 */
enum coil_status coil_sm2330_index(const struct coil_index_water *water,
                                   struct coil_sm2330_index *out_index);

/* The three constants of the formula above that depend on temperature alone. */
struct coil_sm2330_constants {
    double pk2;
    double pk_s;
    double activity_slope; /* A */
};

/*
 * temp_c        -5 to 120 degC
 * out_constants untouched unless >= 0 is returned
 *
 * Returns COIL_OK; COIL_WARN_RANGE outside 0 to 90 degC; COIL_ERR_NOT_FINITE;
 * COIL_ERR_DOMAIN. Sources as for coil_sm2330_index.
 */
enum coil_status coil_sm2330_constants(double temp_c,
                                       struct coil_sm2330_constants *out_constants);

/*
 * Stability index: 2 pHs - pH.
 *
 * ph_s, ph  finite; take pHs from either index above
 * out_index receives the index: below about 6 tends to scale, above about 7 to attack
 *           steel; untouched unless COIL_OK is returned
 *
 * Returns COIL_OK or COIL_ERR_NOT_FINITE.
 * Method: [ryznar-1944].
 * Checked by fixtures/tables/ccpp_and_indices.csv.
 */
enum coil_status coil_ryznar_index(double ph_s, double ph, double *out_index);

/*
 * Aggressive index: pH + log10(alkalinity x calcium hardness).
 *
 * ph                              0 to 14
 * total_alkalinity_mg_per_l_caco3 > 0
 * calcium_hardness_mg_per_l_caco3 > 0
 * out_index receives the index, for asbestos-cement pipe: 12 and above not aggressive,
 *           below 10 highly; untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 * Method: [awwa-c400].
 * Checked by fixtures/tables/aggressive_index.csv.
 */
enum coil_status coil_aggressive_index(double ph,
                                       double total_alkalinity_mg_per_l_caco3,
                                       double calcium_hardness_mg_per_l_caco3,
                                       double *out_index);

/*
 * Larson-Skold index: equivalents of chloride and sulfate per equivalent of alkalinity.
 *
 * chloride_mg_per_l, sulfate_mg_per_l >= 0
 * total_alkalinity_mg_per_l_caco3     > 0
 * out_ratio receives the ratio; about mild steel only: above 1.2 high corrosion is
 *           expected, below 0.8 none from these ions; untouched unless COIL_OK is
 *           returned
 *
 * Returns COIL_OK; COIL_ERR_NOT_FINITE, also when the ratio is too large for a double;
 * COIL_ERR_DOMAIN.
 * Method: [larson-skold-1958]; equivalent masses Cl 35.453, SO4 48.03, CaCO3 50.04345
 * g/eq.
 * Checked by fixtures/tables/larson_skold.csv.
 */
enum coil_status coil_larson_skold_index(double chloride_mg_per_l,
                                         double sulfate_mg_per_l,
                                         double total_alkalinity_mg_per_l_caco3,
                                         double *out_ratio);

#endif
