/*
 * The water at the heater's hot surface: the pool's water, heated closed.
 *
 * Between inlet and wall nothing leaves the water, so that alkalinity and inorganic
 * carbon stay and pH falls. Taking the pool's pH for the film's overstates calcite SI
 * by 0.16 on average. SI at the film decides on scale; it says nothing about copper
 * [edwards-1996].
 */
#ifndef COIL_FILM_H
#define COIL_FILM_H

#include "equilibrium.h"
#include "status.h"

/* Film above outlet where nobody knows better: illustrative, common practice, no
 * source. Say so wherever a number that rests on it is shown. */
#define COIL_FILM_RISE_DEFAULT_K 15.0

/* Heat capacity of water, J/(kg K): 4179 to 4184 between 15 and 60 degC [iapws-if97].
 */
#define COIL_WATER_HEAT_CAPACITY_J_PER_KG_K 4180.0

struct coil_heater_flow {
    double input_w;             /* fuel or electric power while firing, >= 0 */
    double efficiency_fraction; /* part of it that reaches the water; (0, 1] for fuel,
                                   a heat pump's coefficient up to 10 */
    double flow_kg_per_s;       /* through the exchanger, bypass not counted; > 0 */
    double film_rise_k;         /* wall film above outlet water, 0 to 50 */
};

struct coil_film {
    double outlet_temp_c;
    double film_temp_c;
    struct coil_equilibrium outlet;
    struct coil_equilibrium film;
};

/*
 * Outlet temperature: inlet + input efficiency / (flow heat capacity).
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN (ranges above; an outlet
 * beyond boiling, 100 degC).
 */
enum coil_status coil_heater_outlet_temp(double inlet_temp_c,
                                         const struct coil_heater_flow *heater,
                                         double *out_temp_c);

/* The hottest surface above a pool that is taken for likely, K. */
#define COIL_SURFACE_RISE_MAX_K 60.0

/*
 * The hot surface above the pool's water from what is known of a heater; a member of 0
 * is not known.
 *
 * With input, efficiency and flow: the outlet's rise and the film's, the illustrative
 * one where nobody says. Without: the film's alone, or 0 when that is not known either.
 * At most COIL_SURFACE_RISE_MAX_K.
 */
double coil_heater_surface_rise_k(const struct coil_heater_flow *heater);

/*
 * Water at the heater's outlet and at the wall.
 *
 * totals, water  the pool's, as solved at its own temperature
 * source         constants of chlorine with cyanurate
 * out            untouched unless >= 0 is returned
 *
 * Statuses of coil_heater_outlet_temp and coil_equilibrium_solve; COIL_ERR_DOMAIN too
 * when the film is hotter than the engine computes (70 degC): flow too small for the
 * input. COIL_WARN_RANGE is common: chlorine's constants end at 35 degC.
 * Calcite SI at a film is known to about 0.1.
 * Checked by fixtures/tables/temperature.csv and closed_water_by_temperature.csv.
 */
enum coil_status coil_film_solve(const struct coil_totals *totals,
                                 const struct coil_equilibrium *water,
                                 enum coil_cyanurate_source source,
                                 const struct coil_heater_flow *heater,
                                 struct coil_film *out);

/* The same water closed at one temperature, its constants made on the way. */
enum coil_status coil_water_heated(const struct coil_totals *totals,
                                   const struct coil_equilibrium *water,
                                   enum coil_cyanurate_source source, double temp_c,
                                   struct coil_equilibrium *out);

#endif
