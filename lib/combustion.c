#include "combustion.h"

#include <math.h>
#include <stddef.h>

#include "moist_air.h"

#define NITROGEN_PER_O2 ((100.0 - COIL_AIR_O2_PERCENT) / COIL_AIR_O2_PERCENT)
#define WATER_KJ_PER_MOL 44.013 /* condensing at 25 degC [iso-6976], from memory */
#define THORNTON_KJ_PER_MOL_O2 445.0
#define GAS_CONSTANT_KJ 8.314462618e-3 /* kJ/(mol K) [codata-2018] */
#define BIMSCHV_O2_PERCENT 21.0        /* the rule's own number for air */

struct burnable {
    double carbon, hydrogen, oxygen; /* atoms in a molecule */
    double gross_kj_per_mol;         /* [iso-6976] at 25 degC, from memory */
};

static const struct burnable methane = {1, 4, 0, 890.58};
static const struct burnable ethane = {2, 6, 0, 1560.69};
static const struct burnable propane = {3, 8, 0, 2219.17};
static const struct burnable butane = {4, 10, 0, 2877.40};
static const struct burnable hydrogen = {0, 2, 0, 285.83};
static const struct burnable carbon_monoxide = {1, 0, 1, 282.98};

/* [bimschv-1], Annex 2 no. 3.4.1: percent of the net heat per K. */
static const struct {
    double a, b;
} siegert_constants[] = {
    [COIL_SIEGERT_GAS] = {0.66, 0.009},
    [COIL_SIEGERT_LPG] = {0.63, 0.008},
    [COIL_SIEGERT_COKE_GAS] = {0.60, 0.011},
};

static const struct {
    const char *code, *field, *text;
} refusals[] = {
#define X(name, code, field, text) {code, field, text},
    COIL_FLUE_REFUSAL_LIST(X)
#undef X
};

const char *coil_flue_refusal_code(enum coil_flue_refusal refusal)
{
    return (unsigned)refusal < COIL_FLUE_REFUSAL_COUNT ? refusals[refusal].code : NULL;
}

const char *coil_flue_refusal_field(enum coil_flue_refusal refusal)
{
    return (unsigned)refusal < COIL_FLUE_REFUSAL_COUNT ? refusals[refusal].field : NULL;
}

const char *coil_flue_refusal_text(enum coil_flue_refusal refusal)
{
    return (unsigned)refusal < COIL_FLUE_REFUSAL_COUNT ? refusals[refusal].text : NULL;
}

static void add_gas(struct coil_fuel *fuel, const struct burnable *gas, double part)
{
    double o2 = gas->carbon + gas->hydrogen / 4.0 - gas->oxygen / 2.0;

    fuel->o2_mol += part * o2;
    fuel->co2_mol += part * gas->carbon;
    fuel->water_mol += part * gas->hydrogen / 2.0;
    fuel->dry_mol += part * (gas->carbon + o2 * NITROGEN_PER_O2);
    fuel->gross_kj_per_mol += part * gas->gross_kj_per_mol;
    fuel->net_kj_per_mol +=
        part * (gas->gross_kj_per_mol - gas->hydrogen / 2.0 * WATER_KJ_PER_MOL);
}

enum coil_status coil_fuel_from_mix(const struct coil_gas_mix *mix,
                                    enum coil_siegert siegert, struct coil_fuel *out)
{
    const double part[] = {mix->methane,        mix->ethane,   mix->propane,
                           mix->butane,         mix->hydrogen, mix->carbon_monoxide,
                           mix->carbon_dioxide, mix->nitrogen};
    static const struct burnable *const gas[] = {&methane, &ethane,   &propane,
                                                 &butane,  &hydrogen, &carbon_monoxide};
    struct coil_fuel fuel = {.siegert = siegert};
    double sum = 0.0;

    for (size_t i = 0; i < sizeof part / sizeof part[0]; i++) {
        if (!isfinite(part[i]))
            return COIL_ERR_NOT_FINITE;
        if (part[i] < 0.0)
            return COIL_ERR_DOMAIN;
        sum += part[i];
    }
    if ((unsigned)siegert > COIL_SIEGERT_COKE_GAS)
        return COIL_ERR_UNKNOWN;
    if (fabs(sum - 1.0) > 0.01)
        return COIL_ERR_DOMAIN;
    for (size_t i = 0; i < sizeof gas / sizeof gas[0]; i++)
        add_gas(&fuel, gas[i], part[i] / sum);
    fuel.co2_mol += mix->carbon_dioxide / sum;
    fuel.dry_mol += (mix->carbon_dioxide + mix->nitrogen) / sum;
    if (fuel.o2_mol <= 0.0)
        return COIL_ERR_DOMAIN;
    *out = fuel;
    return COIL_OK;
}

