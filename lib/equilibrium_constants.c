#include "equilibrium_constants.h"

#include <math.h>
#include <stddef.h>

#define ZERO_C_K 273.15
#define T_25_K 298.15
#define LN_10 2.302585092994045684
#define GAS_CONSTANT_KJ 8.314462618e-3 /* kJ/(mol K) [codata-2018] */
#define KJ_PER_KCAL 4.184

/* log10 K = a + b T + c/T + d log10 T + e/T2, the form of WATEQ4F. */
struct fit {
    double a, b, c, d, e;
};

static const struct fit FIT_1 = {-356.3094, -0.06091964, 21834.37, 126.8339, -1684915};
static const struct fit FIT_2 = {-107.8871, -0.03252849, 5151.79, 38.92561, -563713.9};
static const struct fit FIT_HENRY = {108.3865, 0.01985076, -6919.53, -40.45154, 669365};
static const struct fit FIT_CALCITE = {-171.9065, -0.077993, 2839.319, 71.595, 0};
static const struct fit FIT_CAHCO3 = {1209.12, 0.31294, -34765.05, -478.782, 0};
static const struct fit FIT_CACO3 = {-1228.732, -0.299444, 35512.75, 485.818, 0};
static const struct fit FIT_WATER = {-283.971, -0.05069842, 13323, 102.24447, -1119669};
/* Siebert and Hostetler 1977, as in WATEQ4F. From memory; the parts agree with its
 * values at 25 degC (1.07 and 2.98). */
static const struct fit FIT_MGHCO3 = {-59.215, 0, 2537.455, 20.92298, 0};
static const struct fit FIT_MGCO3 = {0.991, 0.00667, 0, 0, 0};
static const struct fit FIT_HSO4 = {-56.889, 0.006473, 2307.9, 19.8858, 0};

static double log_fit(const struct fit *fit, double temp_k)
{
    return fit->a + fit->b * temp_k + fit->c / temp_k + fit->d * log10(temp_k) +
           fit->e / (temp_k * temp_k);
}

static double power_of_ten(double exponent)
{
    return exp(LN_10 * exponent);
}

static double from_fit(const struct fit *fit, double temp_k)
{
    return power_of_ten(log_fit(fit, temp_k));
}

/* Constant at 25 degC carried by its enthalpy (van 't Hoff). */
static double from_enthalpy(double log_k_25, double enthalpy_kcal, double temp_k)
{
    double slope = enthalpy_kcal * KJ_PER_KCAL / (LN_10 * GAS_CONSTANT_KJ);

    return power_of_ten(log_k_25 - slope * (1 / temp_k - 1 / T_25_K));
}

/* Static dielectric constant of water near 1 bar. [bradley-pitzer-1979, eq. 5, 6] */
static double dielectric_constant(double temp_k)
{
    double at_1000_bar = 342.79 * exp(temp_k * (-5.0866e-3 + temp_k * 9.4690e-7));
    double c = -2.0525 + 3115.9 / (temp_k - 182.89);
    double b = -8032.5 + 4.2142e6 / temp_k + 2.1417 * temp_k;

    return at_1000_bar + c * log((b + 1.01325) / (b + 1000));
}

/* Density of the saturated liquid, kg/L. [wagner-pruss-2002, eq. 2.6] At 1 atm it is
 * 0.00005 higher, which no digit here shows. */
static double water_density(double temp_k)
{
    double th = 1 - temp_k / 647.096;
    double third = cbrt(th);

    return 0.322 * (1 + 1.99274064 * third + 1.09965342 * third * third -
                    0.510839303 * pow(third, 5) - 1.75493479 * pow(third, 16) -
                    45.5170352 * pow(third, 43) - 6.7469445e5 * pow(third, 110));
}

/*
 * Slopes of the Debye-Hueckel law from the charge of the electron, Boltzmann's and
 * Avogadro's numbers in cgs units: B2 = 8 pi N (e2/DkT) rho/1000, A = B e2/(2 DkT).
 */
