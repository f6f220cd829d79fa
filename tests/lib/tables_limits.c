/*
 * Checks limits.csv and gas_transfer.csv.
 *
 * limits.csv: what a plan aims at where nobody wished otherwise lies inside the rules
 * that are named here. Codes of European public pools want less chlorine than a garden
 * pool in the sun can hold, and Fargo's alkalinity is one for chlorine gas: they and
 * the rows of other things are told, not followed.
 *
 * gas_transfer.csv: T2 is the law that is computed; T6 and T7 are its carbon and air.
 * The others are ranges of lakes.
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lib/drift.h"
#include "lib/treatment.h"
#include "tests/lib/tables.h"

static const char *const followed[] = {
    "MAHC",
    "Montana 37.115.1308",
    "ANSI/APSP-11 (PHTA-11)",
    "Anne Arundel County MD",
    "Pima County AZ",
    "MIL-HDBK-1027/4A",
    "heater makers' manuals in general",
};

static const struct {
    const char *parameter;
    enum coil_aim aim;
} parameters[] = {
    {"pH", COIL_AIM_PH},
    {"alkalinity", COIL_AIM_ALKALINITY},
    {"calcium hardness", COIL_AIM_CALCIUM},
    {"calcium hardness pool", COIL_AIM_CALCIUM},
    {"free chlorine", COIL_AIM_CHLORINE},
    {"free chlorine, with cyanurate", COIL_AIM_CHLORINE},
    {"free chlorine pool", COIL_AIM_CHLORINE},
    {"free chlorine capacity", COIL_AIM_CHLORINE},
    {"cyanuric acid", COIL_AIM_CYANURIC_ACID},
};

#define LENGTH(list) (sizeof(list) / sizeof *(list))

/* A printed bound that may be a range itself ("150-200"): its lower and upper end. */
static int bound(const char *text, double *out_low, double *out_high)
{
    int count = sscanf(text, "%lf-%lf", out_low, out_high);

    if (count == 1)
        *out_high = *out_low;
    return count >= 1;
}

static int inside(const struct table *table, size_t row, enum coil_aim aim,
                  char *message)
{
    const struct coil_wanted_basis basis = {.has_plaster = true, .has_chlorine = true};
    const struct coil_wanted aimed = coil_wanted_default(aim, &basis);
    const char *min = check_text(table, row, "min", message);
    const char *max = check_text(table, row, "max", message);
    double low, high, unused;

    if (min == NULL || max == NULL)
        return 0;
    if (!aimed.is_set)
        return check_fail(message, "nothing is aimed at");
    /* Of a bound that varies, the more lenient end. */
    if (bound(min, &low, &unused) && aimed.low < low)
        return check_fail(message, "min %g, but %g is aimed at", low, aimed.low);
    if (bound(max, &unused, &high) && aimed.high > high)
        return check_fail(message, "max %g, but %g is aimed at", high, aimed.high);
    return 1;
}

static int check_limit(const struct table *table, size_t row, char *message)
{
    const char *document = check_text(table, row, "document", message);
    const char *parameter = check_text(table, row, "parameter", message);
    size_t d = 0, p = 0;

    if (document == NULL || parameter == NULL)
        return 0;
    while (d < LENGTH(followed) && strcmp(followed[d], document) != 0)
        d++;
    while (p < LENGTH(parameters) && strcmp(parameters[p].parameter, parameter) != 0)
        p++;
    if (d == LENGTH(followed) || p == LENGTH(parameters))
        return 1;
    return inside(table, row, parameters[p].aim, message);
}

/* "k600 = ...; 0, 1, 2, 4 m/s in m/d" and as many velocities; 0.001 as the table asks. */
static int check_transfer(const char *what, const char *value, char *message)
{
    const char *winds = strchr(what, ';');
    double wind[4], printed[4];

    if (winds == NULL ||
        sscanf(winds, "; %lf, %lf, %lf, %lf", &wind[0], &wind[1], &wind[2], &wind[3]) !=
            4 ||
        sscanf(value, "%lf; %lf; %lf; %lf", &printed[0], &printed[1], &printed[2],
               &printed[3]) != 4)
        return check_fail(message, "\"%.60s\" is not understood", what);
    for (size_t i = 0; i < 4; i++) {
        struct coil_drift_transfer k;

        if (coil_drift_transfer(wind[i], 1, 0, &k) != COIL_OK)
            return check_fail(message, "refused");
        if (fabs(k.k_likely - printed[i]) > 0.001)
            return check_fail(message, "%g m/s: expected %g, got %.5f", wind[i],
                              printed[i], k.k_likely);
    }
    return 1;
}

/* Acid water holds nothing but CO2; 20 degC has Schmidt number 600. Half of the last
 * digit of 2.0 days is 0.0092 of what is left. */
static int check_e_folding(const char *what, const char *value, char *message)
{
    struct coil_drift_input in = {.water_temp_c = 20, .air_pco2_atm = 0};
    double k[2], days[2];

    if (sscanf(what, "e-folding of dissolved CO2 alone, %lf m deep, %lf-%lf",
               &in.mean_depth_m, &k[0], &k[1]) != 3 ||
        sscanf(value, "%lf-%lf", &days[0], &days[1]) != 2)
        return check_fail(message, "\"%.60s\" is not understood", what);
    in.water.dic_mol_per_kg = 1e-3;
    in.water.alkalinity_eq_per_kg = -1e-3;
    in.water.totals.chloride_mol_per_kg = 1e-3;
    for (size_t i = 0; i < 2; i++) {
        double at[1] = {days[i]}, left;
        struct coil_drift_point point[1];

        in.k_low = in.k_likely = in.k_high = k[i];
        if (coil_drift(&in, at, 1, point) < COIL_OK)
            return check_fail(message, "refused");
        left = point[0].dic_mol_per_kg / in.water.dic_mol_per_kg;
        if (fabs(left - exp(-1)) > 0.0092)
            return check_fail(message, "after %g d %.4f are left", days[i], left);
    }
    return 1;
}

static int check_gas(const struct table *table, size_t row, char *message)
{
    const char *id = check_text(table, row, "id", message);
    const char *what = check_text(table, row, "what", message);
    const char *value = check_text(table, row, "value", message);
    double ppm;

    if (id == NULL || what == NULL || value == NULL)
        return 0;
    if (strcmp(id, "T2") == 0)
        return check_transfer(what, value, message);
    if (strcmp(id, "T6") == 0)
        return check_e_folding(what, value, message);
    if (strcmp(id, "T7") != 0)
        return strchr("1345", id[1]) != NULL ? 1 : check_fail(message, "id %.9s", id);
    if (sscanf(value, "%lf", &ppm) != 1)
        return check_fail(message, "\"%.40s\" is not understood", value);
    /* The air that is computed with is that month's, to whole ppm. */
    return fabs(COIL_DRIFT_AIR_ATM * 1e6 - ppm) <= 0.5
               ? 1
               : check_fail(message, "computed with %g ppm", COIL_DRIFT_AIR_ATM * 1e6);
}

const struct table_check tables_limits[] = {
    {"limits.csv", check_limit},
    {"gas_transfer.csv", check_gas},
    {NULL, NULL},
};
