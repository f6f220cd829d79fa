/*
 * Quick checks of a gas heater that need no flue analyser: clocking the meter, rise
 * across the heater, an inlet so cold that flue gas condenses, short cycling, scale.
 *
 * Each says how far a number is from what it should be; none proves the heater sound.
 */
#ifndef COIL_HEATER_CHECKS_H
#define COIL_HEATER_CHECKS_H

#include <stddef.h>

#include "status.h"

/*
 * Firing rate by clocking the gas meter, all other appliances off.
 *
 * gas_m3            counted by the meter, > 0 to 1000
 * duration_s        10 to 86400
 * j_per_m3          gross heat of a metered cubic metre, 1e6 to 2e8
 * reading_m3        smallest step of the dial, 0 to gas_m3
 * rated_w           of the rating plate, > 0 to 1e7
 * out_input_w       gross
 * out_ratio         input over rated; out_u_ratio its standard uncertainty, from the
 *                   dial's step at both ends and 1 s of the watch (even distributions)
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN. The heating value's own
 * doubt, several per cent, is not in it.
 */
enum coil_status coil_meter_clock(double gas_m3, double duration_s, double j_per_m3,
                                  double reading_m3, double rated_w,
                                  double *out_input_w, double *out_ratio,
                                  double *out_u_ratio);

/*
 * Temperature rise across the heater.
 *
 * output_w      heat to the water (rated output, or input times efficiency), > 0
 * flow_l_per_s  through the heater, > 0 to 1000
 * inlet_temp_c  0 to 60
 * out_rise_k    output/(flow density heat capacity)
 *
 * The other one gives the heat that a measured rise means (W), rise_k -50 to 100.
 * Statuses as above. Density [kell-1975], heat capacity [iapws-if97].
 * Checked by FLOW-1 and FLOW-2 of fixtures/tables/worked_examples.csv.
 */
enum coil_status coil_heater_rise_k(double output_w, double flow_l_per_s,
                                    double inlet_temp_c, double *out_rise_k);
enum coil_status coil_heater_heat_w(double rise_k, double flow_l_per_s,
                                    double inlet_temp_c, double *out_heat_w);

/*
 * How far the coldest metal is above the flue gas's dew point (K); below 0 it
 * condenses.
 *
 * inlet_temp_c      water that enters the exchanger, mixed by a bypass if there is one
 * metal_rise_k      metal above water at the inlet, 0 to 60; 5 where nobody knows
 * better (illustrative, no source) flue_dew_point_c  from coil_flue_analyse
 */
enum coil_status coil_condensing_margin_k(double inlet_temp_c, double metal_rise_k,
                                          double flue_dew_point_c,
                                          double *out_margin_k);

struct coil_run_interval {
    double start_s, end_s; /* of firing, end after start */
};

struct coil_cycling {
    size_t runs;
    double median_run_s;
    double runs_per_h; /* while it was called for heat: first start to last end */
    int is_short; /* 1: at least 4 runs, half of them shorter than 5 minutes and more
                     than 4 an hour. A convention of ours, no source */
};

/*
 * Short cycling from firing intervals of one stretch of heating.
 *
 * run    count intervals, ascending, not overlapping; 1 to 200
 * Statuses as above.
 */
enum coil_status coil_short_cycling(const struct coil_run_interval *run, size_t count,
                                    struct coil_cycling *out);

enum coil_scale { COIL_SCALE_NORMAL, COIL_SCALE_HIGH_IRON, COIL_SCALE_IRON_SILICA };

/*
 * Fuel lost by scale on the exchanger (percent).
 *
 * thickness_mm  0 to 10
 *
 * [doe-steam-tip-7]: straight lines between its points and 0; beyond its last point
 * (1.5875 mm; 0.7937 mm for iron plus silica) the last line goes on with
 * COIL_WARN_RANGE. Made for steam boilers: an order of magnitude for a small pool
 * heater. Scale raises the wall's temperature before it shows in efficiency. Checked by
 * fixtures/tables/scale_fuel_loss_published.csv.
 */
enum coil_status coil_scale_fuel_loss(double thickness_mm, enum coil_scale kind,
                                      double *out_percent);

/*
 * How much hotter scale makes the metal (K): heat flux times thickness over
 * conductivity.
 *
 * heat_flux_w_per_m2     of the exchanger, 0 to 1e6; 60000 is illustrative
 * conductivity_w_per_m_k 0.1 to 10; calcite scale 0.5 to 2.5, from memory
 */
enum coil_status coil_scale_wall_rise_k(double heat_flux_w_per_m2, double thickness_mm,
                                        double conductivity_w_per_m_k,
                                        double *out_rise_k);

/*
 * Output that the rule of thumb asks for (W): area in ft2 times rise in degF times a
 * factor, Btu/h [doe-gas-heater]. Published factors disagree: 12 and 15.
 *
 * area_m2 > 0 to 10000, rise_k 0 to 40, factor 5 to 30
 * Checked by SIZE-1 and SIZE-2 of fixtures/tables/worked_examples.csv.
 */
enum coil_status coil_heater_size_rule_w(double area_m2, double rise_k, double factor,
                                         double *out_w);

#endif
