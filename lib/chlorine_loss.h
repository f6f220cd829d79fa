/*
 * How fast a pool loses free chlorine: to the sun, in the dark, to what is in the water
 * and to bathers.
 *
 *   d(FC)/dt = -(sun + dark) FC - (demand + bathers) FC/(FC + 0.2)
 *
 * The sun takes only HOCl and OCl- that cyanurate does not hold. Rates are per day.
 * Knows nothing of readings; chlorine_fit.h finds the parameters of one pool.
 * Assumptions and where they come from: docs/model.md, "Chlorine loss".
 */
#ifndef COIL_CHLORINE_LOSS_H
#define COIL_CHLORINE_LOSS_H

#include "status.h"

/* Rate constants at the surface, clear summer noon at 47 N, 1/s. [nowell-hoigne-1992]
 */
#define COIL_PHOTOLYSIS_HOCL_PER_S 2.0e-4
#define COIL_PHOTOLYSIS_OCL_PER_S 1.2e-3
/* Elevation of that sun: 90 - 47.4 + 23.4 degrees. */
#define COIL_PHOTOLYSIS_NOON_DEG 66.0
/* Light near 330 nm in clean pool water without chlorine (1/m). From memory: pool water
 * takes 0.02 to 0.05 per cm (decadic) at 254 nm and falls by 1.8 % per nm. The sun
 * scale of a pool is fitted, so that a wrong value here moves little. */
#define COIL_UV_ATTENUATION_PER_M 1.5
/* What one mg/L of OCl- (as Cl2) adds: 100 L/(mol cm), decadic, from memory. */
#define COIL_UV_OCL_PER_M_PER_MG_PER_L 0.325
/* Mean depth where nobody knows it (m); common practice, no source. */
#define COIL_DEPTH_USUAL_M 1.4

struct coil_loss_water {
    double free_chlorine_mg_per_l; /* 0 to 500 */
    double ph;                     /* 5 to 10 */
    double cyanuric_acid_mg_per_l; /* 0 to 1000 */
    double water_temp_c;           /* 0 to 60 */
};

/* Shares of free chlorine that the sun can take; the rest is bound. */
struct coil_unbound {
    double hocl_fraction;
    double ocl_fraction;
};

struct coil_loss_light {
    double sun_elevation_deg;    /* -90 to 90, without air */
    double altitude_m;           /* -500 to 9000 */
    double cloud_fraction;       /* 0 clear to 1 overcast */
    double shade_fraction;       /* 0 to 1 of the light kept off by trees and house */
    double cover_pass_fraction;  /* of the light; 1 without a cover, 0 under a roof */
    double depth_m;              /* mean depth, 0 (surface) to 20 */
    double uv_attenuation_per_m; /* of the water without chlorine, 0 to 100 */
};

struct coil_loss_parameters {
    double sun_scale;            /* 1: as the sources say; 0 to 100 */
    double dark_per_day_25c;     /* first order, 0 to 10 */
    double dark_doubling_c;      /* degrees that double it, 1 to 100 */
    double demand_mg_per_l_day;  /* -50 to 50; below 0: fed without being logged */
    double bathers_mg_per_l_day; /* 0 to 500 */
};

/* What a pool is taken for before its readings say otherwise. */
struct coil_loss_parameters coil_loss_usual(void);

/* mg/L per day, each part positive when chlorine goes. */
struct coil_loss_rate {
    double sun;
    double dark;
    double demand;
    double bathers;
    double total;
};

/*
 * Returns COIL_OK, COIL_WARN_RANGE (5 to 35 degC are the source's), COIL_ERR_NOT_FINITE
 * or COIL_ERR_DOMAIN. Constants of [wahman-2019] by chlorine.h, ideal: pool salt moves
 * the shares by a few per cent, which the fitted sun scale takes up. At zero chlorine:
 * the limit.
 */
enum coil_status coil_chlorine_unbound(const struct coil_loss_water *water,
                                       struct coil_unbound *out);

/*
 * First-order rate at the surface under the source's sun (1/s), of the free chlorine
 * that is not bound. hocl_fraction 0 to 1, the rest OCl-.
 * Checked by fixtures/tables/chlorine_photolysis_nowell_hoigne.csv.
 */
enum coil_status coil_photolysis_surface_per_s(double hocl_fraction, double *out_per_s);

/*
 * Light that takes chlorine, averaged over the depth, as a multiple of that at the
 * surface under the source's sun (COIL_PHOTOLYSIS_NOON_DEG, clear). Refused as in
 * coil_chlorine_loss_rate.
 *
 * Method: light near 330 nm through air that only scatters, Eddington approximation
 * [shettle-weinman-1970] with Rayleigh depth 0.81 [hansen-travis-1974] falling with
 * altitude (8434 m); direct and diffuse part refracted into water (n = 1.34), Fresnel
 * reflection, and averaged as (1 - exp(-x))/x with x = attenuation x depth over the
 * cosine of the path. Cloud 1 - 0.75 C^3.4 [kasten-czeplak-1980], a formula for all
 * light: near 330 nm clouds take a little less (from memory).
 */
enum coil_status coil_uv_in_water(const struct coil_loss_light *light,
                                  double ocl_mg_per_l, double *out_relative);

/* Share of the light that cloud, shade and cover let through, by the formula above; the
 * three are taken to be valid. */
double coil_light_passes(const struct coil_loss_light *light);

/*
 * Returns COIL_OK; COIL_WARN_RANGE as coil_chlorine_unbound; COIL_ERR_NOT_FINITE;
 * COIL_ERR_DOMAIN outside the ranges above.
 */
enum coil_status coil_chlorine_loss_rate(const struct coil_loss_water *water,
                                         const struct coil_loss_light *light,
                                         const struct coil_loss_parameters *parameters,
                                         struct coil_loss_rate *out);

/* Where a pool lies; light.sun_elevation_deg is not looked at. */
struct coil_loss_place {
    double lat_deg;
    double lon_deg_east;
    struct coil_loss_light light;
};

/*
 * Free chlorine from one instant to a later one, water and weather kept. Fourth-order
 * Runge-Kutta in steps of 15 minutes or less; error below 0.1 % of the start (found by
 * halving the step).
 *
 * from_s, until_s  seconds since 1970 UTC, until_s >= from_s, at most 400 days apart
 * out_mg_per_l     >= 0
 */
enum coil_status coil_chlorine_loss_run(const struct coil_loss_water *water,
                                        const struct coil_loss_place *place,
                                        const struct coil_loss_parameters *parameters,
                                        double from_s, double until_s,
                                        double *out_mg_per_l);

/*
 * Chlorine that bathers use up at once and in the hours after (mg/L): low, usual and
 * high in out[3]. 3, 7 and 12 g per bather and hour: from memory, common practice.
 */
enum coil_status coil_bather_demand(double bather_hours, double volume_m3, double *out);

#endif
