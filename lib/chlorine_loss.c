#include "chlorine_loss.h"

#include <math.h>

#include "chlorine.h"
#include "sun.h"

#define PI 3.14159265358979323846
#define DAY_S 86400.0
#define RAYLEIGH_330_NM                                                                \
    0.81 /* 0.00857 l^-4 (1 + 0.0113 l^-2 + 0.00013 l^-4), l in um */
#define AIR_SCALE_M 8434.0
#define WATER_INDEX 1.34
#define DIFFUSE_COSINE 0.86  /* of an even sky after refraction (from memory) */
#define DIFFUSE_ENTERS 0.934 /* 6.6 % of an even sky is reflected (from memory) */
/* clear_light of COIL_PHOTOLYSIS_NOON_DEG at sea level, no depth; a test computes it.
 */
#define NOON_LIGHT 0.662144706907
#define DEMAND_HALF_MG_PER_L 0.2 /* so that no demand takes what is not there */
#define STEP_S 900.0
#define RUN_MAX_S (400.0 * DAY_S)
#define TRACE_MG_PER_L 0.01

struct coil_loss_parameters coil_loss_usual(void)
{
    return (struct coil_loss_parameters){
        .sun_scale = 1.0,
        .dark_per_day_25c = 0.06,
        .dark_doubling_c = 6.0,
        .demand_mg_per_l_day = 0.2,
    };
}

static int within(double value, double low, double high)
{
    return value >= low && value <= high;
}

static enum coil_status check_water(const struct coil_loss_water *water)
{
    if (!isfinite(water->free_chlorine_mg_per_l) || !isfinite(water->ph) ||
        !isfinite(water->cyanuric_acid_mg_per_l) || !isfinite(water->water_temp_c))
        return COIL_ERR_NOT_FINITE;
    if (!within(water->free_chlorine_mg_per_l, 0.0, 500.0) ||
        !within(water->ph, 5.0, 10.0) ||
        !within(water->cyanuric_acid_mg_per_l, 0.0, 1000.0) ||
        !within(water->water_temp_c, 0.0, 60.0))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

static enum coil_status check_light(const struct coil_loss_light *light)
{
    if (!isfinite(light->sun_elevation_deg) || !isfinite(light->altitude_m) ||
        !isfinite(light->cloud_fraction) || !isfinite(light->shade_fraction) ||
        !isfinite(light->cover_pass_fraction) || !isfinite(light->depth_m) ||
        !isfinite(light->uv_attenuation_per_m))
        return COIL_ERR_NOT_FINITE;
    if (!within(light->sun_elevation_deg, -90.0, 90.0) ||
        !within(light->altitude_m, -500.0, 9000.0) ||
        !within(light->cloud_fraction, 0.0, 1.0) ||
        !within(light->shade_fraction, 0.0, 1.0) ||
        !within(light->cover_pass_fraction, 0.0, 1.0) ||
        !within(light->depth_m, 0.0, 20.0) ||
        !within(light->uv_attenuation_per_m, 0.0, 100.0))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

static enum coil_status check_parameters(const struct coil_loss_parameters *p)
{
    if (!isfinite(p->sun_scale) || !isfinite(p->dark_per_day_25c) ||
        !isfinite(p->dark_doubling_c) || !isfinite(p->demand_mg_per_l_day) ||
        !isfinite(p->bathers_mg_per_l_day))
        return COIL_ERR_NOT_FINITE;
    if (!within(p->sun_scale, 0.0, 100.0) || !within(p->dark_per_day_25c, 0.0, 10.0) ||
        !within(p->dark_doubling_c, 1.0, 100.0) ||
        !within(p->demand_mg_per_l_day, -50.0, 50.0) ||
        !within(p->bathers_mg_per_l_day, 0.0, 500.0))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

enum coil_status coil_chlorine_unbound(const struct coil_loss_water *water,
                                       struct coil_unbound *out)
{
    enum coil_status status = check_water(water);
    struct coil_constants constants;
    struct coil_chlorine species;
    struct coil_chlorine_input input;
    enum coil_status solved;
    double chlorine_mg_per_l = fmax(water->free_chlorine_mg_per_l, TRACE_MG_PER_L);

