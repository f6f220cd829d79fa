#include "units.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#define GAS_CONSTANT_J_PER_MOL_K 8.314462618 /* [codata-2018] */
#define ATMOSPHERE_PA 101325.0               /* exact */
#define ABSOLUTE_ZERO_C (-273.15)            /* exact */

/* Molar masses, g/mol [iupac-atomic-weights]. */
#define MASS_CACO3 100.0869
#define MASS_CAO 56.0774
#define MASS_CA 40.078

/* Exact definitions [nist-sp811]: from them the others follow. */
#define FOOT_M 0.3048
#define POUND_G 453.59237
#define GRAIN_MG 64.79891
#define US_GALLON_L 3.785411784
#define IMPERIAL_GALLON_L 4.54609
#define CUBIC_FOOT_L 28.316846592
#define BTU_J 1055.05585262
#define POUND_FORCE_N 4.4482216152605
#define SQUARE_INCH_M2 0.00064516
#define HORSEPOWER_W 745.69987158227022

static const struct coil_unit units[] = {
    {"m", "m", "metre", COIL_DIM_LENGTH, 1, 1, 0},
    {"cm", "cm", "centimetre", COIL_DIM_LENGTH, 1, 100, 0},
    {"mm", "mm", "millimetre", COIL_DIM_LENGTH, 1, 1000, 0},
    {"ft", "ft", "foot", COIL_DIM_LENGTH, FOOT_M, 1, 0},
    {"in", "in", "inch", COIL_DIM_LENGTH, FOOT_M, 12, 0},
    {"yd", "yd", "yard", COIL_DIM_LENGTH, 0.9144, 1, 0},

    {"m2", "m2", "square metre", COIL_DIM_AREA, 1, 1, 0},
    {"cm2", "cm2", "square centimetre", COIL_DIM_AREA, 1, 10000, 0},
    {"ft2", "ft2", "square foot", COIL_DIM_AREA, 0.09290304, 1, 0},
    {"in2", "in2", "square inch", COIL_DIM_AREA, SQUARE_INCH_M2, 1, 0},

    {"l", "L", "litre", COIL_DIM_VOLUME, 1, 1, 0},
    {"ml", "mL", "millilitre", COIL_DIM_VOLUME, 1, 1000, 0},
    {"m3", "m3", "cubic metre", COIL_DIM_VOLUME, 1000, 1, 0},
    {"us_gal", "gal", "US gallon", COIL_DIM_VOLUME, US_GALLON_L, 1, 0},
    {"us_fl_oz", "fl oz", "US fluid ounce", COIL_DIM_VOLUME, US_GALLON_L, 128, 0},
    {"us_qt", "qt", "US quart", COIL_DIM_VOLUME, US_GALLON_L, 4, 0},
    {"imp_gal", "imp gal", "imperial gallon", COIL_DIM_VOLUME, IMPERIAL_GALLON_L, 1, 0},
    {"imp_fl_oz", "imp fl oz", "imperial fluid ounce", COIL_DIM_VOLUME,
     IMPERIAL_GALLON_L, 160, 0},
    {"ft3", "ft3", "cubic foot", COIL_DIM_VOLUME, CUBIC_FOOT_L, 1, 0},

    {"g", "g", "gram", COIL_DIM_MASS, 1, 1, 0},
    {"kg", "kg", "kilogram", COIL_DIM_MASS, 1000, 1, 0},
    {"mg", "mg", "milligram", COIL_DIM_MASS, 1, 1000, 0},
    {"lb", "lb", "pound", COIL_DIM_MASS, POUND_G, 1, 0},
    {"oz", "oz", "ounce", COIL_DIM_MASS, POUND_G, 16, 0},
    {"grain", "gr", "grain", COIL_DIM_MASS, GRAIN_MG, 1000, 0},

    {"c", "°C", "degree Celsius", COIL_DIM_TEMPERATURE, 1, 1, 0},
    {"f", "°F", "degree Fahrenheit", COIL_DIM_TEMPERATURE, 5, 9, 32},
    {"k", "K", "kelvin", COIL_DIM_TEMPERATURE, 1, 1, -ABSOLUTE_ZERO_C},

    {"dt_k", "K", "kelvin of difference", COIL_DIM_TEMPERATURE_STEP, 1, 1, 0},
    {"dt_f", "°F", "degree Fahrenheit of difference", COIL_DIM_TEMPERATURE_STEP, 5, 9,
     0},

    {"j", "J", "joule", COIL_DIM_ENERGY, 1, 1, 0},
    {"kj", "kJ", "kilojoule", COIL_DIM_ENERGY, 1e3, 1, 0},
    {"mj", "MJ", "megajoule", COIL_DIM_ENERGY, 1e6, 1, 0},
    {"wh", "Wh", "watt-hour", COIL_DIM_ENERGY, 3600, 1, 0},
    {"kwh", "kWh", "kilowatt-hour", COIL_DIM_ENERGY, 3.6e6, 1, 0},
    {"btu", "Btu", "British thermal unit", COIL_DIM_ENERGY, BTU_J, 1, 0},
    /* The US gas trade's therm is made of 100,000 Btu at 59 degF, the EC's of as many
     * International Table Btu; they are 0.024 % apart [nist-sp811]. */
    {"therm_us", "therm", "therm (US)", COIL_DIM_ENERGY, 105480400, 1, 0},
    {"therm_ec", "therm", "therm (EC)", COIL_DIM_ENERGY, 105505585.262, 1, 0},

    {"w", "W", "watt", COIL_DIM_POWER, 1, 1, 0},
    {"kw", "kW", "kilowatt", COIL_DIM_POWER, 1000, 1, 0},
    {"btu_per_h", "Btu/h", "Btu per hour", COIL_DIM_POWER, BTU_J, 3600, 0},
    {"hp", "hp", "horsepower", COIL_DIM_POWER, HORSEPOWER_W, 1, 0},
    {"ton_refrigeration", "ton", "ton of refrigeration", COIL_DIM_POWER, 12000 * BTU_J,
     3600, 0},

    {"pa", "Pa", "pascal", COIL_DIM_PRESSURE, 1, 1, 0},
    {"kpa", "kPa", "kilopascal", COIL_DIM_PRESSURE, 1000, 1, 0},
    {"mbar", "mbar", "millibar", COIL_DIM_PRESSURE, 100, 1, 0},
    {"bar", "bar", "bar", COIL_DIM_PRESSURE, 1e5, 1, 0},
    {"atm", "atm", "standard atmosphere", COIL_DIM_PRESSURE, ATMOSPHERE_PA, 1, 0},
    {"psi", "psi", "pound per square inch", COIL_DIM_PRESSURE, POUND_FORCE_N,
     SQUARE_INCH_M2, 0},
    {"in_hg", "inHg", "inch of mercury at 0 °C", COIL_DIM_PRESSURE, 3386.389, 1, 0},
    {"in_h2o", "inH2O", "inch of water at 60 °F", COIL_DIM_PRESSURE, 248.84, 1, 0},

    {"l_per_s", "L/s", "litre per second", COIL_DIM_FLOW, 1, 1, 0},
    {"l_per_min", "L/min", "litre per minute", COIL_DIM_FLOW, 1, 60, 0},
    {"m3_per_h", "m3/h", "cubic metre per hour", COIL_DIM_FLOW, 1000, 3600, 0},
    {"us_gal_per_min", "gpm", "US gallon per minute", COIL_DIM_FLOW, US_GALLON_L, 60,
     0},
    {"imp_gal_per_min", "imp gpm", "imperial gallon per minute", COIL_DIM_FLOW,
     IMPERIAL_GALLON_L, 60, 0},
    {"ft3_per_h", "ft3/h", "cubic foot per hour", COIL_DIM_FLOW, CUBIC_FOOT_L, 3600, 0},

    {"m_per_s", "m/s", "metre per second", COIL_DIM_SPEED, 1, 1, 0},
    {"km_per_h", "km/h", "kilometre per hour", COIL_DIM_SPEED, 1000, 3600, 0},
    {"mph", "mph", "mile per hour", COIL_DIM_SPEED, 0.44704, 1, 0},
    {"ft_per_s", "ft/s", "foot per second", COIL_DIM_SPEED, FOOT_M, 1, 0},

    {"mg_per_l", "mg/L", "milligram per litre", COIL_DIM_CONCENTRATION, 1, 1, 0},
    {"ppm", "ppm", "part per million", COIL_DIM_CONCENTRATION, 1, 1, 0},
    {"ug_per_l", "µg/L", "microgram per litre", COIL_DIM_CONCENTRATION, 1, 1000, 0},
    {"ppb", "ppb", "part per billion", COIL_DIM_CONCENTRATION, 1, 1000, 0},
    {"g_per_l", "g/L", "gram per litre", COIL_DIM_CONCENTRATION, 1000, 1, 0},

    {"mg_per_l_caco3", "mg/L", "mg/L as calcium carbonate", COIL_DIM_AS_CACO3, 1, 1, 0},
    {"ppm_caco3", "ppm", "ppm as calcium carbonate", COIL_DIM_AS_CACO3, 1, 1, 0},
    {"dh", "°dH", "German degree", COIL_DIM_AS_CACO3, 10 * MASS_CACO3, MASS_CAO, 0},
    {"fh", "°fH", "French degree", COIL_DIM_AS_CACO3, 10, 1, 0},
    {"eh", "°e", "English (Clark) degree", COIL_DIM_AS_CACO3, GRAIN_MG,
     IMPERIAL_GALLON_L, 0},
    {"gpg", "gr/gal", "grain per US gallon", COIL_DIM_AS_CACO3, GRAIN_MG, US_GALLON_L,
     0},
    /* 1 mmol of calcium is 1 mmol of CaCO3; 1 mmol of acid takes up half of one. */
    {"mmol_per_l_ca", "mmol/L", "mmol/L of calcium (hardness)", COIL_DIM_AS_CACO3,
     MASS_CACO3, 1, 0},
    {"mmol_per_l_acid", "mmol/L", "mmol/L of acid capacity (alkalinity)",
     COIL_DIM_AS_CACO3, MASS_CACO3, 2, 0},
    {"meq_per_l", "meq/L", "milliequivalent per litre", COIL_DIM_AS_CACO3, MASS_CACO3,
     2, 0},
    {"mg_per_l_ca", "mg/L", "mg/L as calcium", COIL_DIM_AS_CACO3, MASS_CACO3, MASS_CA,
     0},

    {"s", "s", "second", COIL_DIM_DURATION, 1, 1, 0},
    {"min", "min", "minute", COIL_DIM_DURATION, 60, 1, 0},
    {"h", "h", "hour", COIL_DIM_DURATION, 3600, 1, 0},
    {"d", "d", "day of 24 hours", COIL_DIM_DURATION, 86400, 1, 0},
};

