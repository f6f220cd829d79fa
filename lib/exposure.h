/*
 * What a heater went through while water outside its band passed it or stood in it.
 *
 * Counts hours by cause, and weighs them: acidity as times the limit (10^(limit - pH)),
 * chlorine as times the ceiling, both together as the product of the two. The weights
 * are a convention: no rate at which a heater's coil corrodes in pool water is
 * published. It is evidence of how a heater was kept, never a remaining life. Hours in
 * which scale could settle at the hot surface are counted apart: they foul, they do not
 * corrode, and have no part in severity.
 *
 * Knows nothing of where the course of the water comes from; forecast.h computes it.
 */
#ifndef COIL_EXPOSURE_H
#define COIL_EXPOSURE_H

#include <stdbool.h>
#include <stddef.h>

#include "forecast.h"
#include "permit.h"
#include "status.h"

/* The weights are a convention: what pages have to say beside every weighted number. */
extern const char coil_exposure_weights_words[];

enum coil_exposure_cause {
    COIL_EXPOSURE_LOW_PH,
    COIL_EXPOSURE_HIGH_CHLORINE,
    COIL_EXPOSURE_BOTH,
    COIL_EXPOSURE_CAUSE_COUNT
};

/* A combined event is severe from this product on, at once: stop, isolate, bring the
 * water back, have the heater inspected. A convention: twice as acidic as the limit at
 * twice the ceiling. */
#define COIL_EXPOSURE_SEVERE 4.0
/* Events of one cause or another with less than this between them are one (s). */
#define COIL_EXPOSURE_GAP_S 3600.0

/* The heater is in a state from an instant until the next; ascending. */
struct coil_heater_span {
    double from_s;
    enum coil_heater_state state;
};

/* The pump runs; ascending, not overlapping. */
struct coil_pump_span {
    double from_s;
    double until_s;
};

/* The heater's limits from an instant until the next; ascending. NaN: no such limit. */
struct coil_limit_span {
    double from_s;
    double ph_low;
    double free_chlorine_high_mg_per_l; /* else > 0 */
};

struct coil_exposure_input {
    /* The water, count instants in ascending order. A point without pH or chlorine says
     * that it is not known there. */
    const double *times_s;
    const struct coil_forecast_point *points;
    size_t count;

    const struct coil_heater_span *heater; /* before the first: in line */
    size_t heater_count;
    const struct coil_pump_span *pump;
    size_t pump_count;
    bool has_pump; /* false: no runs are known, water is taken to flow all the time */

    const struct coil_limit_span *limits; /* at least one; the first holds before it too */
    size_t limit_count;

    /* Fouling. hot_index: calcite saturation index at the hot surface at each point, from
     * the band of pH; NaN where it is not known. NULL: not asked for. */
    const struct coil_band *hot_index;
    const struct coil_pump_span *burner; /* it fires; ascending, not overlapping */
    size_t burner_count;
};

struct coil_exposure_hours {
    double likely;   /* by the likely course */
    double at_least; /* where even the band's better edge lies outside */
    double at_most;  /* where the band's worse edge lies outside */
    double weighted; /* likely hours times severity: a convention */
};

struct coil_exposure_total {
    struct coil_exposure_hours
        cause[COIL_EXPOSURE_CAUSE_COUNT]; /* no hour counts twice */
    double flowing_h;   /* of the likely hours outside: water passed */
    double standing_h;  /* water stood in the heater */
    double in_heater_h; /* all hours with water in the heater that could be judged */
    double unknown_h;   /* water in the heater, and pH or chlorine not known */
    /* Of the hours in which the burner fired a heater in line: index above
     * COIL_SCALE_INDEX. weighted is 0: nothing is weighed. */
    struct coil_exposure_hours scaling;
    double fired_h;         /* all of them that could be judged */
    double fired_unknown_h; /* and those that could not */
    size_t event_count; /* found; may be more than there was room for */
};

/* One stretch of time outside the band. */
struct coil_exposure_event {
    double from_s;
    double until_s;
    bool has_low_ph;
    bool has_high_chlorine;
    bool has_both;    /* at one instant */
    bool is_standing; /* at the worst instant the water stood in the heater */
    bool is_severe;   /* both, and COIL_EXPOSURE_SEVERE or more */
    double severe_from_s; /* first and last instant of that; 0 when it is not */
    double severe_until_s;
    bool is_open;     /* lasts at the end of the course */
    double hours;     /* with bad water in the heater; gaps are not counted */
    double weighted_h;
    double worst_s;
    double worst_severity; /* times the limit, or product */
    double worst_ph;       /* likely values then; NaN when not known */
    double worst_free_chlorine_mg_per_l;
};

/*
 * Severity of one water: 0 inside the band, else above 1. NaN for a value that is not
 * known; NaN for a limit that there is none of. out_cause is set when above 0.
 */
double coil_exposure_severity(double ph, double free_chlorine_mg_per_l, double ph_low,
                              double free_chlorine_high_mg_per_l,
                              enum coil_exposure_cause *out_cause);

/*
 * out_events  room for capacity events, in order of time; may be NULL when capacity is
 * 0
 *
 * Between two instants values are straight lines; finer instants follow the course
 * better (15 minutes do). Water that stands in a heater keeps the values that it had
 * when the flow stopped: no sun reaches it, and what chlorine it loses there is not
 * counted.
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE (an instant) or COIL_ERR_DOMAIN: instants out of
 * order, a ceiling that is not above 0, no limit at any time, fewer than 2 points.
 */
enum coil_status coil_exposure_sum(const struct coil_exposure_input *input,
                                   struct coil_exposure_event *out_events,
                                   size_t capacity, struct coil_exposure_total *out);

#endif