void coil_fuel_natural_gas(struct coil_fuel *out)
{
    const struct coil_gas_mix mix = {.methane = 0.95,
                                     .ethane = 0.025,
                                     .propane = 0.002,
                                     .nitrogen = 0.016,
                                     .carbon_dioxide = 0.007};

    (void)coil_fuel_from_mix(&mix, COIL_SIEGERT_GAS, out);
}

void coil_fuel_propane(struct coil_fuel *out)
{
    const struct coil_gas_mix mix = {.propane = 1.0};

    (void)coil_fuel_from_mix(&mix, COIL_SIEGERT_LPG, out);
}

enum coil_status coil_fuel_from_ultimate_co2(double ultimate_co2_percent,
                                             enum coil_siegert siegert,
                                             struct coil_fuel *out)
{
    double o2;

    if (!isfinite(ultimate_co2_percent))
        return COIL_ERR_NOT_FINITE;
    if (ultimate_co2_percent < 8.0 || ultimate_co2_percent > 17.0)
        return COIL_ERR_DOMAIN;
    if ((unsigned)siegert > COIL_SIEGERT_COKE_GAS)
        return COIL_ERR_UNKNOWN;
    /* CHx: dry gas is 1 CO2 and the nitrogen of o2 = 1 + x/4. */
    o2 = (100.0 / ultimate_co2_percent - 1.0) / NITROGEN_PER_O2;
    out->o2_mol = o2;
    out->co2_mol = 1.0;
    out->dry_mol = 100.0 / ultimate_co2_percent;
    out->water_mol = 2.0 * (o2 - 1.0);
    out->gross_kj_per_mol = THORNTON_KJ_PER_MOL_O2 * o2;
    out->net_kj_per_mol = out->gross_kj_per_mol - WATER_KJ_PER_MOL * out->water_mol;
    out->siegert = siegert;
    return COIL_OK;
}

double coil_fuel_ultimate_co2_percent(const struct coil_fuel *fuel)
{
    return 100.0 * fuel->co2_mol / fuel->dry_mol;
}

static double air_mol(const struct coil_fuel *fuel)
{
    return fuel->o2_mol * 100.0 / COIL_AIR_O2_PERCENT;
}

/* Excess air as a fraction of what the fuel needs; O2 below 20.9 keeps it finite. */
static double excess_air(const struct coil_fuel *fuel, double o2_percent)
{
    double o2 = o2_percent / 100.0;

    return o2 * fuel->dry_mol / (fuel->o2_mol - o2 * air_mol(fuel));
}

enum coil_status coil_flue_o2_from_excess_air(const struct coil_fuel *fuel,
                                              double excess_air_percent,
                                              double *out_o2_percent)
{
    double e = excess_air_percent / 100.0;

    if (!isfinite(excess_air_percent))
        return COIL_ERR_NOT_FINITE;
    if (e < 0.0 || e > 100.0)
        return COIL_ERR_DOMAIN;
    *out_o2_percent = 100.0 * e * fuel->o2_mol / (fuel->dry_mol + e * air_mol(fuel));
    return COIL_OK;
}

/*
 * Enthalpy (kJ/mol) up to a constant; temp_c -40 to 1000. Low-temperature polynomials
 * of [gri-mech-3] (stated for 200 or 300 to 1000 K; flue gas beyond 727 degC is
 * extrapolated). The nitrogen row is from memory.
 */
static double enthalpy(const double c[5], double temp_c)
{
    double t = temp_c + 273.15;

    return GAS_CONSTANT_KJ * t *
           (c[0] + t * (c[1] / 2 + t * (c[2] / 3 + t * (c[3] / 4 + t * c[4] / 5))));
}

/* Sensible heat of the flue gas between air and flue, per mole of fuel. */
static double sensible_kj(const struct coil_fuel *fuel, double excess, double air_c,
                          double flue_c)
{
    static const double co2[] = {2.35677352, 8.98459677e-3, -7.12356269e-6,
                                 2.45919022e-9, -1.43699548e-13};
    static const double o2[] = {3.78245636, -2.99673416e-3, 9.84730201e-6,
                                -9.68129509e-9, 3.24372837e-12};
    static const double n2[] = {3.298677, 1.4082404e-3, -3.963222e-6, 5.641515e-9,
                                -2.444854e-12};
    static const double h2o[] = {4.19864056, -2.03643410e-3, 6.52040211e-6,
                                 -5.48797062e-9, 1.77197817e-12};
    double o2_mol = excess * fuel->o2_mol;
    double n2_mol = fuel->dry_mol - fuel->co2_mol + o2_mol * NITROGEN_PER_O2;

    return fuel->co2_mol * (enthalpy(co2, flue_c) - enthalpy(co2, air_c)) +
           o2_mol * (enthalpy(o2, flue_c) - enthalpy(o2, air_c)) +
           n2_mol * (enthalpy(n2, flue_c) - enthalpy(n2, air_c)) +
           fuel->water_mol * (enthalpy(h2o, flue_c) - enthalpy(h2o, air_c));
}

