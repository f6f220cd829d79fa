#include "quantity.h"

#include <math.h>
#include <string.h>

static const struct coil_quantity_info quantities[COIL_QUANTITY_COUNT] = {
#define X(name, number, key, words, unit, plo, phi, lo, hi)                            \
    [name] = {key, words, unit, plo, phi, lo, hi},
    COIL_QUANTITY_LIST(X)
#undef X
};

static const struct {
    const char *key;
    const char *words;
} methods[COIL_METHOD_COUNT] = {
#define X(name, number, key, words) [name] = {key, words},
    COIL_METHOD_LIST(X)
#undef X
};

/*
 * Steps between two neighbouring answers, in the quantity's unit: pads of a strip,
 * drops of the usual sample, steps of a colour scale. An instrument that shows more
 * digits than it knows has the step that its makers usually state instead. Where a
 * quantity is not found by a method at all, the next coarser one stands in.
 * Common practice, no source.
 */
static const struct {
    double strip, drops, comparator, photometer, probe, laboratory;
} steps[COIL_QUANTITY_COUNT] = {
    [COIL_PH] = {0.5, 0.2, 0.2, 0.05, 0.05, 0.02},
    [COIL_FREE_CHLORINE] = {2, 0.5, 0.5, 0.1, 0.1, 0.05},
    [COIL_COMBINED_CHLORINE] = {2, 0.5, 0.5, 0.1, 0.1, 0.05},
    [COIL_TOTAL_CHLORINE] = {2, 0.5, 0.5, 0.1, 0.1, 0.05},
    [COIL_BROMINE] = {4, 1, 1, 0.2, 0.2, 0.1},
    [COIL_TOTAL_ALKALINITY] = {40, 10, 20, 5, 10, 2},
    [COIL_CALCIUM_HARDNESS] = {100, 10, 50, 10, 10, 2},
    [COIL_CYANURIC_ACID] = {40, 10, 10, 5, 10, 2},
    [COIL_BORATE] = {20, 5, 10, 2, 5, 0.5},
    [COIL_SALT] = {400, 200, 400, 100, 100, 50},
    [COIL_TDS] = {500, 200, 500, 100, 100, 20},
    [COIL_COPPER] = {0.5, 0.2, 0.2, 0.05, 0.1, 0.01},
    [COIL_IRON] = {0.5, 0.2, 0.2, 0.05, 0.1, 0.01},
    [COIL_SULFATE] = {200, 50, 50, 10, 50, 2},
    [COIL_PHOSPHATE] = {0.5, 0.1, 0.1, 0.05, 0.1, 0.01},
    [COIL_WATER_TEMP] = {1, 1, 1, 1, 0.1, 0.1},
    [COIL_ORP] = {10, 10, 10, 10, 5, 1},
    [COIL_MAGNESIUM] = {50, 10, 20, 5, 10, 1},
};

static int is_quantity(enum coil_quantity quantity)
{
    return (int)quantity >= 0 && quantity < COIL_QUANTITY_COUNT;
}

const struct coil_quantity_info *coil_quantity_info(enum coil_quantity quantity)
{
    return is_quantity(quantity) ? &quantities[quantity] : NULL;
}

enum coil_status coil_quantity_from_key(const char *key,
                                        enum coil_quantity *out_quantity)
{
    if (key == NULL)
        return COIL_ERR_UNKNOWN;
    for (int i = 0; i < COIL_QUANTITY_COUNT; i++) {
        if (strcmp(quantities[i].key, key) == 0) {
            *out_quantity = (enum coil_quantity)i;
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

enum coil_range coil_quantity_range(enum coil_quantity quantity, double value)
{
    const struct coil_quantity_info *info = coil_quantity_info(quantity);

    /* Both comparisons are false for NaN. */
    if (info == NULL || !(value >= info->possible_low && value <= info->possible_high))
        return COIL_RANGE_IMPOSSIBLE;
    if (value < info->plausible_low || value > info->plausible_high)
        return COIL_RANGE_DOUBTFUL;
    return COIL_RANGE_PLAUSIBLE;
}

/* A number from a database may be one that we do not know. */
static enum coil_method known_method(enum coil_method method)
{
    if ((int)method < 0 || method >= COIL_METHOD_COUNT)
        return COIL_METHOD_UNKNOWN;
    return method;
}

const char *coil_method_key(enum coil_method method)
{
    return methods[known_method(method)].key;
}

const char *coil_method_words(enum coil_method method)
{
    return methods[known_method(method)].words;
}

enum coil_status coil_method_from_key(const char *key, enum coil_method *out_method)
{
    if (key == NULL)
        return COIL_ERR_UNKNOWN;
    for (int i = 0; i < COIL_METHOD_COUNT; i++) {
        if (strcmp(methods[i].key, key) == 0) {
            *out_method = (enum coil_method)i;
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

double coil_method_resolution(enum coil_method method, enum coil_quantity quantity)
{
    if (!is_quantity(quantity))
        return 1.0;
    switch (known_method(method)) {
    case COIL_METHOD_DROP_COUNT:
        return steps[quantity].drops;
    case COIL_METHOD_COMPARATOR:
        return steps[quantity].comparator;
    case COIL_METHOD_PHOTOMETER:
        return steps[quantity].photometer;
    case COIL_METHOD_PROBE:
        return steps[quantity].probe;
    case COIL_METHOD_LABORATORY:
        return steps[quantity].laboratory;
    case COIL_METHOD_UNKNOWN:
    case COIL_METHOD_STRIP:
    case COIL_METHOD_COUNT:
        break;
    }
    return steps[quantity].strip;
}

int coil_free_exceeds_total(double free_mg_per_l, double free_step, double total_mg_per_l,
                            double total_step)
{
    return free_mg_per_l - total_mg_per_l >
           fmax(0.2, (free_step + total_step) / 2.0) + 1e-9;
}

int coil_method_is_indicator(enum coil_method method)
{
    method = known_method(method);
    return method != COIL_METHOD_PROBE && method != COIL_METHOD_LABORATORY;
}
