#include "heater_checks.h"

#include <math.h>
#include <stdbool.h>

#include "trend.h"
#include "water.h"
#include "water_heat.h"

#define BTU_PER_H_W (1055.05585262 / 3600.0)
#define FT2_M2 0.09290304
#define WATCH_S 1.0
#define CYCLES_MAX 200
#define SHORT_RUN_S 300.0
#define SHORT_RUNS_PER_H 4.0
#define SHORT_RUNS 4

static bool all_finite(const double *value, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!isfinite(value[i]))
            return false;
    return true;
}

enum coil_status coil_meter_clock(double gas_m3, double duration_s, double j_per_m3,
                                  double reading_m3, double rated_w,
                                  double *out_input_w, double *out_ratio,
                                  double *out_u_ratio)
{
    const double input[] = {gas_m3, duration_s, j_per_m3, reading_m3, rated_w};
    double of_dial, of_watch;

    if (!all_finite(input, 5))
        return COIL_ERR_NOT_FINITE;
    if (gas_m3 <= 0.0 || gas_m3 > 1000.0 || duration_s < 10.0 || duration_s > 86400.0 ||
        j_per_m3 < 1e6 || j_per_m3 > 2e8 || reading_m3 < 0.0 || reading_m3 > gas_m3 ||
        rated_w <= 0.0 || rated_w > 1e7)
        return COIL_ERR_DOMAIN;
    /* Half a step at either end, even distributions: step sqrt(2/12). */
    of_dial = reading_m3 / gas_m3 / sqrt(6.0);
    of_watch = WATCH_S / duration_s / sqrt(6.0);
    *out_input_w = gas_m3 * j_per_m3 / duration_s;
    *out_ratio = *out_input_w / rated_w;
    *out_u_ratio = *out_ratio * hypot(of_dial, of_watch);
    return COIL_OK;
}

/* W per K of rise. */
static enum coil_status flow_capacity(double flow_l_per_s, double inlet_temp_c,
                                      double *out_w_per_k)
{
    double density, capacity;
    enum coil_status status;

    if (!isfinite(flow_l_per_s) || !isfinite(inlet_temp_c))
        return COIL_ERR_NOT_FINITE;
    if (flow_l_per_s <= 0.0 || flow_l_per_s > 1000.0 || inlet_temp_c < 0.0 ||
        inlet_temp_c > 60.0)
        return COIL_ERR_DOMAIN;
    status = coil_water_density(inlet_temp_c, &density);
    if (status == COIL_OK)
        status = coil_water_heat_capacity(inlet_temp_c, COIL_ATMOSPHERE_MPA, &capacity);
    if (status == COIL_OK)
        *out_w_per_k = flow_l_per_s * density * capacity; /* L/s kg/m3 kJ = W */
    return status;
}

enum coil_status coil_heater_rise_k(double output_w, double flow_l_per_s,
                                    double inlet_temp_c, double *out_rise_k)
{
    double w_per_k;
    enum coil_status status = flow_capacity(flow_l_per_s, inlet_temp_c, &w_per_k);

    if (status != COIL_OK)
        return status;
    if (!isfinite(output_w))
        return COIL_ERR_NOT_FINITE;
    if (output_w <= 0.0 || output_w > 1e7)
        return COIL_ERR_DOMAIN;
    *out_rise_k = output_w / w_per_k;
    return COIL_OK;
}

enum coil_status coil_heater_heat_w(double rise_k, double flow_l_per_s,
                                    double inlet_temp_c, double *out_heat_w)
{
    double w_per_k;
    enum coil_status status = flow_capacity(flow_l_per_s, inlet_temp_c, &w_per_k);

    if (status != COIL_OK)
        return status;
    if (!isfinite(rise_k))
        return COIL_ERR_NOT_FINITE;
    if (rise_k < -50.0 || rise_k > 100.0)
        return COIL_ERR_DOMAIN;
    *out_heat_w = rise_k * w_per_k;
    return COIL_OK;
}

enum coil_status coil_condensing_margin_k(double inlet_temp_c, double metal_rise_k,
                                          double flue_dew_point_c, double *out_margin_k)
{
    const double input[] = {inlet_temp_c, metal_rise_k, flue_dew_point_c};

    if (!all_finite(input, 3))
        return COIL_ERR_NOT_FINITE;
    if (inlet_temp_c < 0.0 || inlet_temp_c > 60.0 || metal_rise_k < 0.0 ||
        metal_rise_k > 60.0 || flue_dew_point_c < -100.0 || flue_dew_point_c > 100.0)
        return COIL_ERR_DOMAIN;
    *out_margin_k = inlet_temp_c + metal_rise_k - flue_dew_point_c;
    return COIL_OK;
}

