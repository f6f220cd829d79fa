/*
 * Prints states of moist air, for comparison with another program.
 *
 * One state a line on stdin: TEMP_C HUMIDITY PRESSURE_PA, humidity as a fraction. One
 * line a state on stdout: saturation pressure (Pa), vapour pressure (Pa), dew point
 * (degC), wet bulb (degC), humidity ratio (kg/kg); or the word "refused". Exit code 2
 * for a line of another shape.
 */
#include <stdio.h>

#include "lib/moist_air.h"

int main(void)
{
    char line[256];

    while (fgets(line, sizeof line, stdin) != NULL) {
        struct coil_moist_air air;
        double temp_c, humidity, pressure_pa, full_pa;

        if (sscanf(line, "%lf %lf %lf", &temp_c, &humidity, &pressure_pa) != 3) {
            fprintf(stderr, "not understood: %s", line);
            return 2;
        }
        if (coil_saturation_pressure_pa(temp_c, &full_pa) != COIL_OK ||
            coil_moist_air(temp_c, humidity, pressure_pa, &air) != COIL_OK)
            puts("refused");
        else
            printf("%.9g %.9g %.9g %.9g %.9g\n", full_pa, air.vapour_pa, air.dew_point_c,
                   air.wet_bulb_c, air.humidity_ratio);
    }
    return 0;
}
