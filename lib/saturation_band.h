/*
 * How well the saturation index of a tested water is known: the steps of the tests and
 * the model's own uncertainty, carried through to the index.
 */
#ifndef COIL_SATURATION_BAND_H
#define COIL_SATURATION_BAND_H

#include "composition.h"
#include "equilibrium.h"
#include "status.h"

/* What the model itself leaves open: the spread of published evaluations of the same
 * measurements, in a pool and at a hot film. [phreeqc-3] databases compared. */
#define COIL_SATURATION_MODEL_POOL 0.05
#define COIL_SATURATION_MODEL_FILM 0.1

/* Distance of two neighbouring answers of each test, in the unit of the value; >= 0,
 * 0 for what is known well enough. */
struct coil_saturation_steps {
    double ph;
    double total_alkalinity_mg_per_l_caco3;
    double calcium_hardness_mg_per_l_caco3;
    double salt_mg_per_l_nacl;
    double borate_mg_per_l_b;
    double cyanuric_acid_mg_per_l;
    double water_temp_k;
};

struct coil_saturation_band {
    double si_calcite;
    double half_width;       /* about 95 % of waters with these readings lie within */
    double tests_half_width; /* the tests' part of it */
    double ph_share;         /* part of the tests' variance that is pH's, 0 to 1 */
};

/*
 * The index at the water's own temperature (rise_k 0) or heated closed by rise_k, with
 * its band.
 *
 * composition  the readings
 * steps        as above
 * rise_k       0 to 70, to at most 70 degC
 * model_half_width  one of the two above
 * out_band     untouched unless >= 0 is returned
 *
 * Returns the statuses of coil_water_from_composition and coil_equilibrium_heat;
 * COIL_ERR_DOMAIN for a negative step.
 *
 * Method: every true value is equally likely within half a step around the reading,
 * whose standard deviation is step/sqrt(12) [jcgm-100, 4.3.7]; twice the root of the
 * sum of squares of slope times deviation, slopes by central differences over a step;
 * the model's part added as a square.
 */
enum coil_status coil_saturation_band(const struct coil_composition *composition,
                                      const struct coil_saturation_steps *steps,
                                      enum coil_cyanurate_source source, double rise_k,
                                      double model_half_width,
                                      struct coil_saturation_band *out_band);

#endif
