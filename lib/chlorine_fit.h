/*
 * Learns one pool's loss of chlorine and its drift of pH from its own readings and
 * doses.
 *
 * Facts go in one after the other, in the order of their instants; after each the state
 * holds the best estimate, its uncertainty, and how far the readings so far had been
 * missed. A plain value of fixed size: copy it to try a dose. Rates are those of
 * chlorine_loss.h; forecast.h looks ahead from here.
 *
 * Method: two extended Kalman filters (regularised, recursive least squares): chlorine
 * as ln(FC + 0.5) with sun scale, dark rate, its doubling and demand; pH with the level
 * it drifts to and how fast. Each parameter starts at what the sources say and may
 * wander slowly. A reading far off moves the state but hardly the parameters. Time per
 * fact is bounded; see docs/model.md, "Fitting a pool".
 */
#ifndef COIL_CHLORINE_FIT_H
#define COIL_CHLORINE_FIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "band.h"
#include "chlorine_loss.h"
#include "status.h"

enum coil_pool_fact_kind {
    COIL_FACT_FREE_CHLORINE, /* reading, mg/L */
    COIL_FACT_PH,            /* reading */
    COIL_FACT_CYANURIC_ACID, /* reading, mg/L; holds until the next */
    COIL_FACT_WATER_TEMP,    /* reading, degC; holds until the next */
    COIL_FACT_DOSE_CHLORINE, /* rise by a dose, mg/L; below 0 a neutraliser; NaN: a dose
                                whose rise is not known (no volume, no strength) */
    COIL_FACT_DOSE_PH,       /* change of pH by a dose; NaN as above */
    COIL_FACT_DOSE_CYANURIC, /* rise by a dose, mg/L */
    COIL_FACT_BATHERS,       /* chlorine they take, mg/L: coil_bather_demand */
    COIL_FACT_CLOUD,         /* from now on, 0 to 1 */
    COIL_FACT_COVER,         /* share of light that passes from now on, 0 to 1 */
    COIL_FACT_FILL,          /* part of the water replaced by fill water, 0 to 1 */
    COIL_FACT_KIND_COUNT
};

struct coil_pool_fact {
    int64_t at_s; /* UTC */
    enum coil_pool_fact_kind kind;
    double value;
    double resolution; /* of a reading, in its unit, > 0; else not looked at */
    bool is_doubtful;  /* a reading that must not count: over range, bleached, probe
                          with its pump off */
};

/* Standing facts. */
struct coil_fit_pool {
    struct coil_loss_place place; /* light as usual; NaN depth: not known */
    bool has_place;               /* latitude and longitude are known */
    bool is_indoor;               /* no sun */
    bool cover_is_guessed;        /* what a cover keeps off is not well known */
    bool no_cyanuric_acid;        /* said to have none */
    bool is_fed;                  /* salt cell or feeder: chlorine that nobody logs */
    double usual_temp_c;          /* until one is read; NaN: 25 */
};

#define COIL_FIT_CHLORINE_STATES 5
#define COIL_FIT_PH_STATES 3
#define COIL_FIT_LEADS 3

/* Order of the chlorine states. */
enum {
    COIL_FIT_Y,
    COIL_FIT_LN_SUN,
    COIL_FIT_LN_DARK,
    COIL_FIT_LN_DOUBLING,
    COIL_FIT_DEMAND
};
/* Order of the pH states. */
enum { COIL_FIT_P, COIL_FIT_P_END, COIL_FIT_LN_PACE };

/* Estimate with covariance at the start of a stretch, and what happened since. */
struct coil_fit_chlorine {
    double x[COIL_FIT_CHLORINE_STATES];
    double p[COIL_FIT_CHLORINE_STATES][COIL_FIT_CHLORINE_STATES];
    double sun;       /* sun since then at sun scale 1: integral of a rate, no unit */
    double days;      /* since then */
    double temp_days; /* integral of the temperature, degC d */
};

struct coil_fit_ph {
    double x[COIL_FIT_PH_STATES];
    double p[COIL_FIT_PH_STATES][COIL_FIT_PH_STATES];
    double days;
};

/* An older estimate that is carried along untouched by readings, to see how far it is
 * off some days later. */
struct coil_fit_shadow {
    bool is_running;
    bool ph_is_running;
    double started_s;
    double ph_started_s;
    struct coil_fit_chlorine chlorine;
    struct coil_fit_ph ph;
};