static void debye_slopes(double temp_k, double *out_a, double *out_b)
{
    static const double CHARGE_SQUARED_PER_K = 1.671008e-3; /* e2/k, cm K */
    static const double EIGHT_PI_AVOGADRO = 8 * 3.14159265358979324 * 6.02214076e23;
    double length = CHARGE_SQUARED_PER_K / (dielectric_constant(temp_k) * temp_k);
    double b = sqrt(EIGHT_PI_AVOGADRO * length * water_density(temp_k) / 1000);

    *out_a = b * length / 2;
    *out_b = b * 1e-8; /* per angstrom */
}

/* [obrien-1974], 25 degC. From memory, but its three redundant constants (4.51, 5.62,
 * 6.90) close the cycles of these. Why 1.8 leaves HCl2Cy, not Cl2Cy-, is settled in
 * docs/decisions/010-trichlor-constant.md. */
static void obrien_formation(double *formation)
{
    double k_first = power_of_ten(4.07);            /* H3Cy + HOCl = H2ClCy */
    double k_second = k_first * power_of_ten(2.93); /* and HCl2Cy */

    formation[COIL_H3CY] = 1;
    formation[COIL_H2CY] = power_of_ten(-6.88);
    formation[COIL_HCY] = power_of_ten(-6.88 - 11.40);
    formation[COIL_CY] = power_of_ten(-6.88 - 11.40 - 13.5);
    formation[COIL_H2CLCY] = k_first;
    formation[COIL_HCLCY] = k_first * power_of_ten(-5.33);
    formation[COIL_CLCY] = k_first * power_of_ten(-5.33 - 10.12);
    formation[COIL_HCL2CY] = k_second;
    formation[COIL_CL2CY] = k_second * power_of_ten(-3.75);
    formation[COIL_CL3CY] = k_second * power_of_ten(1.8);
}

/* pK6 [wahman-2018]; pK9a, pK7a [wahman-2019], all at zero ionic strength. */
static void wahman_formation(double temp_k, enum coil_cyanurate_source source,
                             double *formation)
{
    double log_k_6 = -(1743 / temp_k + 1.12);
    double log_k_9a = -(2229 / temp_k - 1.65); /* HClCy- + H2O = H2Cy- + HOCl */
    double log_k_7a = -(2028 / temp_k - 2.15); /* Cl2Cy- + H2O = HClCy- + HOCl */
    int form;

    for (form = 0; form < COIL_CYANURATE_FORM_COUNT; form++)
        formation[form] = 0;
    formation[COIL_H3CY] = 1;
    formation[COIL_H2CY] = power_of_ten(log_k_6);
    if (source != COIL_CYANURATE_NO_CHLORINE) {
        formation[COIL_HCLCY] = power_of_ten(log_k_6 - log_k_9a);
        formation[COIL_CL2CY] = power_of_ten(log_k_6 - log_k_9a - log_k_7a);
    }
    if (source != COIL_CYANURATE_WAHMAN_2019_ALONE) {
        formation[COIL_HCY] = power_of_ten(log_k_6 - 11.40);
        formation[COIL_CY] = power_of_ten(log_k_6 - 11.40 - 13.5);
    }
}

