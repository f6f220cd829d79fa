/*
 * May the heater run? Two questions, one headline.
 *
 * Water side: may this water pass the heater? Burner side: may it fire? The headline is
 * the worse of the two: hold wins over test wins over run. The answer comes from a table
 * of rules (permit_rules.c); a new rule is a new row there and touches no other.
 *
 * Knows nothing of where facts come from, of words for people, or of the time but what
 * it is told. Never answers run from a value that is missing, too old or doubtful.
 */
#ifndef COIL_PERMIT_H
#define COIL_PERMIT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "product.h"
#include "quantity.h"

/* Worse is larger. */
enum coil_permit { COIL_RUN, COIL_TEST, COIL_HOLD };
enum coil_side { COIL_WATER_SIDE, COIL_BURNER_SIDE };
#define COIL_SIDE_COUNT 2

/* Numbers below are written into databases. */
enum coil_sanitiser {
    COIL_CHLORINE,
    COIL_SALT_CHLORINE,
    COIL_SANITISER_BROMINE,
    COIL_BIGUANIDE,
    COIL_SANITISER_COUNT
};
enum coil_bypass {
    COIL_BYPASS_NONE,
    COIL_BYPASS_FULL,      /* ordinarily closed; opens to take the heater off line */
    COIL_BYPASS_PART_OPEN, /* ordinarily part open, with a usual position to restore */
    COIL_BYPASS_COUNT
};
enum coil_heater_state {
    COIL_HEATER_IN_LINE,
    COIL_HEATER_OFF_LINE_FLUSHED,
    COIL_HEATER_OFF_LINE_STANDING, /* pool water stands in it */
    COIL_HEATER_DRAINED,
    COIL_HEATER_STATE_COUNT
};
enum coil_limit_name {
    COIL_LIMIT_PH_LOW,             /* wall below which acid water must not pass */
    COIL_LIMIT_PH_HIGH,            /* only when the heater's manual has one */
    COIL_LIMIT_FREE_CHLORINE_HIGH, /* mg/L */
    COIL_LIMIT_BROMINE_HIGH,       /* mg/L */
    COIL_LIMIT_SPA_TEMP_HIGH,      /* °C, of a spa's water */
    COIL_LIMIT_COUNT
};
/* Numbers are written into databases, but for the last: a default of ours that an office
 * published. */
enum coil_limit_source {
    COIL_COMMON_PRACTICE,
    COIL_MANUAL,
    COIL_OWN,
    COIL_PUBLISHED
};

struct coil_limit {
    bool is_set;
    double value; /* in the quantity's unit */
    enum coil_limit_source source;
};

const char *coil_permit_key(enum coil_permit permit); /* "run", "test", "hold" */
const char *coil_sanitiser_key(enum coil_sanitiser sanitiser);
const char *coil_bypass_key(enum coil_bypass bypass);
const char *coil_heater_state_key(enum coil_heater_state state);
const char *coil_limit_key(enum coil_limit_name name); /* "ph_low", … */
const char *coil_limit_source_key(enum coil_limit_source source); /* "manual", … */

/*
 * Limits when nobody said otherwise: pH 7.2 (common practice, no source), free chlorine
 * 5 mg/L [mil-hdbk-1027-4a, upper end], bromine 6 mg/L (common practice, no source, from
 * memory), spa 40 °C [cpsc-79-071]; no upper pH.
 */
struct coil_limit coil_limit_default(enum coil_limit_name name);

/* One measured value as the permit needs it. */
struct coil_measure {
    double value;
    int64_t at_s;
    double resolution; /* > 0, in the quantity's unit */
    enum coil_method method;
    bool over_range;
    bool diluted;
    bool day_only; /* only the day is known; at_s is its start, COIL_DAY_ONLY_S the most
                      it may be later */
};
/* A day of 25 hours: clocks go back on one of them. */
#define COIL_DAY_ONLY_S (25 * 3600)

#define COIL_HISTORY_MAX 24

/* Newest first by at_s. */
struct coil_history {
    size_t count;
    struct coil_measure newest[COIL_HISTORY_MAX];
};

struct coil_dose_mark {
    int64_t at_s;
    enum coil_product_kind kind;
    enum coil_product product;
    double chlorine_rise_mg_per_l; /* 0: none, or the volume is not known */
    bool super_chlorination;
};

#define COIL_DOSES_MAX 24

enum coil_clock {
    COIL_CLOCK_GOOD,
    COIL_CLOCK_UNSYNCHRONISED, /* shown, not fatal */
    COIL_CLOCK_JUMPED,         /* moved against boot time, not confirmed since */
    COIL_CLOCK_BEHIND          /* earlier than the newest fact */
};

/* Faults of the stored line, by side those that stop it: see line.h. */
struct coil_line_stops {
    int count; /* 0: none, or no line was described */
    int first; /* enum coil_line_fault_code of the worst */
};

