/*
 * Checks pipe_schedule40.csv and copper_alloy_velocity.csv against lib/pipe.h, and
 * trichlor_solution_ph_computed.csv against the feed into a water of lib/pipe_feed.h.
 */
#include <math.h>
#include <string.h>

#include "lib/composition.h"
#include "lib/pipe_feed.h"
#include "tests/lib/tables.h"

#define L_PER_S_PER_GPM (3.785411784 / 60.0)
#define GALLONS_PER_FOOT (0.3048 / 3.785411784) /* times L/m */

/* What follows from the diameter: half of the last digit, or this. The head of the
 * table allows 0.005, ISO's rounding of the same pipes in mm lies 0.001 away. */
#define DERIVED 0.002

static int check_derived(const struct table *table, size_t row, const char *column,
                         double got, char *message)
{
    return check_near(table, row, column, got,
                      fmax(check_half_digit(table, row, column), DERIVED * got),
                      message);
}

/* The inside diameter in inch to half of its last digit. */
static int check_schedule(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"inside_dia_mm", "litre_per_m", NULL};
    static const int GPM[] = {20, 40, 60, 80, 100};
    enum coil_pipe_size size = COIL_PIPE_SIZE_NONE;
    const char *key = check_text(table, row, "nominal_in", message);
    double inside_m = NAN, l_per_m;
    enum coil_status status;
    enum check_next next;

    if (key == NULL)
        return 0;
    status = coil_pipe_size_from_key(key, &size);
    if (status == COIL_OK)
        status = coil_pipe_inside_m(COIL_PIPE_PLASTIC, size, &inside_m);
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    l_per_m = coil_pipe_l_per_m(inside_m);
    if (!check_printed(table, row, "inside_dia_in", inside_m / 0.0254, message) ||
        !check_derived(table, row, "inside_dia_mm", 1000.0 * inside_m, message) ||
        !check_derived(table, row, "litre_per_m", l_per_m, message) ||
        !check_derived(table, row, "gal_per_ft", l_per_m * GALLONS_PER_FOOT, message))
        return 0;
    for (size_t i = 0; i < sizeof GPM / sizeof *GPM; i++) {
        double velocity = NAN;
        char column[TABLE_MESSAGE_SIZE];

        check_fail(column, "v_m_s_%dgpm", GPM[i]);
        status = coil_pipe_velocity(GPM[i] * L_PER_S_PER_GPM, inside_m, &velocity);
        if (status != COIL_OK || !check_derived(table, row, column, velocity, message))
            return 0;
    }
    return 1;
}

/*
 * Wall shear in a smooth 25 mm tube of sea water at the printed velocity is the printed
 * critical shear; at the design velocity it is half of that. Density 1025 kg/m3 and
 * viscosity 1.05e-6 m2/s (about 20 degC, from memory; the table names no temperature).
 * Velocities are printed to a tenth, which is 2 to 5 % of the shear; 10 % covers that
 * and the water's temperature.
 */
static int check_shear(const struct table *table, size_t row, char *message)
{
    static const struct {
        const char *column;
        double part;
    } points[] = {{"critical_velocity", 1.0}, {"design_velocity", 0.5}};
    double shear_pa;

    if (!check_input(table, row, "critical_shear", &shear_pa, message))
        return 0;
    for (size_t i = 0; i < sizeof points / sizeof *points; i++) {
        double velocity, factor, got;

        if (!check_input(table, row, points[i].column, &velocity, message))
            return 0;
        if (!isfinite(shear_pa) || !isfinite(velocity))
            continue; /* an empty cell expects nothing */
        if (coil_friction_factor(velocity * 0.025 / 1.05e-6, 0.0, &factor) != COIL_OK)
            return check_fail(message, "no friction factor at %g m/s", velocity);
        got = factor / 8.0 * 1025.0 * velocity * velocity;
        if (!(fabs(got - points[i].part * shear_pa) <= 0.1 * points[i].part * shear_pa))
            return check_fail(message, "%s: expected %g N/m2 +- 10 %%, got %g",
                              points[i].column, points[i].part * shear_pa, got);
    }
    return 1;
}

/* A water of one alkalinity at pH 7.5 (pure water for none), closed; O'Brien 1974. The
 * table was computed without activities, which move free HOCl of a weak solution by up
 * to 2.6 % and pH by 0.024. */
static int check_feed(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"pH_computed_closed_25C", NULL};
    struct coil_constants constants;
    struct coil_totals totals;
    struct coil_equilibrium start;
    struct coil_closed_water pool;
    struct coil_feed_sum sum;
    struct coil_feed_water water;
    double alkalinity, g_per_l;
    enum coil_status status = COIL_OK;
    enum check_next next;

    memset(&totals, 0, sizeof totals);
    memset(&pool, 0, sizeof pool);
    memset(&sum, 0, sizeof sum);
    memset(&water, 0, sizeof water);
    if (!check_input(table, row, "start_alkalinity_mg_L_CaCO3", &alkalinity, message) ||
        !check_input(table, row, "trichlor_g_L", &g_per_l, message) ||
        coil_constants_at(25.0, COIL_CYANURATE_OBRIEN_1974, &constants) != COIL_OK)
        return 0;
    if (alkalinity != 0.0) {
        totals.sodium_mol_per_kg = coil_alkalinity_from_mg_per_l(alkalinity);
        status = coil_equilibrium_solve(&constants, &totals, COIL_GIVEN_PH_ALKALINITY,
                                        7.5, totals.sodium_mol_per_kg, &start);
        if (status >= 0)
            coil_closed_from_equilibrium(&totals, &start, &pool);
    }
    sum.mol[COIL_REAGENT_TRICHLOR] =
        g_per_l / coil_reagent_g_per_mol(COIL_REAGENT_TRICHLOR);
    if (status >= 0)
        status = coil_feed_dissolve(&constants, &pool, &sum, 1.0, &water);
    next = check_status(table, row, status, expected, message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "pH_computed_closed_25C", water.ph, 0.03, message) &&
           check_near_relative(table, row, "free_HOCl_mg_L_as_Cl2", water.hocl_mg_per_l,
                               0.03, message) &&
           check_printed(table, row, "total_chlorine_mg_L_as_Cl2",
                         water.chlorine_mg_per_l, message);
}

const struct table_check tables_line[] = {
    {"pipe_schedule40.csv", check_schedule},
    {"copper_alloy_velocity.csv", check_shear},
    {"trichlor_solution_ph_computed.csv", check_feed},
    {NULL, NULL},
};
