#include "film.h"

#include <math.h>

static int between(double x, double low, double high)
{
    return x >= low && x <= high;
}

enum coil_status coil_heater_outlet_temp(double inlet_temp_c,
                                         const struct coil_heater_flow *heater,
                                         double *out_temp_c)
{
    double outlet;

    if (!isfinite(inlet_temp_c) || !isfinite(heater->input_w) ||
        !isfinite(heater->efficiency_fraction) || !isfinite(heater->flow_kg_per_s))
        return COIL_ERR_NOT_FINITE;
    if (!(heater->input_w >= 0) || !(heater->flow_kg_per_s > 0) ||
        !(heater->efficiency_fraction > 0 && heater->efficiency_fraction <= 10) ||
        !between(inlet_temp_c, 0, 100))
        return COIL_ERR_DOMAIN;
    outlet = inlet_temp_c +
             heater->input_w * heater->efficiency_fraction /
                 (heater->flow_kg_per_s * COIL_WATER_HEAT_CAPACITY_J_PER_KG_K);
    if (!(outlet <= 100))
        return COIL_ERR_DOMAIN;
    *out_temp_c = outlet;
    return COIL_OK;
}

double coil_heater_surface_rise_k(const struct coil_heater_flow *heater)
{
    const double film_k = heater->film_rise_k > 0 ? heater->film_rise_k : 0;
    const double any_c = 20; /* the rise is the same from any */
    double outlet_c;

    if (!(heater->input_w > 0) || !(heater->flow_kg_per_s > 0) ||
        coil_heater_outlet_temp(any_c, heater, &outlet_c) != COIL_OK)
        return fmin(film_k, COIL_SURFACE_RISE_MAX_K);
    return fmin(outlet_c - any_c + (film_k > 0 ? film_k : COIL_FILM_RISE_DEFAULT_K),
                COIL_SURFACE_RISE_MAX_K);
}

enum coil_status coil_water_heated(const struct coil_totals *totals,
                                   const struct coil_equilibrium *water,
                                   enum coil_cyanurate_source source, double temp_c,
                                   struct coil_equilibrium *out)
{
    struct coil_constants constants;
    enum coil_status status = coil_constants_at(temp_c, source, &constants);

    if (status != COIL_OK)
        return status;
    return coil_equilibrium_heat(&constants, totals, water, out);
}

enum coil_status coil_film_solve(const struct coil_totals *totals,
                                 const struct coil_equilibrium *water,
                                 enum coil_cyanurate_source source,
                                 const struct coil_heater_flow *heater,
                                 struct coil_film *out)
{
    struct coil_film film;
    enum coil_status outlet, wall;
    enum coil_status status =
        coil_heater_outlet_temp(water->temp_c, heater, &film.outlet_temp_c);

    if (status != COIL_OK)
        return status;
    if (!isfinite(heater->film_rise_k))
        return COIL_ERR_NOT_FINITE;
    if (!between(heater->film_rise_k, 0, 50))
        return COIL_ERR_DOMAIN;
    film.film_temp_c = film.outlet_temp_c + heater->film_rise_k;
    outlet = coil_water_heated(totals, water, source, film.outlet_temp_c, &film.outlet);
    if (outlet < 0)
        return outlet;
    wall = coil_water_heated(totals, water, source, film.film_temp_c, &film.film);
    if (wall < 0)
        return wall;
    *out = film;
    return outlet > wall ? outlet : wall;
}
