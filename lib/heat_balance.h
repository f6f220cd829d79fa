/*
 * Heat balance of a pool's water: every loss and gain in W, and its share.
 *
 * The shares come out of the weather: the usual split of 70, 20 and 10 percent is a
 * figure of one climate and is not used. Knows nothing of heaters or of time.
 */
#ifndef COIL_HEAT_BALANCE_H
#define COIL_HEAT_BALANCE_H

#include "evaporation.h"

/*
 * What a cover that lies on the water lets through. The part of evaporation that is
 * left is of welded edges and gaps; it and the part of other heat are common practice,
 * no source. Sun: a clear bubble cover takes 5 to 15 %, an opaque one 20 to 40 %
 * [doe-pool-cover], second-hand.
 */
struct coil_cover {
    double covered_fraction; /* of the surface, 0 (none) to 1 */
    double evaporation_left; /* fraction of the open water's, 0 to 1 */
    double other_left;       /* convection and long-wave, 0 to 1 */
    double sun_left;         /* 0 to 1 */
};

struct coil_cover coil_cover_none(void);
struct coil_cover coil_cover_bubble(void); /* 1, 0.05, 0.8, 0.90 */
struct coil_cover coil_cover_opaque(void); /* 1, 0.05, 0.6, 0.70 */

struct coil_pool {
    double volume_m3; /* > 0 to 10000 */
    double area_m2;   /* surface, > 0 to 10000 */
    enum coil_evaporation_form form;
    double activity_factor;    /* while it is open */
    double sun_kept;           /* part of the sun that the water keeps, 0 to 1 */
    double ground_w_per_k;     /* walls and floor to the ground, 0 to 10000 */
    double ground_temp_c;      /* -10 to 40 */
    double fill_temp_c;        /* 0 to 40 */
    double other_fill_l_per_h; /* make-up beyond evaporation: splash, backwash; 0 up */
};

struct coil_pool_weather {
    struct coil_surface_air air;
    double sun_w_per_m2; /* on level ground, shadow and clouds counted; 0 to 1500 */
};

enum coil_heat_part {
    COIL_HEAT_EVAPORATION,
    COIL_HEAT_CONVECTION,
    COIL_HEAT_LONG_WAVE,
    COIL_HEAT_MAKE_UP,
    COIL_HEAT_GROUND,
    COIL_HEAT_SUN, /* negative: a gain */
    COIL_HEAT_PART_COUNT
};

struct coil_heat_balance {
    double part_w[COIL_HEAT_PART_COUNT]; /* positive: the water loses */
    double net_w;                        /* their sum */
    double share[COIL_HEAT_PART_COUNT];  /* of all that is lost; 0 for a gain */
    double evaporation_kg_per_h;
};

/* "evaporation", "convection", …; NULL for no such number. */
const char *coil_heat_part_name(enum coil_heat_part part);

/*
 * water_temp_c  0 to 60
 * out           untouched unless >= 0 is returned
 *
 * Statuses of coil_surface_flux; COIL_ERR_DOMAIN for ranges above. Make-up water is
 * what evaporates (if the air gives water, none) and other_fill_l_per_h, warmed from
 * fill_temp_c. The long-wave of a covered surface is that of a water surface, reduced.
 */
enum coil_status coil_heat_balance(const struct coil_pool *pool,
                                   const struct coil_cover *cover, double water_temp_c,
                                   const struct coil_pool_weather *weather,
                                   struct coil_heat_balance *out);

#endif
