/*
 * Treatment: from readings and wanted ranges to ordered steps that bring the water
 * back.
 *
 * Every value before and after a step comes from the equilibrium model. The plan takes
 * what the shed has first, then as few products as will do, then the smallest side
 * effects; a dose is never larger than its limit and never smaller than what can be
 * measured. Knows nothing of people, times of day, or where readings come from; what is
 * missing must be asked for by the caller, never guessed.
 *
 * A saturation index speaks of calcium carbonate. It says nothing about copper
 * [edwards-1996].
 */
#ifndef COIL_TREATMENT_H
#define COIL_TREATMENT_H

#include <stdbool.h>
#include <stdint.h>

#include "composition.h"
#include "film.h"
#include "product.h"
#include "saturation_band.h"
#include "status.h"

/* What a plan can bring into a range. */
#define COIL_AIM_LIST(X)                                                               \
    X(COIL_AIM_PH, COIL_PH)                                                            \
    X(COIL_AIM_ALKALINITY, COIL_TOTAL_ALKALINITY)                                      \
    X(COIL_AIM_CALCIUM, COIL_CALCIUM_HARDNESS)                                         \
    X(COIL_AIM_CHLORINE, COIL_FREE_CHLORINE)                                           \
    X(COIL_AIM_CYANURIC_ACID, COIL_CYANURIC_ACID)                                      \
    X(COIL_AIM_SALT, COIL_SALT)                                                        \
    X(COIL_AIM_BORATE, COIL_BORATE)

enum coil_aim {
#define X(name, quantity) name,
    COIL_AIM_LIST(X)
#undef X
        COIL_AIM_COUNT
};

/* The quantity of an aim, and back; COIL_AIM_COUNT for a quantity that is no aim. */
enum coil_quantity coil_aim_quantity(enum coil_aim aim);
enum coil_aim coil_aim_from_quantity(enum coil_quantity quantity);

struct coil_wanted {
    bool is_set;
    double low, high; /* in the quantity's unit, low <= high */
};

/* What the defaults depend on. */
struct coil_wanted_basis {
    bool has_plaster;      /* plaster, or tile with cement between */
    bool has_chlorine;     /* chlorine or salt-chlorine */
    bool no_cyanuric_acid; /* indoors, or said so */
};

/*
 * pH 7.4 to 7.6 [mil-hdbk-1027-4a]; alkalinity 80 to 120, free chlorine 2 to 4,
 * cyanuric acid 30 to 50 and, for plaster, calcium 200 to 400: common practice, no
 * source. Salt and borate have no default. coil_wanted_source says which ("" for the
 * latter).
 */
struct coil_wanted coil_wanted_default(enum coil_aim aim,
                                       const struct coil_wanted_basis *basis);
/* Key in docs/sources.md, or "common practice, no source". */
const char *coil_wanted_source(enum coil_aim aim);

/* One thing in the shed. */
struct coil_shed_item {
    int64_t id; /* the caller's; not 0 */
    enum coil_product product;
    double strength_percent; /* of the label */
    double amount_left;      /* g, or mL of a liquid */
    double measure_step;     /* what its scoop, jug or scale can tell apart; 0: not said */
};

#define COIL_SHED_MAX 32

/*
 * Per-dose limits, in the unit of the value that one dose moves: how much alkalinity an
 * acid may take or a carbonate bring, and so on. Common practice, no source: a quick
 * dose clouds the water, sinks, or turns acid where it lies.
 */
struct coil_dose_limits {
    double acid_mg_per_l_caco3;
    double carbonate_mg_per_l_caco3; /* soda ash and stronger bases */
    double bicarbonate_mg_per_l_caco3;
    double calcium_mg_per_l_caco3;
    double chlorine_mg_per_l;
};

/* 10, 15, 50, 100 and 10 mg/L. */
struct coil_dose_limits coil_dose_limits_default(void);

struct coil_treatment_input {
    struct coil_composition water;      /* readings; 0 for what is not there */
    struct coil_saturation_steps steps; /* of the tests that found them */
    double chlorine_step_mg_per_l;      /* of the chlorine test, >= 0 */
    double volume_m3;                   /* > 0 */
    struct coil_wanted wanted[COIL_AIM_COUNT];
    bool knows_calcium; /* without it no saturation is given */

    bool knows_fill;
    struct coil_composition fill; /* where knows_fill */

    const struct coil_shed_item *shed; /* borrowed */
    int shed_count;                    /* 0 to COIL_SHED_MAX */

    struct coil_dose_limits limits; /* each > 0 */
    double smallest_solid_g;        /* what can be measured where no item says, > 0 */
    double smallest_liquid_ml;

    double
        surface_rise_k;   /* the heater's hot surface above the pool's water, 0 to 60 */
    double heater_ph_low; /* walls of the heater: outside, it must be off line */
    double heater_chlorine_high_mg_per_l;
    double replace_at_once_max_fraction; /* (0, 1]: an empty shell may float or crack */
    enum coil_cyanurate_source source;
};