/* At 101325 Pa, with the water that came with the air. */
static double dew_point_c(const struct coil_fuel *fuel, double excess,
                          double air_vapour_pa)
{
    double dry_air = (1.0 + excess) * air_mol(fuel);
    double water = fuel->water_mol +
                   dry_air * air_vapour_pa / (COIL_ATMOSPHERE_PA - air_vapour_pa);
    double dry = fuel->dry_mol + excess * air_mol(fuel);
    double temp_c = -100.0; /* hardly any water: carbon monoxide burnt in dry air */

    (void)coil_dew_point_c(COIL_ATMOSPHERE_PA * water / (dry + water), &temp_c);
    return temp_c;
}

static void gas_values(const struct coil_fuel *fuel, const struct coil_flue_reading *r,
                       double *out)
{
    double excess = excess_air(fuel, r->o2_percent);
    double co2_percent =
        100.0 * fuel->co2_mol / (fuel->dry_mol + excess * air_mol(fuel));

    out[COIL_FLUE_EXCESS_AIR] = 100.0 * excess;
    out[COIL_FLUE_EXCESS_AIR_SIMPLE] =
        100.0 * r->o2_percent / (COIL_AIR_O2_PERCENT - r->o2_percent);
    out[COIL_FLUE_CO2] = co2_percent;
    out[COIL_FLUE_CO_AIR_FREE] = r->co_ppm * COIL_AIR_O2_FIELD_PERCENT /
                                 (COIL_AIR_O2_FIELD_PERCENT - r->o2_percent);
    out[COIL_FLUE_CO_CO2] = r->co_ppm / (1e4 * co2_percent);
    out[COIL_FLUE_DEW_POINT] = dew_point_c(fuel, excess, r->air_vapour_pa);
}

static void loss_values(const struct coil_fuel *fuel, const struct coil_flue_reading *r,
                        double *out)
{
    double a = siegert_constants[fuel->siegert].a;
    double b = siegert_constants[fuel->siegert].b;
    double loss = (r->flue_temp_c - r->air_temp_c) *
                  (a / (BIMSCHV_O2_PERCENT - r->o2_percent) + b);
    double heat = sensible_kj(fuel, excess_air(fuel, r->o2_percent), r->air_temp_c,
                              r->flue_temp_c) +
                  fuel->water_mol * WATER_KJ_PER_MOL;

    out[COIL_FLUE_LOSS_NET] = loss;
    out[COIL_FLUE_EFFICIENCY_NET] = 100.0 - loss;
    out[COIL_FLUE_EFFICIENCY_GROSS] =
        (100.0 - loss) * fuel->net_kj_per_mol / fuel->gross_kj_per_mol;
    out[COIL_FLUE_BALANCE_GROSS] = 100.0 * (1.0 - heat / fuel->gross_kj_per_mol);
}

static enum coil_flue_refusal refuse_reading(const struct coil_flue_reading *r)
{
    if (!(r->o2_percent >= 0.0 && r->o2_percent < COIL_AIR_O2_FIELD_PERCENT))
        return COIL_FLUE_O2_RANGE;
    if (!(r->co_ppm >= 0.0 && r->co_ppm <= 1e5))
        return COIL_FLUE_CO_RANGE;
    if (!(r->air_temp_c >= -40.0 && r->air_temp_c <= 60.0))
        return COIL_FLUE_AIR_RANGE;
    if (!(r->air_vapour_pa >= 0.0 && r->air_vapour_pa <= 6000.0))
        return COIL_FLUE_VAPOUR_RANGE;
    if (!(r->flue_temp_c > r->air_temp_c && r->flue_temp_c <= 1000.0))
        return COIL_FLUE_TEMP_RANGE;
    return COIL_FLUE_FINE;
}