enum coil_status coil_short_cycling(const struct coil_run_interval *run, size_t count,
                                    struct coil_cycling *out)
{
    double length[CYCLES_MAX];
    double span_s;

    if (count < 1 || count > CYCLES_MAX)
        return COIL_ERR_DOMAIN;
    for (size_t i = 0; i < count; i++) {
        if (!isfinite(run[i].start_s) || !isfinite(run[i].end_s))
            return COIL_ERR_NOT_FINITE;
        length[i] = run[i].end_s - run[i].start_s;
        if (length[i] <= 0.0 || (i > 0 && run[i].start_s < run[i - 1].end_s))
            return COIL_ERR_DOMAIN;
    }
    span_s = run[count - 1].end_s - run[0].start_s;
    coil_sort(length, count);
    out->runs = count;
    out->median_run_s = 0.5 * (length[(count - 1) / 2] + length[count / 2]);
    out->runs_per_h = (double)count * 3600.0 / span_s;
    out->is_short = count >= SHORT_RUNS && out->median_run_s < SHORT_RUN_S &&
                    out->runs_per_h > SHORT_RUNS_PER_H;
    return COIL_OK;
}

enum coil_status coil_scale_fuel_loss(double thickness_mm, enum coil_scale kind,
                                      double *out_percent)
{
    /* Every 1/64 inch, from none; 0 ends. */
    static const double loss[][5] = {
        [COIL_SCALE_NORMAL] = {0.0, 1.0, 2.0, 3.0, 3.9},
        [COIL_SCALE_HIGH_IRON] = {0.0, 1.6, 3.1, 4.7, 6.2},
        [COIL_SCALE_IRON_SILICA] = {0.0, 3.5, 7.0},
    };
    double steps = thickness_mm / (25.4 / 64.0);
    int last = kind == COIL_SCALE_IRON_SILICA ? 2 : 4;
    int below;

    if (!isfinite(thickness_mm))
        return COIL_ERR_NOT_FINITE;
    if ((unsigned)kind > COIL_SCALE_IRON_SILICA)
        return COIL_ERR_UNKNOWN;
    if (thickness_mm < 0.0 || thickness_mm > 10.0)
        return COIL_ERR_DOMAIN;
    below = steps >= last ? last - 1 : (int)steps;
    *out_percent = loss[kind][below] +
                   (steps - below) * (loss[kind][below + 1] - loss[kind][below]);
    return steps > last + 1e-3 ? COIL_WARN_RANGE : COIL_OK;
}

enum coil_status coil_scale_wall_rise_k(double heat_flux_w_per_m2, double thickness_mm,
                                        double conductivity_w_per_m_k,
                                        double *out_rise_k)
{
    const double input[] = {heat_flux_w_per_m2, thickness_mm, conductivity_w_per_m_k};

    if (!all_finite(input, 3))
        return COIL_ERR_NOT_FINITE;
    if (heat_flux_w_per_m2 < 0.0 || heat_flux_w_per_m2 > 1e6 || thickness_mm < 0.0 ||
        thickness_mm > 10.0 || conductivity_w_per_m_k < 0.1 ||
        conductivity_w_per_m_k > 10.0)
        return COIL_ERR_DOMAIN;
    *out_rise_k = heat_flux_w_per_m2 * (thickness_mm / 1000.0) / conductivity_w_per_m_k;
    return COIL_OK;
}

enum coil_status coil_heater_size_rule_w(double area_m2, double rise_k, double factor,
                                         double *out_w)
{
    const double input[] = {area_m2, rise_k, factor};

    if (!all_finite(input, 3))
        return COIL_ERR_NOT_FINITE;
    if (area_m2 <= 0.0 || area_m2 > 10000.0 || rise_k < 0.0 || rise_k > 40.0 ||
        factor < 5.0 || factor > 30.0)
        return COIL_ERR_DOMAIN;
    *out_w = area_m2 / FT2_M2 * (rise_k * 1.8) * factor * BTU_PER_H_W;
    return COIL_OK;
}