    if (status != COIL_OK)
        return status;
    status =
        coil_constants_at(water->water_temp_c, COIL_CYANURATE_WAHMAN_2019, &constants);
    if (status < COIL_OK)
        return status;
    input = (struct coil_chlorine_input){
        .ph = water->ph,
        .chlorine_mol_per_kg = chlorine_mg_per_l / 1000.0 / COIL_CHLORINE_G_PER_MOL,
        .cyanurate_mol_per_kg =
            water->cyanuric_acid_mg_per_l / 1000.0 / COIL_CYANURIC_ACID_G_PER_MOL,
    };
    solved = coil_chlorine_solve(&constants, COIL_ACTIVITY_IDEAL, &input, &species);
    if (solved < COIL_OK)
        return solved;
    out->hocl_fraction = species.hocl_mol_per_kg / input.chlorine_mol_per_kg;
    out->ocl_fraction = species.ocl_mol_per_kg / input.chlorine_mol_per_kg;
    return solved != COIL_OK ? solved : status;
}

enum coil_status coil_photolysis_surface_per_s(double hocl_fraction, double *out_per_s)
{
    if (!isfinite(hocl_fraction))
        return COIL_ERR_NOT_FINITE;
    if (!within(hocl_fraction, 0.0, 1.0))
        return COIL_ERR_DOMAIN;
    *out_per_s = COIL_PHOTOLYSIS_HOCL_PER_S * hocl_fraction +
                 COIL_PHOTOLYSIS_OCL_PER_S * (1.0 - hocl_fraction);
    return COIL_OK;
}

/* Unpolarised light from air into water; cosines of the two angles with the vertical.
 */
static double fresnel_enters(double cos_air, double cos_water)
{
    double s =
        (cos_air - WATER_INDEX * cos_water) / (cos_air + WATER_INDEX * cos_water);
    double p =
        (cos_water - WATER_INDEX * cos_air) / (cos_water + WATER_INDEX * cos_air);

    return 1.0 - 0.5 * (s * s + p * p);
}

/* Mean of exp(-x s) over s from 0 to 1. */
static double mean_decay(double x)
{
    return x < 1e-6 ? 1.0 - 0.5 * x : -expm1(-x) / x;
}

/* Light from all sides, averaged over the depth; sine > 0 of the sun's elevation,
 * optical = attenuation times depth. Clear sky; no unit. */
static double clear_light(double sine, double rayleigh, double optical)
{
    double through = exp(-rayleigh / sine);
    double all = sine * ((2.0 / 3.0 + sine) + (2.0 / 3.0 - sine) * through) /
                 (4.0 / 3.0 + rayleigh);
    double direct = sine * through;
    double cosine = sqrt(1.0 - (1.0 - sine * sine) / (WATER_INDEX * WATER_INDEX));

    return direct * fresnel_enters(sine, cosine) / cosine *
               mean_decay(optical / cosine) +
           fmax(0.0, all - direct) * DIFFUSE_ENTERS / DIFFUSE_COSINE *
               mean_decay(optical / DIFFUSE_COSINE);
}

double coil_light_passes(const struct coil_loss_light *light)
{
    double cloud = 0.0;

    if (light->cloud_fraction > 0.0)
        cloud = 0.75 * pow(light->cloud_fraction, 3.4);
    return (1.0 - cloud) * (1.0 - light->shade_fraction) * light->cover_pass_fraction;
}

/* Valid light is taken for granted. */
static double uv_in_water(const struct coil_loss_light *light, double ocl_mg_per_l)
{
    double sine = sin(light->sun_elevation_deg * (PI / 180.0));
    double optical = light->depth_m * (light->uv_attenuation_per_m +
                                       COIL_UV_OCL_PER_M_PER_MG_PER_L * ocl_mg_per_l);
    double rayleigh = RAYLEIGH_330_NM * exp(-light->altitude_m / AIR_SCALE_M);

    if (sine <= 0.0)
        return 0.0;
    return clear_light(sine, rayleigh, optical) / NOON_LIGHT * coil_light_passes(light);
}

enum coil_status coil_uv_in_water(const struct coil_loss_light *light,
                                  double ocl_mg_per_l, double *out_relative)
{
    enum coil_status status = check_light(light);

    if (status == COIL_OK && !isfinite(ocl_mg_per_l))
        status = COIL_ERR_NOT_FINITE;
    if (status == COIL_OK && !within(ocl_mg_per_l, 0.0, 500.0))
        status = COIL_ERR_DOMAIN;
    if (status == COIL_OK)
        *out_relative = uv_in_water(light, ocl_mg_per_l);
    return status;
}

/* The parts for given shares; everything valid. */
static struct coil_loss_rate rate_of(double chlorine, double water_temp_c,
                                     const struct coil_unbound *unbound,
                                     const struct coil_loss_light *light,
                                     const struct coil_loss_parameters *p)
{
    struct coil_loss_rate rate;
    double per_day = DAY_S * (COIL_PHOTOLYSIS_HOCL_PER_S * unbound->hocl_fraction +
                              COIL_PHOTOLYSIS_OCL_PER_S * unbound->ocl_fraction);
    double present = chlorine / (chlorine + DEMAND_HALF_MG_PER_L);
    double demand = p->demand_mg_per_l_day;

    rate.sun = p->sun_scale * per_day * chlorine *
               uv_in_water(light, unbound->ocl_fraction * chlorine);
    rate.dark = p->dark_per_day_25c * exp2((water_temp_c - 25.0) / p->dark_doubling_c) *
                chlorine;
    rate.demand = demand > 0.0 ? demand * present : demand;
    rate.bathers = p->bathers_mg_per_l_day * present;
    rate.total = rate.sun + rate.dark + rate.demand + rate.bathers;
    return rate;
}

enum coil_status coil_chlorine_loss_rate(const struct coil_loss_water *water,
                                         const struct coil_loss_light *light,
                                         const struct coil_loss_parameters *parameters,
                                         struct coil_loss_rate *out)
{
    struct coil_unbound unbound;
    enum coil_status status = check_light(light);

