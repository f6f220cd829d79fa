/*
 * Checks metals.csv: the arithmetic of E15 against lib/corrosion.h and of E16 against
 * lib/water.h. The other rows are findings without a number of ours; one of an unknown
 * id fails.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lib/corrosion.h"
#include "lib/water.h"
#include "tests/lib/tables.h"

#define FINDINGS_LAST 14

static int check_gram(const char *finding, char *message)
{
    struct coil_metal_tests tests = {.metal = COIL_METAL_COPPER};
    struct coil_metal_balance balance;
    double m3, gram, um, area_m2, got_um;

    if (sscanf(finding, "%lf mg/L Cu gained by %lf m3 = %lf g = %lf um off %lf m2",
               &tests.after_mg_per_l, &m3, &gram, &um, &area_m2) != 5)
        return check_fail(message, "finding: \"%.80s\" is not understood", finding);
    tests.volume_l = 1000.0 * m3;
    if (coil_metal_balance(&tests, &balance) != COIL_OK ||
        coil_metal_depth_um(COIL_METAL_COPPER, balance.entered_g, area_m2, &got_um) !=
            COIL_OK)
        return check_fail(message, "refused");
    if (fabs(balance.entered_g - gram) <= 1e-9 && fabs(got_um - um) <= 0.05)
        return 1;
    return check_fail(message, "expected %g g and %g um, got %.6g and %.6g", gram, um,
                      balance.entered_g, got_um);
}

/* Printed with two digits: 1 % of 2.0 and 20, 1000 exact. */
static int check_acid(const char *finding, char *message)
{
    const char *end = strstr(finding, "hydrogen ion of pH ");
    double at_ph;

    if (end == NULL || sscanf(end, "hydrogen ion of pH %lf", &at_ph) != 1)
        return check_fail(message, "finding: \"%.80s\" is not understood", finding);
    for (const char *at = finding; at < end; at = strchr(at, ',')) {
        double ph, times, got;

        if (sscanf(at + strcspn(at, "p"), "pH %lf%*[^0-9]%lf x", &ph, &times) != 2 ||
            coil_acidity_ratio(ph, at_ph, &got) != COIL_OK)
            return check_fail(message, "finding: \"%.80s\" is not understood", at);
        if (fabs(got - times) > 0.01 * times)
            return check_fail(message, "pH %g: expected %g, got %.6g", ph, times, got);
        at++;
        if (strchr(at, ',') == NULL)
            break;
    }
    return 1;
}

static int check_metal(const struct table *table, size_t row, char *message)
{
    const char *id = check_text(table, row, "id", message);
    const char *finding = check_text(table, row, "finding", message);
    int number;

    if (id == NULL || finding == NULL)
        return 0;
    if (strcmp(id, "E15") == 0)
        return check_gram(finding, message);
    if (strcmp(id, "E16") == 0)
        return check_acid(finding, message);
    if (sscanf(id, "E%d", &number) == 1 && number >= 1 && number <= FINDINGS_LAST)
        return 1;
    return check_fail(message, "id: \"%.40s\" is not known", id);
}

const struct table_check tables_metal[] = {
    {"metals.csv", check_metal},
    {NULL, NULL},
};
