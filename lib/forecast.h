/*
 * Free chlorine and pH from now on, with a band, from a pool's fit.
 *
 * Nothing is assumed to be dosed after the last fact; to see the effect of a dose, copy
 * the fit and add it. The band is for the next reading: it holds the state's
 * uncertainty, the steadiness of this pool, the error of the test, and is stretched to
 * what the errors of this pool's own readings have been so far. Where an answer would
 * be a guess, it says which test is missing instead.
 */
#ifndef COIL_FORECAST_H
#define COIL_FORECAST_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "chlorine_fit.h"
#include "status.h"

#define COIL_FORECAST_LEVEL 0.9
/* No band is stated later than this after the reading it rests on (days). */
#define COIL_FORECAST_MAX_DAYS 30.0
/* A permit is never good for longer (days). */
#define COIL_FORECAST_WALL_MAX_DAYS 14.0

/*
 * X(name, bit, key, words). The first three forbid an answer, the fourth and fifth a time
 * for a wall; the others widen the band or say what it assumes. A set is an unsigned
 * number of bits.
 */
#define COIL_FORECAST_NOTE_LIST(X)                                                     \
    X(COIL_NOTE_NO_READING, 0, "no_reading", "Nothing was tested yet")                 \
    X(COIL_NOTE_UNKNOWN_DOSE, 1, "unknown_dose",                                       \
      "A dose of unknown effect was added since the last test")                        \
    X(COIL_NOTE_TOO_LATE, 2, "too_late", "The last test is too long ago")              \
    X(COIL_NOTE_IN_DOUBT, 3, "in_doubt",                                               \
      "The last test lies far from what was expected")                                 \
    X(COIL_NOTE_FEW_READINGS, 4, "few_readings",                                       \
      "Few tests so far: usual values of pools are used")                              \
    X(COIL_NOTE_NO_CYANURIC_ACID, 5, "no_cyanuric_acid",                               \
      "Cyanuric acid was not tested")                                                  \
    X(COIL_NOTE_NO_PLACE, 6, "no_place", "The place is not known, so the sun is not")  \
    X(COIL_NOTE_NO_SUN, 7, "no_sun", "The sun does not rise here in this time")        \
    X(COIL_NOTE_NO_TEMP, 8, "no_temp", "Water temperature was not tested")             \
    X(COIL_NOTE_NOT_REACHED, 9, "not_reached",                                         \
      "It does not get there within the time that can be foreseen")                    \
    X(COIL_NOTE_BAND_TOO_WIDE, 10, "band_too_wide", "The band is too wide to say when")

enum coil_forecast_note {
#define X(name, bit, key, words) name = 1 << (bit),
    COIL_FORECAST_NOTE_LIST(X)
#undef X
};
#define COIL_FORECAST_NOTE_COUNT 11

/* Key and words of bit number index; NULL past the end. */
const char *coil_forecast_note_key(int index);
const char *coil_forecast_note_words(int index);

struct coil_band {
    double low;
    double likely;
    double high;
};

struct coil_forecast_point {
    bool has_free_chlorine;
    bool has_ph;
    struct coil_band free_chlorine_mg_per_l;
    struct coil_band ph;
};

/*
 * One instant. level: share of later readings that the band shall hold, 0.5 to 0.99.
 * fit is moved on to time_s (a copy's sun need not be computed twice).
 *
 * Returns COIL_OK (has_… false where nothing can be said); COIL_ERR_NOT_FINITE;
 * COIL_ERR_DOMAIN: level, or time_s before the last fact or last advance.
 */
enum coil_status coil_forecast_at(struct coil_fit *fit, double time_s, double level,
                                  struct coil_forecast_point *out);

/* What a forecast up to until_s rests on: bits of enum coil_forecast_note. */
unsigned coil_forecast_notes(const struct coil_fit *fit, double until_s);

/* Share of the pool's own readings that lay inside the 0.9 band stated before them. */
struct coil_forecast_coverage {
    int tried;
    double fraction; /* NaN while none was tried */
};
struct coil_forecast_coverage
coil_forecast_coverage_chlorine(const struct coil_fit *fit);
struct coil_forecast_coverage coil_forecast_coverage_ph(const struct coil_fit *fit);

/* Walls of the heater-safe band; NaN: there is none. */
struct coil_walls {
    double ph_low;
    double ph_high;
    double free_chlorine_high_mg_per_l;
};

enum coil_wall {
    COIL_WALL_NONE,
    COIL_WALL_PH_LOW,
    COIL_WALL_PH_HIGH,
    COIL_WALL_FREE_CHLORINE_HIGH
};

struct coil_wall_touch {
    bool can_say; /* false: not enough known, see notes; fall back to fixed times */
    bool touches; /* false: not within until_s */
    enum coil_wall wall;
    double at_s; /* the instant; the end of the time looked at when none */
    unsigned notes;
};

/*
 * The first instant from from_s on at which the band touches a wall, at most
 * max_days (1 to 14) ahead; found to 5 minutes, and never late.
 *
 * Returns COIL_OK; COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN as coil_forecast_at, or no
 * wall.
 */
enum coil_status coil_forecast_wall(const struct coil_fit *fit, double from_s,
                                    const struct coil_walls *walls, double level,
                                    double max_days, struct coil_wall_touch *out);

/*
 * When chlorine is down at a ceiling: earliest as the band's low edge, likely, latest
 * as its high edge passes. NaN: not within max_days (1 to 30).
 *
 * can_say is false when the test that it would rest on is missing; then all are NaN. A
 * latest that is not reached, or more than 6 times as far off as the likely one, is no
 * time to plan with: NaN and COIL_NOTE_BAND_TOO_WIDE. A time is never a permission; the
 * test that must confirm it is.
 */
struct coil_return_times {
    bool can_say;
    double earliest_s;
    double likely_s;
    double latest_s;
    unsigned notes;
};
enum coil_status coil_forecast_return(const struct coil_fit *fit, double from_s,
                                      double ceiling_mg_per_l, double level,
                                      double max_days, struct coil_return_times *out);

/*
 * The whole course over given instants, past and future: facts up to an instant, and
 * between two readings the forecast from the first one, drawn to meet the second. Past
 * the last fact: the forecast. What the exposure of a heater is computed from.
 *
 * facts      in order of their instants
 * times_s    count instants in order; out_points count results
 * Refused facts are left out. Returns COIL_OK, or as coil_fit_init and
 * coil_forecast_at.
 */
enum coil_status coil_forecast_course(const struct coil_fit_pool *pool,
                                      const struct coil_pool_fact *facts,
                                      size_t fact_count, const double *times_s,
                                      size_t count, double level,
                                      struct coil_forecast_point *out_points);

#endif