static enum coil_status check_temperature(double temp_c)
{
    if (!isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (!(temp_c >= COIL_EQUILIBRIUM_TEMP_MIN_C &&
          temp_c <= COIL_EQUILIBRIUM_TEMP_MAX_C))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

enum coil_status coil_cyanurate_constants_at(double temp_c,
                                             enum coil_cyanurate_source source,
                                             struct coil_cyanurate_constants *out)
{
    enum coil_status status = check_temperature(temp_c);

    if (status != COIL_OK)
        return status;
    if (coil_cyanurate_source_words(source) == NULL)
        return COIL_ERR_UNKNOWN;
    out->source = source;
    if (source == COIL_CYANURATE_OBRIEN_1974)
        obrien_formation(out->formation);
    else
        wahman_formation(temp_c + ZERO_C_K, source, out->formation);
    return COIL_OK;
}

static void carbonate_constants(double temp_k, struct coil_constants *out)
{
    out->k_1 = from_fit(&FIT_1, temp_k);
    out->k_2 = from_fit(&FIT_2, temp_k);
    out->k_w = from_fit(&FIT_WATER, temp_k);
    out->k_henry = from_fit(&FIT_HENRY, temp_k);
    out->k_calcite = from_fit(&FIT_CALCITE, temp_k);
    out->k_cahco3 = from_fit(&FIT_CAHCO3, temp_k);
    out->k_caco3 = from_fit(&FIT_CACO3, temp_k);
    out->k_nahco3 = power_of_ten(-0.25); /* no enthalpy is known */
    out->k_naco3 = from_enthalpy(1.27, 8.91, temp_k);
    out->k_mghco3 = from_fit(&FIT_MGHCO3, temp_k);
    out->k_mgco3 = from_fit(&FIT_MGCO3, temp_k);
}

static void other_constants(double temp_k, struct coil_constants *out)
{
    out->k_caso4 = from_enthalpy(2.30, 1.65, temp_k);
    out->k_naso4 = from_enthalpy(0.70, 1.12, temp_k);
    out->k_mgso4 = from_enthalpy(2.37, 4.55, temp_k);
    out->k_hso4 = from_fit(&FIT_HSO4, temp_k);
    out->k_boric = from_enthalpy(-9.24, 3.224, temp_k);
    out->k_hocl = power_of_ten(-(3000 / temp_k - 10.0686 + 0.0253 * temp_k));
}

enum coil_status coil_constants_at(double temp_c, enum coil_cyanurate_source source,
                                   struct coil_constants *out)
{
    struct coil_cyanurate_constants cyanurate;
    enum coil_status status = coil_cyanurate_constants_at(temp_c, source, &cyanurate);
    double temp_k = temp_c + ZERO_C_K;

    if (status != COIL_OK)
        return status;
    out->temp_c = temp_c;
    out->cyanurate = cyanurate;
    debye_slopes(temp_k, &out->debye_a, &out->debye_b);
    carbonate_constants(temp_k, out);
    other_constants(temp_k, out);
    return COIL_OK;
}

int coil_cyanurate_measured_at(enum coil_cyanurate_source source, double temp_c)
{
    if (source == COIL_CYANURATE_OBRIEN_1974)
        return temp_c == 25;
    return temp_c >= 5 && temp_c <= 35;
}

const char *coil_cyanurate_source_words(enum coil_cyanurate_source source)
{
    switch (source) {
    case COIL_CYANURATE_WAHMAN_2019:
        return "Wahman 2018 and Wahman & Alexander 2019";
    case COIL_CYANURATE_OBRIEN_1974:
        return "O'Brien, Morris & Butler 1974";
    case COIL_CYANURATE_WAHMAN_2019_ALONE:
        return "Wahman 2018 and Wahman & Alexander 2019, measured forms only";
    case COIL_CYANURATE_NO_CHLORINE:
        return "Wahman 2018, no chlorine bound";
    }
    return NULL;
}

double coil_co2_solubility_weiss(double temp_c)
{
    double hundreds_k = (temp_c + ZERO_C_K) / 100;

    return exp(-58.0931 + 90.5069 / hundreds_k + 22.2940 * log(hundreds_k));
}

int coil_cyanurate_chlorines(enum coil_cyanurate_form form)
{
    static const int CHLORINES[] = {
#define X(name, chlorines, charges) chlorines,
        COIL_CYANURATE_FORM_LIST(X)
#undef X
    };

    return (unsigned)form < COIL_CYANURATE_FORM_COUNT ? CHLORINES[form] : -1;
}

int coil_cyanurate_charges(enum coil_cyanurate_form form)
{
    static const int CHARGES[] = {
#define X(name, chlorines, charges) charges,
        COIL_CYANURATE_FORM_LIST(X)
#undef X
    };

    return (unsigned)form < COIL_CYANURATE_FORM_COUNT ? CHARGES[form] : -1;
}

int coil_cyanurate_lacks_strong(enum coil_cyanurate_source source)
{
    return source == COIL_CYANURATE_WAHMAN_2019 ||
           source == COIL_CYANURATE_WAHMAN_2019_ALONE;
}
