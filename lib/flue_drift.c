#include "flue_drift.h"

#include <math.h>

#define COVERAGE 1.645

static const struct {
    const char *code, *text;
} findings[] = {
#define X(name, code, text) {code, text},
    COIL_FLUE_FINDING_LIST(X)
#undef X
};

const char *coil_flue_finding_code(enum coil_flue_finding finding)
{
    return (unsigned)finding < COIL_FLUE_FINDING_COUNT ? findings[finding].code : NULL;
}

const char *coil_flue_finding_text(enum coil_flue_finding finding)
{
    return (unsigned)finding < COIL_FLUE_FINDING_COUNT ? findings[finding].text : NULL;
}

static enum coil_direction direction(double change, double u, double least)
{
    double limit = fmax(COVERAGE * u, least);

    if (change > limit)
        return COIL_RISING;
    return change < -limit ? COIL_FALLING : COIL_STEADY;
}

/* Standard uncertainty of a difference of even distributions of these half widths. */
static double joint(double a, double b, double c, double d)
{
    return sqrt((a * a + b * b + c * c + d * d) / 3.0);
}

static struct coil_flue_change change_between(const struct coil_flue_test *before,
                                              const struct coil_flue_result *was,
                                              const struct coil_flue_test *now,
                                              const struct coil_flue_result *is)
{
    const struct coil_flue_reading *a = &before->reading;
    const struct coil_flue_reading *b = &now->reading;
    struct coil_flue_change c;

    c.o2_percent = b->o2_percent - a->o2_percent;
    c.u_o2_percent =
        joint(before->accuracy.o2_percent, now->accuracy.o2_percent, 0.0, 0.0);
    c.co_ppm = is->value[COIL_FLUE_CO_AIR_FREE] - was->value[COIL_FLUE_CO_AIR_FREE];
    c.u_co_ppm = hypot(is->u[COIL_FLUE_CO_AIR_FREE], was->u[COIL_FLUE_CO_AIR_FREE]);
    c.stack_k = (b->flue_temp_c - b->air_temp_c) - (a->flue_temp_c - a->air_temp_c);
    c.u_stack_k = joint(before->accuracy.flue_temp_k, before->accuracy.air_temp_k,
                        now->accuracy.flue_temp_k, now->accuracy.air_temp_k);
    c.o2 = direction(c.o2_percent, c.u_o2_percent, COIL_FLUE_CHANGE_O2_PERCENT);
    c.co = direction(c.co_ppm, c.u_co_ppm, COIL_FLUE_CHANGE_CO_PPM);
    c.stack = direction(c.stack_k, c.u_stack_k, COIL_FLUE_CHANGE_STACK_K);
    return c;
}

/* At most one of the findings from directions, but for a fouled exchanger beside CO. */
static void judge_change(const struct coil_flue_change *c, bool *found)
{
    if (c->o2 == COIL_FALLING && c->co == COIL_RISING && c->stack == COIL_RISING)
        found[COIL_FLUE_AIR_OBSTRUCTED] = true;
    else if (c->o2 == COIL_FALLING && c->co == COIL_RISING)
        found[COIL_FLUE_AIR_SHORT] = true;
    else if (c->o2 == COIL_FALLING && c->stack == COIL_RISING)
        found[COIL_FLUE_FIRED_HARDER] = true;
    else if (c->o2 == COIL_RISING && c->co == COIL_RISING)
        found[COIL_FLUE_FLAME_DISTURBED] = true;
    else if (c->o2 == COIL_RISING)
        found[COIL_FLUE_MORE_AIR] = true;
    else if (c->co == COIL_RISING)
        found[COIL_FLUE_CO_ALONE] = true;
    if (c->o2 == COIL_STEADY && c->stack == COIL_RISING)
        found[COIL_FLUE_EXCHANGER_FOULED] = true;
}

enum coil_status coil_flue_compare(const struct coil_fuel *fuel,
                                   const struct coil_flue_test *before,
                                   const struct coil_flue_test *now,
                                   struct coil_flue_comparison *out)
{
    struct coil_flue_comparison result = {0};
    struct coil_flue_result was;
    struct coil_flue_result is;
    enum coil_status status =
        coil_flue_analyse(fuel, &now->reading, &now->accuracy, &is);

    if (status != COIL_OK)
        return status;
    if (before != NULL) {
        status = coil_flue_analyse(fuel, &before->reading, &before->accuracy, &was);
        if (status != COIL_OK)
            return status;
        result.has_change = true;
        result.change = change_between(before, &was, now, &is);
        judge_change(&result.change, result.is_found);
    }
    result.is_found[COIL_FLUE_CO_HOLD] = is.holds_burner;
    result.is_found[COIL_FLUE_CO_ABOVE_TARGET] =
        !is.holds_burner &&
        is.value[COIL_FLUE_CO_AIR_FREE] > COIL_CO_AIR_FREE_TARGET_PPM;
    result.is_found[COIL_FLUE_CO_RATIO_HIGH] =
        is.value[COIL_FLUE_CO_CO2] > COIL_CO_CO2_RATIO_LIMIT;
    *out = result;
    return COIL_OK;
}
