/*
 * Checks water_properties_if97_1atm.csv against lib/water.h: the densities. The other
 * columns of that table belong to the heat balance.
 */
#include "lib/water.h"
#include "tests/lib/tables.h"

/*
 * The same formula: half a digit of the four that Kell's column prints.
 * Other formulas: IF97, Kell and Tanaka lie within 0.012 kg/m3 of each other from 0 to
 * 64 degC, 2e-5 relative is nearest above. (The table's head allows 5e-4.)
 */
#define SAME_KG_PER_M3 6e-5
#define OTHER_RELATIVE 2e-5

static int check_density(const struct table *table, size_t row, char *message)
{
    static const char *const expected[] = {"density_kg_m3_IF97",
                                           "density_kg_m3_Kell1975", NULL};
    double temp_c;
    double density = 0.0;
    enum check_next next;

    if (!check_input(table, row, "t_C", &temp_c, message))
        return 0;
    next = check_status(table, row, coil_water_density(temp_c, &density), expected,
                        message);
    if (next != CHECK_GO_ON)
        return next == CHECK_PASSED;
    return check_near(table, row, "density_kg_m3_Kell1975", density, SAME_KG_PER_M3,
                      message) &&
           check_near_relative(table, row, "density_kg_m3_IF97", density,
                               OTHER_RELATIVE, message) &&
           check_near_relative(table, row, "density_kg_m3_Tanaka2001", density,
                               OTHER_RELATIVE, message);
}

const struct table_check tables_water[] = {
    {"water_properties_if97_1atm.csv", check_density},
    {NULL, NULL},
};