struct coil_fit_errors {
    struct coil_band_memory all;
    struct coil_band_memory lead[COIL_FIT_LEADS];
    int tried;  /* readings for which a band of 0.9 had been ready */
    int inside; /* of these, inside it */
};

/* What the estimate rests on; all counts since the first fact. */
struct coil_fit_basis {
    int chlorine_readings;
    int ph_readings;
    int skipped;             /* doubtful, or too close after the last to add anything */
    int rises_without_dose;  /* readings far above what was expected */
    int falls_beyond_reason; /* readings far below */
    bool has_cyanuric_acid;  /* read, dosed or said to be none */
    bool has_temp;
    bool chlorine_dose_unknown; /* a dose of unknown size since the last reading */
    bool ph_dose_unknown;
    bool chlorine_in_doubt; /* the last reading lay far from what was expected */
    bool ph_in_doubt;
    int64_t chlorine_read_s; /* valid when there is a reading */
    int64_t ph_read_s;
};

struct coil_fit {
    struct coil_fit_pool pool;
    double time_s; /* of the last fact */
    bool has_time;
    bool depth_is_guessed;

    struct coil_fit_chlorine chlorine;
    struct coil_fit_ph ph;
    double chlorine_noise; /* how unsteady this pool is; 1 as assumed */
    double ph_noise;

    double cyanuric_acid_mg_per_l;
    double water_temp_c;

    struct coil_unbound unbound; /* for the water below */
    struct coil_loss_water unbound_for;
    bool has_unbound;
    double sun_day;    /* days since 1970 for which the next three hold */
    double sun_steady; /* sine of the elevation: steady + swing x cos(hour angle) */
    double sun_swing;
    double transit_s;

    struct coil_fit_shadow shadows[COIL_FIT_LEADS];
    struct coil_fit_errors chlorine_errors;
    struct coil_fit_errors ph_errors;
    double chlorine_resolution; /* of the last reading */
    double ph_resolution;
    struct coil_fit_basis basis;
};

/*
 * Starts with what the sources say and nothing read.
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN for a pool that cannot be:
 * the ranges of chlorine_loss.h. Latitude and longitude are not looked at without
 * has_place.
 */
enum coil_status coil_fit_init(struct coil_fit *fit, const struct coil_fit_pool *pool);

/*
 * One more fact; at_s not before the last.
 *
 * Returns COIL_OK; COIL_ERR_DOMAIN for a fact out of order or a value that cannot be
 * (quantity.h's possible ranges); COIL_ERR_NOT_FINITE; COIL_ERR_UNKNOWN (kind). The
 * state is untouched by a refused fact.
 */
enum coil_status coil_fit_add(struct coil_fit *fit, const struct coil_pool_fact *fact);

/* The same for many; refused ones are left out and counted. out_refused may be NULL. */
void coil_fit_add_all(struct coil_fit *fit, const struct coil_pool_fact *facts,
                      size_t count, size_t *out_refused);

/* Moves on to an instant without a fact; nothing happens when it is not later. */
void coil_fit_advance(struct coil_fit *fit, double time_s);

/* What was learnt, for people: likely values and one standard deviation. */
struct coil_fit_summary {
    double sun_scale;
    double sun_scale_factor; /* likely within times or divided by this */
    double dark_per_day_25c;
    double dark_per_day_factor;
    double dark_doubling_c;
    double dark_doubling_factor;
    double demand_mg_per_l_day; /* below 0: fed */
    double demand_sd;
    double ph_drift_per_day; /* now */
    double ph_drift_end;     /* the pH it goes to */
    double ph_drift_end_sd;
};
void coil_fit_summarise(const struct coil_fit *fit, struct coil_fit_summary *out);

/* ---- for forecast.c ---- */

/* Expected value and deviation (of the next reading, its own error included) in the
 * filter's own scale, ln(FC + 0.5) or pH, after the stretch so far. */
struct coil_fit_view {
    double mean;
    double sd;
};
struct coil_fit_view coil_fit_view_chlorine(const struct coil_fit *fit);
struct coil_fit_view coil_fit_view_ph(const struct coil_fit *fit);

/* Stretch of the band: multiples of sd for a probability, some days after the last
 * reading. */
double coil_fit_stretch(const struct coil_fit_errors *errors, double days, double p);

/* mg/L of a value on the scale, never below 0; and back. */
double coil_fit_mg_per_l(double y);
double coil_fit_scale(double mg_per_l);

#endif
