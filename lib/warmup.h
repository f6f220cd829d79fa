/*
 * Efficiency of the heater from logged warm-ups, its trend over the years, and the
 * alarm when a loss is real.
 *
 * Efficiency is of gross heat: heat that reached the water over fuel. Knows nothing of
 * the flue (combustion.h) or of weather: the caller brings the mean loss of the water.
 */
#ifndef COIL_WARMUP_H
#define COIL_WARMUP_H

#include <stdbool.h>
#include <stddef.h>

#include "status.h"

/* Gross efficiency above which a measurement is wrong: about 90 % without condensing
 * [doe-steam-tip-4, its best row is 85.4], all of it with. */
#define COIL_EFFICIENCY_LIMIT 0.90
#define COIL_EFFICIENCY_LIMIT_CONDENSING 1.0

/* Code, field, sentence. The first ones refuse, those from PROBE_IN_SUN on flag. */
#define COIL_WARM_UP_FLAW_LIST(X)                                                      \
    X(COIL_WARM_UP_NO_NUMBER, "warm_up_no_number", "",                                 \
      "A number is missing or impossible.")                                            \
    X(COIL_WARM_UP_END_BEFORE_START, "warm_up_end_before_start", "duration_s",         \
      "The warm-up must end after it starts.")                                         \
    X(COIL_WARM_UP_NO_FUEL, "warm_up_no_fuel", "fuel",                                 \
      "No fuel was used: efficiency cannot be computed.")                              \
    X(COIL_WARM_UP_METER_BACKWARDS, "warm_up_meter_backwards", "meter_end",            \
      "The meter ran backwards.")                                                      \
    X(COIL_WARM_UP_METER_REPLACED, "warm_up_meter_replaced", "meter_end",              \
      "The meter was replaced between the two readings.")                              \
    X(COIL_WARM_UP_NO_HEAT, "warm_up_no_heat", "end_temp_c",                           \
      "The water took up no heat: nothing to measure.")                                \
    X(COIL_WARM_UP_PROBE_IN_SUN, "warm_up_probe_in_sun", "end_temp_c",                 \
      "The temperature probe was in the sun: this warm-up is not used.")               \
    X(COIL_WARM_UP_METER_SHARED, "warm_up_meter_shared", "meter_end",                  \
      "Other appliances share the meter: the result is less certain.")                 \
    X(COIL_WARM_UP_ABOVE_PHYSICS, "warm_up_above_physics", "efficiency_fraction",      \
      "More than physics allows: a measurement error, not a good heater.")             \
    X(COIL_WARM_UP_UNCERTAIN, "warm_up_uncertain", "end_temp_c",                       \
      "So small a rise that the result says little.")

enum coil_warm_up_flaw {
#define X(name, code, field, text) name,
    COIL_WARM_UP_FLAW_LIST(X)
#undef X
        COIL_WARM_UP_FLAW_COUNT
};

/* Stable code, field and sentence; NULL for no such number. */
const char *coil_warm_up_flaw_code(enum coil_warm_up_flaw flaw);
const char *coil_warm_up_flaw_field(enum coil_warm_up_flaw flaw);
const char *coil_warm_up_flaw_text(enum coil_warm_up_flaw flaw);

enum coil_fuel_source { COIL_FUEL_BY_METER, COIL_FUEL_BY_BURNER_HOURS };

struct coil_warm_up_log {
    double start_temp_c, end_temp_c; /* of mixed water, 0 to 50 */
    double duration_s;
    double loss_w; /* mean net loss of the water meanwhile, sun counted; -1e6 to 1e6 */
    enum coil_fuel_source source;
    double meter_start, meter_end; /* any unit; BY_METER */
    double meter_step;             /* smallest step of the meter, >= 0 */
    double j_per_unit;             /* gross heat of that unit, > 0 */
    bool meter_was_replaced;
    double shared_fraction;   /* of the metered fuel, burnt by others; 0 to 0.9 */
    double u_shared_fraction; /* standard uncertainty of that */
    double burner_h;          /* BY_BURNER_HOURS, at rated_input_w */
    double rated_input_w;     /* gross, > 0 */
    bool probe_in_sun;
    bool is_condensing;
};

/* Standard uncertainties. */
struct coil_warm_up_doubt {
    double volume_m3;
    double u_volume_fraction; /* 0.05 is usual: the same in every warm-up */
    double u_fuel_fraction;   /* heating value or rated input, 0.03: the same as well */
    double u_temp_k;          /* of each reading, 0.3 */
    double u_loss_fraction;   /* of loss_w, 0.3 */
};

