#include "heat_balance.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#define HEAT_CAPACITY_KJ 4.18 /* kJ/(kg K), 15 to 60 degC [iapws-if97] */

struct coil_cover coil_cover_none(void)
{
    return (struct coil_cover){0.0, 1.0, 1.0, 1.0};
}

struct coil_cover coil_cover_bubble(void)
{
    return (struct coil_cover){1.0, 0.05, 0.8, 0.90};
}

struct coil_cover coil_cover_opaque(void)
{
    return (struct coil_cover){1.0, 0.05, 0.6, 0.70};
}

const char *coil_heat_part_name(enum coil_heat_part part)
{
    static const char *const names[] = {"evaporation", "convection", "long_wave",
                                        "make_up",     "ground",     "sun"};

    return (unsigned)part < COIL_HEAT_PART_COUNT ? names[part] : NULL;
}

static bool is_within(double value, double low, double high)
{
    return value >= low && value <= high; /* false for NaN */
}

static bool is_usable(const struct coil_pool *p, const struct coil_cover *c,
                      const struct coil_pool_weather *w)
{
    return p->volume_m3 > 0.0 && is_within(p->volume_m3, 0.0, 10000.0) &&
           p->area_m2 > 0.0 && is_within(p->area_m2, 0.0, 10000.0) &&
           is_within(p->sun_kept, 0.0, 1.0) &&
           is_within(p->ground_w_per_k, 0.0, 10000.0) &&
           is_within(p->ground_temp_c, -10.0, 40.0) &&
           is_within(p->fill_temp_c, 0.0, 40.0) &&
           is_within(p->other_fill_l_per_h, 0.0, 1e5) &&
           is_within(c->covered_fraction, 0.0, 1.0) &&
           is_within(c->evaporation_left, 0.0, 1.0) &&
           is_within(c->other_left, 0.0, 1.0) && is_within(c->sun_left, 0.0, 1.0) &&
           is_within(w->sun_w_per_m2, 0.0, 1500.0);
}

/* What is left of an open water's flux when part of it is covered. */
static double left(const struct coil_cover *cover, double under_cover)
{
    return 1.0 - cover->covered_fraction * (1.0 - under_cover);
}

static void sum_up(struct coil_heat_balance *balance)
{
    double lost = 0.0;

    balance->net_w = 0.0;
    for (int i = 0; i < COIL_HEAT_PART_COUNT; i++) {
        balance->net_w += balance->part_w[i];
        lost += fmax(0.0, balance->part_w[i]);
    }
    for (int i = 0; i < COIL_HEAT_PART_COUNT; i++)
        balance->share[i] =
            lost > 0.0 && balance->part_w[i] > 0.0 ? balance->part_w[i] / lost : 0.0;
}

enum coil_status coil_heat_balance(const struct coil_pool *pool,
                                   const struct coil_cover *cover, double water_temp_c,
                                   const struct coil_pool_weather *weather,
                                   struct coil_heat_balance *out)
{
    struct coil_surface_flux flux;
    enum coil_status status = coil_surface_flux(pool->form, water_temp_c, &weather->air,
                                                pool->activity_factor, &flux);
    double wet, fill_kg_per_s;

    if (status < COIL_OK)
        return status;
    if (!is_usable(pool, cover, weather))
        return COIL_ERR_DOMAIN;
    wet = pool->area_m2 * left(cover, cover->evaporation_left);
    out->evaporation_kg_per_h = wet * flux.evaporation_kg_per_m2_h;
    fill_kg_per_s =
        (fmax(0.0, out->evaporation_kg_per_h) + pool->other_fill_l_per_h) / 3600.0;
    out->part_w[COIL_HEAT_EVAPORATION] = wet * flux.evaporation_w_per_m2;
    out->part_w[COIL_HEAT_CONVECTION] =
        pool->area_m2 * left(cover, cover->other_left) * flux.convection_w_per_m2;
    out->part_w[COIL_HEAT_LONG_WAVE] =
        pool->area_m2 * left(cover, cover->other_left) * flux.long_wave_w_per_m2;
    out->part_w[COIL_HEAT_MAKE_UP] =
        fill_kg_per_s * HEAT_CAPACITY_KJ * 1000.0 * (water_temp_c - pool->fill_temp_c);
    out->part_w[COIL_HEAT_GROUND] =
        pool->ground_w_per_k * (water_temp_c - pool->ground_temp_c);
    out->part_w[COIL_HEAT_SUN] = -pool->area_m2 * left(cover, cover->sun_left) *
                                 pool->sun_kept * weather->sun_w_per_m2;
    sum_up(out);
    return status;
}