/* All that a permit depends on. Zeroed: a chlorine pool about which nothing is known. */
struct coil_permit_facts {
    int64_t now_s;
    enum coil_clock clock;
    int64_t clock_jump_s;

    enum coil_sanitiser sanitiser;
    bool is_spa;
    bool winter_closed;
    bool no_cyanuric_acid;
    bool lining_has_cement; /* plaster, or tile with grout */
    double surface_rise_k;  /* the heater's hot surface above the pool's water, 0 to 60;
                               0: not known, COIL_FILM_RISE_DEFAULT_K is taken */

    enum coil_bypass bypass;
    enum coil_heater_state heater_state;
    int64_t heater_state_at_s; /* 0: never said; in line is assumed */
    struct coil_limit limits[COIL_LIMIT_COUNT];

    struct coil_history history[COIL_QUANTITY_COUNT];
    size_t dose_count;
    struct coil_dose_mark doses[COIL_DOSES_MAX]; /* newest first */

    /* Instant at which a forecast from the deciding value first touches a wall, or up to
     * which it was looked at and does not; 0: no forecast that can say. */
    int64_t ph_touches_at_s;
    int64_t sanitiser_touches_at_s;
    int64_t plan_started_at_s;    /* of a super-chlorination not ended; 0: none */
    int64_t severe_exposure_until_s; /* of a severe part (exposure.h); 0: none */
    int64_t inspected_at_s;          /* newest inspection by a technician; 0: none */
    bool inspection_may_run;         /* what it found */
    /* What only a technician's later test ends; 0: nothing. */
    int64_t co_high_at_s;   /* a flue test above COIL_CO_AIR_FREE_LIMIT_PPM … */
    double co_air_free_ppm; /* … and what it showed */
    int64_t rollout_at_s;   /* flames outside the burner's box */
    int64_t soot_at_s;
    int64_t gas_smell_at_s;
    bool cleaning_overdue;
    int32_t cleaning_overdue_days;
    struct coil_line_stops line_stops[COIL_SIDE_COUNT]; /* by enum coil_side */
    struct coil_line_stops line_risks; /* harm when something else happens */
};

/* Why a rule speaks. */
struct coil_finding {
    const char *rule; /* stable code, lives as long as the program */
    enum coil_side side;
    bool is_caution; /* never changes the headline */
    enum coil_permit permit;
    bool has_value;
    enum coil_quantity quantity;
    double value;
    bool day_only; /* of the value: see coil_measure */
    bool has_limit;
    double limit;
    enum coil_limit_source limit_source;
    int64_t age_s; /* of the value or of the fact; -1: does not apply */
    double factor; /* times as acidic, or times the ceiling; 0: does not apply */
    bool has_index; /* a calcite saturation index; never one of copper [edwards-1996] */
    double index;
    double index_half_width; /* about 95 % lie within */
    double index_limit;
};

#define COIL_FINDINGS_MAX 48

struct coil_verdict {
    enum coil_permit permit; /* the headline */
    enum coil_permit water_side;
    enum coil_permit burner_side;
    int64_t good_until_s; /* of a run: it turns to test then; 0 for hold and test */
    size_t finding_count;
    struct coil_finding findings[COIL_FINDINGS_MAX];
};

/*
 * Total chlorine tested at the instant of a value of free chlorine and less than it: then
 * neither counts, see coil_free_exceeds_total. NULL: no such contradiction. Lives as long
 * as the facts.
 */
const struct coil_measure *coil_permit_total_below(const struct coil_permit_facts *facts,
                                                   const struct coil_measure *free);

/* Pure: the same facts give the same verdict. Never fails: what cannot be judged is
 * test or hold. */
void coil_permit_from_facts(const struct coil_permit_facts *facts,
                            struct coil_verdict *out_verdict);

/* How long values count (common practice, no source; design choice). */
#define COIL_VALIDITY_S (7 * 86400)
#define COIL_VALIDITY_AT_WALL_S (48 * 3600)
/* With a forecast, to the instant at which its band touches a wall, but no longer than
 * the first and no shorter than the second: near a wall the band is the test's own error,
 * and the same test an hour later would say no more. Between them later touch, later
 * end. */
#define COIL_VALIDITY_FORECAST_S (14 * 86400)
#define COIL_VALIDITY_FORECAST_MIN_S 86400
/* Above this, indicators bleach or shift (common practice, no source). */
#define COIL_INTERFERENCE_MG_PER_L 10.0
#define COIL_INTERFERENCE_S (48 * 3600)

/* Calcite saturation at the hot surface above which scale is warned of, and in the pool
 * below which plaster and grout dissolve. Common practice, no source; the first is ours:
 * closed heating alone adds some 0.16, and the model is known to 0.1 there. */
#define COIL_SCALE_INDEX 0.5
#define COIL_DISSOLVE_INDEX (-0.3)

/* Names of all rules in table order; NULL past the end. */
const char *coil_permit_rule_at(size_t index);

#endif