#define UNIT_COUNT ((int)(sizeof units / sizeof units[0]))

const struct coil_unit *coil_unit_at(int index)
{
    return index >= 0 && index < UNIT_COUNT ? &units[index] : NULL;
}

enum coil_status coil_unit_from_key(const char *key, const struct coil_unit **out_unit)
{
    if (key == NULL)
        return COIL_ERR_UNKNOWN;
    for (int i = 0; i < UNIT_COUNT; i++) {
        if (strcmp(units[i].key, key) == 0) {
            *out_unit = &units[i];
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

enum coil_status coil_unit_convert(const struct coil_unit *from,
                                   const struct coil_unit *to, double value,
                                   double *out_value)
{
    double base;
    double result;

    if (from == NULL || to == NULL)
        return COIL_ERR_UNKNOWN;
    if (!isfinite(value))
        return COIL_ERR_NOT_FINITE;
    if (from->dimension != to->dimension)
        return COIL_ERR_DOMAIN;
    /* Multiply first: (212 - 32) * 5 / 9 is 100 to the last digit. */
    base = (value - from->zero) * from->multiplier / from->divisor;
    if (from->dimension == COIL_DIM_TEMPERATURE && base < ABSOLUTE_ZERO_C)
        return COIL_ERR_DOMAIN;
    result = from == to ? value : base * to->divisor / to->multiplier + to->zero;
    if (!isfinite(result))
        return COIL_ERR_NOT_FINITE;
    *out_value = result;
    return COIL_OK;
}

enum coil_status coil_gas_mg_per_m3_from_ppm(double ppm, double molar_mass_g_per_mol,
                                             double temp_c, double *out_mg_per_m3)
{
    double mol_per_m3;
    double result;

    if (!isfinite(ppm) || !isfinite(molar_mass_g_per_mol) || !isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (ppm < 0.0 || molar_mass_g_per_mol <= 0.0 || temp_c <= ABSOLUTE_ZERO_C)
        return COIL_ERR_DOMAIN;
    mol_per_m3 =
        ATMOSPHERE_PA / (GAS_CONSTANT_J_PER_MOL_K * (temp_c - ABSOLUTE_ZERO_C));
    /* 1e-6 of the moles, 1e3 mg in a gram */
    result = ppm * 1e-3 * molar_mass_g_per_mol * mol_per_m3;
    if (!isfinite(result))
        return COIL_ERR_NOT_FINITE;
    *out_mg_per_m3 = result;
    return COIL_OK;
}
