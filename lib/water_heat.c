#include "water_heat.h"

#include <math.h>

/* Region 1 of [iapws-if97]: exponents and coefficients of its table 2, from memory; the
 * release's verification values at 300 and 500 K come out to all printed digits. */
static const struct {
    int i, j;
    double n;
} terms[] = {
    {0, -2, 0.14632971213167},        {0, -1, -0.84548187169114},
    {0, 0, -0.37563603672040e1},      {0, 1, 0.33855169168385e1},
    {0, 2, -0.95791963387872},        {0, 3, 0.15772038513228},
    {0, 4, -0.16616417199501e-1},     {0, 5, 0.81214629983568e-3},
    {1, -9, 0.28319080123804e-3},     {1, -7, -0.60706301565874e-3},
    {1, -1, -0.18990068218419e-1},    {1, 0, -0.32529748770505e-1},
    {1, 1, -0.21841717175414e-1},     {1, 3, -0.52838357969930e-4},
    {2, -3, -0.47184321073267e-3},    {2, 0, -0.30001780793026e-3},
    {2, 1, 0.47661393906987e-4},      {2, 3, -0.44141845330846e-5},
    {2, 17, -0.72694996297594e-15},   {3, -4, -0.31679644845054e-4},
    {3, 0, -0.28270797985312e-5},     {3, 6, -0.85205128120103e-9},
    {4, -5, -0.22425281908000e-5},    {4, -2, -0.65171222895601e-6},
    {4, 10, -0.14341729937924e-12},   {5, -8, -0.40516996860117e-6},
    {8, -11, -0.12734301741641e-8},   {8, -6, -0.17424871230634e-9},
    {21, -29, -0.68762131295531e-18}, {23, -31, 0.14478307828521e-19},
    {29, -38, 0.26335781662795e-22},  {30, -39, -0.11947622640071e-22},
    {31, -40, 0.18228094581404e-23},  {32, -41, -0.93537087292458e-25},
};

#define TERM_COUNT (sizeof terms / sizeof terms[0])
#define GAS_CONSTANT_KJ 0.461526 /* kJ/(kg K), of the formulation */
#define REDUCING_MPA 16.53
#define REDUCING_K 1386.0

static double power(double base, int exponent)
{
    return pow(base, (double)exponent);
}

/* First and second derivative of the reduced Gibbs energy in tau. */
static void derivatives(double temp_k, double pressure_mpa, double *out_first,
                        double *out_second)
{
    double x = 7.1 - pressure_mpa / REDUCING_MPA;
    double y = REDUCING_K / temp_k - 1.222;

    *out_first = 0.0;
    *out_second = 0.0;
    for (unsigned k = 0; k < TERM_COUNT; k++) {
        double common = terms[k].n * power(x, terms[k].i) * terms[k].j;

        *out_first += common * power(y, terms[k].j - 1);
        *out_second += common * (terms[k].j - 1) * power(y, terms[k].j - 2);
    }
}

static enum coil_status refuse(double temp_c, double pressure_mpa)
{
    if (!isfinite(temp_c) || !isfinite(pressure_mpa))
        return COIL_ERR_NOT_FINITE;
    if (temp_c < 0.0 || temp_c > 300.0 || pressure_mpa < 0.05 || pressure_mpa > 100.0)
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

enum coil_status coil_water_heat_capacity(double temp_c, double pressure_mpa,
                                          double *out_kj_per_kg_k)
{
    enum coil_status status = refuse(temp_c, pressure_mpa);
    double tau = REDUCING_K / (temp_c + 273.15);
    double first, second;

    if (status != COIL_OK)
        return status;
    derivatives(temp_c + 273.15, pressure_mpa, &first, &second);
    *out_kj_per_kg_k = -GAS_CONSTANT_KJ * tau * tau * second;
    return COIL_OK;
}

enum coil_status coil_water_enthalpy(double temp_c, double pressure_mpa,
                                     double *out_kj_per_kg)
{
    enum coil_status status = refuse(temp_c, pressure_mpa);
    double first, second;

    if (status != COIL_OK)
        return status;
    derivatives(temp_c + 273.15, pressure_mpa, &first, &second);
    *out_kj_per_kg = GAS_CONSTANT_KJ * REDUCING_K * first;
    return COIL_OK;
}