static enum coil_flue_refusal refuse_loss(const struct coil_flue_reading *r,
                                          double dew_c)
{
    if (r->is_condensing)
        return COIL_FLUE_CONDENSING_UNIT;
    return r->flue_temp_c <= dew_c ? COIL_FLUE_BELOW_DEW_POINT : COIL_FLUE_FINE;
}

static bool accuracy_is_usable(const struct coil_flue_accuracy *a)
{
    const double part[] = {a->o2_percent, a->co_ppm, a->co_fraction, a->flue_temp_k,
                           a->air_temp_k};

    for (size_t i = 0; i < sizeof part / sizeof part[0]; i++)
        if (!(part[i] >= 0.0 && part[i] <= 1e4))
            return false;
    return true;
}

/* Adds to out[] the square of what one input's accuracy does to each value. */
static void add_spread(const struct coil_fuel *fuel, struct coil_flue_reading low,
                       struct coil_flue_reading high, double step, double half_width,
                       double *out)
{
    double at_low[COIL_FLUE_VALUE_COUNT];
    double at_high[COIL_FLUE_VALUE_COUNT];

    gas_values(fuel, &low, at_low);
    gas_values(fuel, &high, at_high);
    loss_values(fuel, &low, at_low);
    loss_values(fuel, &high, at_high);
    for (int i = 0; i < COIL_FLUE_VALUE_COUNT; i++) {
        double part = (at_high[i] - at_low[i]) / step * half_width;

        out[i] += part * part / 3.0;
    }
}

static void spread(const struct coil_fuel *fuel, const struct coil_flue_reading *r,
                   const struct coil_flue_accuracy *a, double *out_square)
{
    struct coil_flue_reading low = *r;
    struct coil_flue_reading high = *r;

    low.o2_percent = fmax(0.0, r->o2_percent - 1e-4);
    high.o2_percent = fmin(r->o2_percent + 1e-4, 0.5 * (r->o2_percent + 20.9));
    add_spread(fuel, low, high, high.o2_percent - low.o2_percent, a->o2_percent,
               out_square);
    low = high = *r;
    high.co_ppm += 1.0;
    add_spread(fuel, low, high, 1.0, fmax(a->co_ppm, a->co_fraction * r->co_ppm),
               out_square);
    low = high = *r;
    low.flue_temp_c -= 0.01;
    high.flue_temp_c += 0.01;
    add_spread(fuel, low, high, high.flue_temp_c - low.flue_temp_c, a->flue_temp_k,
               out_square);
    low = high = *r;
    low.air_temp_c -= 0.01;
    high.air_temp_c += 0.01;
    add_spread(fuel, low, high, high.air_temp_c - low.air_temp_c, a->air_temp_k,
               out_square);
}

static void fill(const struct coil_fuel *fuel, const struct coil_flue_reading *r,
                 const struct coil_flue_accuracy *accuracy,
                 struct coil_flue_result *out)
{
    double value[COIL_FLUE_VALUE_COUNT];
    double square[COIL_FLUE_VALUE_COUNT] = {0.0};

    gas_values(fuel, r, value);
    loss_values(fuel, r, value);
    if (accuracy != NULL)
        spread(fuel, r, accuracy, square);
    out->loss_refusal = refuse_loss(r, value[COIL_FLUE_DEW_POINT]);
    for (int i = 0; i < COIL_FLUE_VALUE_COUNT; i++) {
        if (i >= COIL_FLUE_LOSS_NET && out->loss_refusal != COIL_FLUE_FINE)
            continue;
        out->is_known[i] = true;
        out->value[i] = value[i];
        out->u[i] = sqrt(square[i]);
    }
    out->holds_burner = value[COIL_FLUE_CO_AIR_FREE] > COIL_CO_AIR_FREE_LIMIT_PPM;
}

enum coil_status coil_flue_analyse(const struct coil_fuel *fuel,
                                   const struct coil_flue_reading *r,
                                   const struct coil_flue_accuracy *accuracy,
                                   struct coil_flue_result *out)
{
    *out = (struct coil_flue_result){.refusal = refuse_reading(r)};
    if (out->refusal != COIL_FLUE_FINE) {
        out->loss_refusal = out->refusal;
        if (isfinite(r->o2_percent) && isfinite(r->co_ppm) &&
            isfinite(r->flue_temp_c) && isfinite(r->air_temp_c) &&
            isfinite(r->air_vapour_pa))
            return COIL_ERR_DOMAIN;
        return COIL_ERR_NOT_FINITE;
    }
    if (accuracy != NULL && !accuracy_is_usable(accuracy))
        return COIL_ERR_DOMAIN;
    fill(fuel, r, accuracy, out);
    return COIL_OK;
}
