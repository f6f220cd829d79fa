/*
 * Exact conversions between the units that people type and read.
 *
 * Every unit of a dimension is a multiple of the dimension's base unit, with a zero
 * point for temperatures. Knows nothing of which quantity is shown in which unit.
 */
#ifndef COIL_UNITS_H
#define COIL_UNITS_H

#include "status.h"

enum coil_dimension {
    COIL_DIM_LENGTH,           /* base m */
    COIL_DIM_AREA,             /* m2 */
    COIL_DIM_VOLUME,           /* L */
    COIL_DIM_MASS,             /* g */
    COIL_DIM_TEMPERATURE,      /* degC, with zero point */
    COIL_DIM_TEMPERATURE_STEP, /* K, a difference of two temperatures */
    COIL_DIM_ENERGY,           /* J */
    COIL_DIM_POWER,            /* W */
    COIL_DIM_PRESSURE,         /* Pa */
    COIL_DIM_FLOW,             /* L/s */
    COIL_DIM_SPEED,            /* m/s */
    COIL_DIM_CONCENTRATION,    /* mg/L */
    COIL_DIM_AS_CACO3,         /* mg/L as CaCO3: hardness and alkalinity */
    COIL_DIM_DURATION          /* s */
};

/*
 * One unit: value in the base unit = (value - zero) * multiplier / divisor.
 * Two numbers, so that exact definitions stay exact: 5/9 is not a double.
 */
struct coil_unit {
    const char *key;    /* name in JSON, CSV and forms: "us_gal" */
    const char *symbol; /* as printed beside a number: "gal" */
    const char *words;  /* for people: "US gallon" */
    enum coil_dimension dimension;
    double multiplier; /* > 0, base units per divisor of this unit */
    double divisor;    /* > 0 */
    double zero; /* this unit's reading at the base's zero; 0 but for degF and K */
};

/*
 * Finds a unit by its whole key.
 *
 * out_unit receives a pointer that lives as long as the program.
 * Returns COIL_OK, or COIL_ERR_UNKNOWN (also for NULL).
 */
enum coil_status coil_unit_from_key(const char *key, const struct coil_unit **out_unit);

/* The n-th unit in the order of the table, from 0; NULL past either end. */
const struct coil_unit *coil_unit_at(int index);

/*
 * Converts a value.
 *
 * from, to   units of one dimension; the caller keeps them
 * value      any finite number of from's unit; a temperature not below absolute zero
 * out_value  receives it in to's unit; untouched unless COIL_OK is returned
 *
 * Returns COIL_OK; COIL_ERR_UNKNOWN when a unit is NULL; COIL_ERR_NOT_FINITE for NaN,
 * infinity or a result too large for a double; COIL_ERR_DOMAIN when the dimensions
 * differ or the temperature is impossible.
 *
 * A value in its own unit comes back as it is. Else at most six roundings: the result
 * is within 1e-15 of its size (temperatures: 1e-13 K).
 *
 * Definitions: length, area, volume, mass, energy, power, pressure and flow
 * [nist-sp811] [nist-hb44]; Btu is the International Table one; inches of mercury at
 * 0 degC and of water at 60 degF are conventional. Hardness by molar masses CaCO3
 * 100.0869, CaO 56.0774, Ca 40.078 g/mol [iupac-atomic-weights]: one German degree is
 * 10 mg/L CaO, one French degree 10 mg/L CaCO3, one grain per US gallon 64.79891 mg per
 * 3.785411784 L. ppm counts as mg/L: 1 L of pool water as 1 kg.
 * Checked by fixtures/tables/unit_conversions.csv.
 */
enum coil_status coil_unit_convert(const struct coil_unit *from,
                                   const struct coil_unit *to, double value,
                                   double *out_value);

/*
 * Mass of a gas in air from its share of the volume, at 1 atm.
 *
 * ppm                  parts per million by volume, >= 0
 * molar_mass_g_per_mol > 0 (carbon monoxide 28.010)
 * temp_c               air temperature (degC), > -273.15
 * out_mg_per_m3        receives the mass; untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 * Ideal gas law with R = 8.314462618 J/(mol K) [codata-2018] and p = 101325 Pa. Carbon
 * monoxide in air keeps to it within 0.1 % (from memory).
 * Checked by fixtures/tables/unit_conversions.csv.
 */
enum coil_status coil_gas_mg_per_m3_from_ppm(double ppm, double molar_mass_g_per_mol,
                                             double temp_c, double *out_mg_per_m3);

#endif
