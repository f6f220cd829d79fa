#include "saturation_band.h"

#include <math.h>
#include <stddef.h>

#include "film.h"

static enum coil_status index_of(const struct coil_composition *composition,
                                 enum coil_cyanurate_source source, double rise_k,
                                 double *out_index)
{
    struct coil_constants constants;
    struct coil_totals totals;
    struct coil_equilibrium water, hot;
    enum coil_status status = coil_water_from_composition(
        composition, source, &constants, &totals, &water, NULL);
    enum coil_status heated;

    if (status < 0)
        return status;
    if (!(rise_k > 0)) {
        *out_index = water.si_calcite;
        return status;
    }
    heated = coil_water_heated(&totals, &water, source, water.temp_c + rise_k, &hot);
    if (heated >= 0)
        *out_index = hot.si_calcite;
    return heated != COIL_OK ? heated : status;
}

/*
 * Change of the index over one step around the reading; one-sided where half a step
 * back would leave the values that a water can have.
 */
static enum coil_status change_over(const struct coil_composition *composition,
                                    size_t value_offset, double step,
                                    enum coil_cyanurate_source source, double rise_k,
                                    double *out_change)
{
    struct coil_composition low = *composition, high = *composition;
    double *low_value = (double *)((char *)&low + value_offset);
    double *high_value = (double *)((char *)&high + value_offset);
    double below, above, width;
    enum coil_status status;

    *low_value -= step / 2;
    *high_value += step / 2;
    if (index_of(&low, source, rise_k, &below) < 0) {
        low = *composition;
        status = index_of(&low, source, rise_k, &below);
        if (status < 0)
            return status;
    }
    status = index_of(&high, source, rise_k, &above);
    if (status < 0) {
        high = *composition;
        status = index_of(&high, source, rise_k, &above);
    }
    width = *high_value - *low_value;
    if (status >= 0)
        *out_change = width > 0 ? (above - below) * step / width : 0;
    return status;
}

static enum coil_status check_steps(const double *steps, size_t count, double rise_k,
                                    double model_half_width)
{
    size_t i;

    if (!isfinite(rise_k) || !isfinite(model_half_width))
        return COIL_ERR_NOT_FINITE;
    if (!(rise_k >= 0) || !(model_half_width >= 0))
        return COIL_ERR_DOMAIN;
    for (i = 0; i < count; i++) {
        if (!isfinite(steps[i]))
            return COIL_ERR_NOT_FINITE;
        if (!(steps[i] >= 0))
            return COIL_ERR_DOMAIN;
    }
    return COIL_OK;
}

enum coil_status coil_saturation_band(const struct coil_composition *composition,
                                      const struct coil_saturation_steps *steps,
                                      enum coil_cyanurate_source source, double rise_k,
                                      double model_half_width,
                                      struct coil_saturation_band *out_band)
{
    static const size_t OFFSETS[] = {
        offsetof(struct coil_composition, ph),
        offsetof(struct coil_composition, total_alkalinity_mg_per_l_caco3),
        offsetof(struct coil_composition, calcium_hardness_mg_per_l_caco3),
        offsetof(struct coil_composition, salt_mg_per_l_nacl),
        offsetof(struct coil_composition, borate_mg_per_l_b),
        offsetof(struct coil_composition, cyanuric_acid_mg_per_l),
        offsetof(struct coil_composition, water_temp_c),
    };
    const double widths[] = {steps->ph,
                             steps->total_alkalinity_mg_per_l_caco3,
                             steps->calcium_hardness_mg_per_l_caco3,
                             steps->salt_mg_per_l_nacl,
                             steps->borate_mg_per_l_b,
                             steps->cyanuric_acid_mg_per_l,
                             steps->water_temp_k};
    const size_t count = sizeof widths / sizeof *widths;
    double index, squares = 0, ph_square = 0, change;
    enum coil_status status = check_steps(widths, count, rise_k, model_half_width), one;
    size_t i;

    if (status != COIL_OK)
        return status;
    status = index_of(composition, source, rise_k, &index);
    for (i = 0; status >= 0 && i < count; i++) {
        if (!(widths[i] > 0))
            continue;
        one = change_over(composition, OFFSETS[i], widths[i], source, rise_k, &change);
        if (one < 0)
            return one;
        squares += change * change / 12;
        if (i == 0)
            ph_square = change * change / 12;
    }
    if (status < 0)
        return status;
    out_band->si_calcite = index;
    out_band->tests_half_width = 2 * sqrt(squares);
    out_band->half_width = sqrt(4 * squares + model_half_width * model_half_width);
    out_band->ph_share = squares > 0 ? ph_square / squares : 0;
    return status;
}