    if (status == COIL_OK)
        status = check_parameters(parameters);
    if (status == COIL_OK)
        status = coil_chlorine_unbound(water, &unbound);
    if (status >= COIL_OK)
        *out = rate_of(water->free_chlorine_mg_per_l, water->water_temp_c, &unbound,
                       light, parameters);
    return status;
}

/* ---- over time ---- */

struct run {
    const struct coil_loss_place *place;
    const struct coil_loss_parameters *parameters;
    struct coil_loss_water water;
    enum coil_status status; /* the worst so far */
};

static double slope_per_s(struct run *run, double time_s, double chlorine)
{
    struct coil_loss_light light = run->place->light;
    struct coil_loss_water water = run->water;
    struct coil_sun_position sun;
    struct coil_loss_rate rate = {0};
    enum coil_status status =
        coil_sun_position(run->place->lat_deg, run->place->lon_deg_east, time_s, &sun);

    if (status == COIL_OK) {
        light.sun_elevation_deg = sun.elevation_deg;
        water.free_chlorine_mg_per_l = fmax(0.0, chlorine);
        status = coil_chlorine_loss_rate(&water, &light, run->parameters, &rate);
    }
    if (status < COIL_OK || run->status == COIL_OK)
        run->status = status;
    return -rate.total / DAY_S;
}

static double runge_kutta(struct run *run, double time_s, double step_s, double c)
{
    double k1 = slope_per_s(run, time_s, c);
    double k2 = slope_per_s(run, time_s + 0.5 * step_s, c + 0.5 * step_s * k1);
    double k3 = slope_per_s(run, time_s + 0.5 * step_s, c + 0.5 * step_s * k2);
    double k4 = slope_per_s(run, time_s + step_s, c + step_s * k3);

    return fmax(0.0, c + step_s / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4));
}

enum coil_status coil_chlorine_loss_run(const struct coil_loss_water *water,
                                        const struct coil_loss_place *place,
                                        const struct coil_loss_parameters *parameters,
                                        double from_s, double until_s,
                                        double *out_mg_per_l)
{
    struct run run = {place, parameters, *water, COIL_OK};
    double chlorine = water->free_chlorine_mg_per_l;
    double span_s = until_s - from_s;
    double steps;

    if (!isfinite(from_s) || !isfinite(until_s))
        return COIL_ERR_NOT_FINITE;
    if (!within(span_s, 0.0, RUN_MAX_S))
        return COIL_ERR_DOMAIN;
    run.place = place;
    steps = fmax(1.0, ceil(span_s / STEP_S));
    for (double i = 0.0; i < steps && run.status >= COIL_OK; i += 1.0)
        chlorine =
            runge_kutta(&run, from_s + i * span_s / steps, span_s / steps, chlorine);
    if (run.status >= COIL_OK)
        *out_mg_per_l = chlorine;
    return run.status;
}

enum coil_status coil_bather_demand(double bather_hours, double volume_m3, double *out)
{
    static const double g_per_bather_hour[3] = {3.0, 7.0, 12.0};

    if (!isfinite(bather_hours) || !isfinite(volume_m3))
        return COIL_ERR_NOT_FINITE;
    if (bather_hours < 0.0 || !(volume_m3 > 0.0))
        return COIL_ERR_DOMAIN;
    for (int i = 0; i < 3; i++)
        out[i] = bather_hours * g_per_bather_hour[i] / volume_m3;
    return COIL_OK;
}
