/*
 * How pH drifts while nobody doses: CO2 leaves through the surface, and evaporated
 * water is filled up again.
 *
 * Knows no chlorine loss, bathers or rain. pH of a pool rises for days because its
 * carbonate holds several times the CO2 that air does.
 */
#ifndef COIL_DRIFT_H
#define COIL_DRIFT_H

#include "dose.h"
#include "status.h"

/*
 * Transfer velocity at Schmidt number 600, m/d, where nobody fitted the pool's own:
 * 0.35 to 0.74 on small lakes with little wind [cole-2010], models of one lake differ
 * by 2 [fernandez-castro-2021]; no rate for pools is published. A pump's returns,
 * features and wind speed it up, a cover nearly stops it.
 */
#define COIL_DRIFT_K_LOW 0.25
#define COIL_DRIFT_K_LIKELY 0.5
#define COIL_DRIFT_K_HIGH 1.0

/* Steps of the band around what wind and features tell: models of one lake differ by 2
 * [fernandez-castro-2021]. */
#define COIL_DRIFT_BAND 2.0

struct coil_drift_transfer {
    double k_low, k_likely, k_high; /* m/d at Schmidt number 600 */
};

/*
 * Transfer velocity from the wind over the water.
 *
 * wind_m_per_s      at 10 m height, 0 to 20; little of it reaches a garden's water
 * stir_factor       1 still, more with features, jets and bathers; 1 to 20, the
 * caller's guess: no rate of a pool is published covered_fraction  of the time or
 * surface, 0 to 1; covered water gives nothing off out               untouched unless
 * COIL_OK is returned
 *
 * COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 *
 * Method: 2.07 + 0.215 U^1.7 cm/h [cole-caraco-1998], from memory; band half to twice.
 * Checked by fixtures/tables/gas_transfer.csv, row T2.
 */
enum coil_status coil_drift_transfer(double wind_m_per_s, double stir_factor,
                                     double covered_fraction,
                                     struct coil_drift_transfer *out);

#define COIL_DRIFT_AIR_ATM 427e-6 /* dry air [noaa-co2] */

struct coil_drift_input {
    struct coil_closed_water water;
    double water_temp_c;
    double mean_depth_m;            /* volume over surface, > 0 */
    double k_low, k_likely, k_high; /* m/d at Schmidt number 600, 0 <= in order */
    double evaporation_m_per_d;     /* 0 to 0.05; filled up at once */
    double replaced_m_per_d;        /* splashed or washed out and filled, 0 to 1 */
    struct coil_closed_water fill;  /* looked at where one of those is above 0 */
    double air_pco2_atm;            /* 0 to 0.1 */
    enum coil_cyanurate_source source;
};

/* The water at one instant: slow, likely and fast transfer. */
struct coil_drift_point {
    double ph_low, ph_likely, ph_high; /* lowest and highest of the three */
    double alkalinity_eq_per_kg;       /* the likely one's */
    double dic_mol_per_kg;
    double calcium_mol_per_kg;
};

#define COIL_DRIFT_DAYS_MAX 60.0

/*
 * The water at given times.
 *
 * days  ascending, each 0 to 60; count >= 1
 * out   count points; partly written when refused
 *
 * Returns COIL_OK, COIL_WARN_RANGE (constants outside their temperatures),
 * COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN (ranges above; days not ascending), or
 * COIL_ERR_NO_SOLUTION when no such water exists.
 *
 * Method: d DIC / dt = -k / depth (CO2 - K_H p), k = k600 (Sc / 600)^-1/2 [cole-2010],
 * Sc of CO2 in fresh water [wanninkhof-2014]; each mg that evaporates leaves its salts
 * behind while fill water brings its own. Runge-Kutta of fourth order, steps of at most
 * 6 h and a tenth of depth / k. Ends where CO2 is in balance with air.
 */
enum coil_status coil_drift(const struct coil_drift_input *input, const double *days,
                            int count, struct coil_drift_point *out);

/* Schmidt number of CO2 in fresh water, 0 to 40 degC (held at its ends outside). */
double coil_schmidt_co2(double temp_c);

#endif