/* Fills what has a default: limits, smallest doses (10 g, 10 mL), surface rise (the
 * illustrative film rise), walls (7.2 and 5), a third of the water at once. */
void coil_treatment_input_init(struct coil_treatment_input *input);

/* The water at one moment of the plan; values by enum coil_aim. */
struct coil_treatment_state {
    double value[COIL_AIM_COUNT];
    double si_pool; /* NAN where calcium is not known or none is there */
    double si_surface;
};

enum coil_step_kind {
    COIL_STEP_REPLACE, /* drain a part and fill */
    COIL_STEP_DOSE,    /* put a product in */
    COIL_STEP_AERATE,  /* let CO2 leave until pH is where after says */
    COIL_STEP_WAIT     /* let chlorine fall by itself until it is where after says */
};

enum coil_step_heater {
    COIL_STEP_HEATER_IN_LINE, /* burner off until mixed */
    COIL_STEP_HEATER_OFF_LINE /* before, while or after, the water is outside a wall */
};

struct coil_treatment_step {
    enum coil_step_kind kind;
    enum coil_product product; /* of a dose */
    int64_t shed_id;           /* 0: to be bought */
    double amount;             /* g or mL; of a dose */
    double strength_percent;
    double short_by;      /* of amount, what the shed lacks by then */
    double fraction;      /* of a replacement: part of the water, 0 to 1 */
    int part, part_count; /* a dose split by its limit: 2 of 3 */
    double wait_h;        /* before the next step; 0: nothing to wait for */
    bool pump_on;         /* while and after */
    enum coil_step_heater heater;
    bool other_place; /* not where the step before went in, since acid meets chlorine */
    bool test_after;  /* the outcome is not sure enough to go on without */
    struct coil_treatment_state before, after;
};

#define COIL_TREATMENT_STEPS_MAX 24

/* How an aim fares. */
enum coil_aim_outcome {
    COIL_AIM_NOT_WANTED,
    COIL_AIM_IN_RANGE,      /* and stays there */
    COIL_AIM_REACHED,       /* the steps bring it into the range */
    COIL_AIM_AFTER_REPLACE, /* only replacing water helps, and it does */
    COIL_AIM_WAITS,         /* chlorine falls by itself */
    COIL_AIM_TOO_SMALL,     /* outside, but by less than a dose that can be measured */
    COIL_AIM_FILL_UNKNOWN,  /* only replacing water helps; test the fill water first */
    COIL_AIM_FILL_TOO_HIGH, /* only replacing helps, and the fill water has too much */
    COIL_AIM_NOT_REACHED    /* no set of known products brings all together */
};

struct coil_treatment_plan {
    int step_count;
    struct coil_treatment_step steps[COIL_TREATMENT_STEPS_MAX];
    bool is_cut; /* more parts would follow: do these, test, and plan again */
    enum coil_aim_outcome outcome[COIL_AIM_COUNT];
    double replace_fraction; /* of the water in all, 0: none */
    bool replace_is_least; /* fill water not known: at least so much, if it has none */
    struct coil_treatment_state start, end;
    double si_pool_half_width; /* about 95 %; NAN where there is no index */
    double si_surface_half_width;
    int product_count;
    int to_buy_count; /* products that the shed lacks or has too little of */
    int sets_tried;
    bool is_outside_source; /* a constant was used outside its temperatures */
};

/*
 * Makes the plan.
 *
 * out        untouched unless >= 0 is returned
 * out_field  what was refused ("wanted.ph", "volume_m3", "shed.strength_percent", or
 * the key of a quantity); lives as long as the program; may be NULL, untouched unless
 * refused
 *
 * Returns COIL_OK; COIL_WARN_RANGE (computed, constants outside their temperatures);
 * COIL_ERR_NOT_FINITE; COIL_ERR_DOMAIN: a negative amount, a range whose low is above
 * its high, no volume, a strength over 100 %, too much in the shed; COIL_ERR_UNKNOWN: a
 * product whose number is foreign; COIL_ERR_NO_SOLUTION: readings that no water has
 * together.
 *
 * A value outside its range is taken a quarter of the range inside, from the side where
 * it comes from. A value inside may move within its range, and past it by a quarter of
 * a step of its test. Products of the shed whose effect is not known here are passed
 * over.
 *
 * Method: what the water must hold at the ends of the wanted pH is nearly linear in all
 * doses, so that each set of products is a small problem of bounds, solved by least
 * squares with active bounds and corrected against the equilibrium until it holds; sets
 * are tried from one product on, as long as they can still be less trouble than the
 * best.
 */
enum coil_status coil_treatment_plan(const struct coil_treatment_input *input,
                                     struct coil_treatment_plan *out,
                                     const char **out_field);

#endif