struct coil_warm_up_result {
    bool is_flawed[COIL_WARM_UP_FLAW_COUNT];
    bool
        is_usable; /* for the trend: neither refused nor above physics nor in the sun */
    double efficiency_fraction;
    double u_random; /* differs from one warm-up to the next */
    double u_common; /* the same in all: cancels in a trend */
    double heat_j;   /* to the water, losses included */
    double fuel_j;
};

/*
 * Efficiency of one warm-up: (V density heat capacity rise + loss duration)/fuel.
 *
 * out  always filled; with a refusal only is_flawed says something
 *
 * Returns COIL_OK, COIL_WARN_RANGE when flagged, COIL_ERR_DOMAIN when refused.
 * UNCERTAIN: u_random above 0.1. METER_SHARED: shared_fraction or its uncertainty above
 * 0.
 */
enum coil_status coil_warm_up_efficiency(const struct coil_warm_up_log *log,
                                         const struct coil_warm_up_doubt *doubt,
                                         struct coil_warm_up_result *out);

#define COIL_SEASONS_MAX 40
#define COIL_SEASON_LEAST 5 /* usable warm-ups that make a season count */
#define COIL_EFFICIENCY_POINTS_MAX 2000

struct coil_efficiency_point {
    int season; /* the season's year, ascending through the points */
    double efficiency_fraction;
};

struct coil_loss_alarm_rule {
    double season_sd; /* what a whole season can be off by, in fraction: heating value,
                         probe, cover habits; 0.01 is a convention of ours */
    double false_alarm; /* chance of any alarm over all looks without a loss: 0.05 */
    int looks;          /* looks that are planned, one after each season: 10 */
    double least_loss;  /* no alarm for less, in fraction: 0.02 */
};

struct coil_loss_alarm_rule coil_loss_alarm_usual(void);

struct coil_efficiency_trend {
    int seasons;                     /* with COIL_SEASON_LEAST or more */
    double mean[COIL_SEASONS_MAX];   /* trimmed mean of each */
    double u_mean[COIL_SEASONS_MAX]; /* season_sd not in it */
    int season[COIL_SEASONS_MAX];
    double slope_per_year;   /* in fraction; negative: efficiency falls */
    double u_slope_per_year; /* season_sd in it; 0 with fewer than 2 seasons */
    double
        lost; /* from the first season to the last, along the line; negative: gained */
    double scatter; /* standard deviation of single warm-ups, tails cut */
    bool is_alarm;
};

/*
 * Trend over seasons and the slow-loss alarm.
 *
 * point  count usable warm-ups, season ascending
 * out    untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN. With fewer than 2 seasons no
 * slope and no alarm.
 *
 * Method: mean of each season without its lowest and highest fifth, scatter by
 * winsorised variance [tukey-mclaughlin-1963], pooled over seasons; weighted straight
 * line through the means, each with its own variance and season_sd squared; alarm when
 * the slope is below 0 by more standard uncertainties than the normal distribution
 * passes with chance false_alarm/looks. Simulated with a household of another structure
 * (heavy tails, seasonal bias, forgotten covers, coarse meter, whole seasons off):
 * fewer than 5 % false alarms in ten looks; a loss of 3 points a year is found within 4
 * seasons of 20 warm-ups in over 90 % (tests/lib/test_warmup.c). What shifts all of a
 * later season by more than a few season_sd alarms too: a new meter or probe starts a
 * new series.
 */
enum coil_status coil_efficiency_trend(const struct coil_efficiency_point *point,
                                       size_t count,
                                       const struct coil_loss_alarm_rule *rule,
                                       struct coil_efficiency_trend *out);

/*
 * Chance that the alarm stands after the last of some seasons.
 *
 * loss_per_year  in fraction, 0 to 0.5
 * seasons 2 to COIL_SEASONS_MAX, per_season COIL_SEASON_LEAST to 1000
 * scatter        standard deviation of single warm-ups, above 0 to 0.5
 *
 * From the normal distribution, with 1.14 for the variance of the trimmed mean (from
 * memory); the least_loss is not counted.
 */
enum coil_status coil_loss_alarm_power(const struct coil_loss_alarm_rule *rule,
                                       double loss_per_year, int seasons,
                                       int per_season, double scatter,
                                       double *out_power);

/*
 * Fuel a year that a loss costs: fuel (1 - now/before).
 *
 * fuel_j_per_year as it is now, 0 to 1e15; 0 < now <= before <= 1.1
 */
enum coil_status coil_loss_fuel_j(double fuel_j_per_year, double before, double now,
                                  double *out_j);

#endif
