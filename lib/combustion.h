/*
 * One flue test: what a reading of oxygen, carbon monoxide and two temperatures says
 * about a gas burner, and how well it is known.
 *
 * Knows nothing of earlier tests (flue_drift.h) or of the permit. Oxygen in range never
 * proves carbon monoxide safe: one point of oxygen can lie between 50 and 1200 ppm.
 * Every efficiency names its basis: net counts the fuel without, gross with the heat of
 * the water vapour.
 */
#ifndef COIL_COMBUSTION_H
#define COIL_COMBUSTION_H

#include <stdbool.h>

#include "status.h"

/* Oxygen of dry air, percent by volume: from memory, as in gas tables. */
#define COIL_AIR_O2_PERCENT 20.95
/* What flue analysers and field practice take for it. */
#define COIL_AIR_O2_FIELD_PERCENT 20.9
/* Air-free CO of vented heating equipment above which a burner has to stay off
 * [ansi-z21], second-hand. */
#define COIL_CO_AIR_FREE_LIMIT_PPM 400.0
/* Tune below this: common practice, no source. */
#define COIL_CO_AIR_FREE_TARGET_PPM 100.0
/* CO over CO2 in use in Britain: second-hand, no document seen. */
#define COIL_CO_CO2_RATIO_LIMIT 0.004

/* Rows of the German rule's table of constants. */
enum coil_siegert { COIL_SIEGERT_GAS, COIL_SIEGERT_LPG, COIL_SIEGERT_COKE_GAS };

/* What a mole of fuel gas needs and gives; filled by one of the functions below. */
struct coil_fuel {
    double o2_mol;           /* oxygen it needs */
    double dry_mol;          /* flue gas without water and without excess air */
    double co2_mol;          /* carbon dioxide in that */
    double water_mol;        /* water vapour from the fuel */
    double gross_kj_per_mol; /* at 25 degC */
    double net_kj_per_mol;
    enum coil_siegert siegert;
};

/* Parts of a gas by volume; they add up to 1 within 0.01 and are scaled to 1. */
struct coil_gas_mix {
    double methane, ethane, propane, butane;
    double hydrogen, carbon_monoxide, carbon_dioxide, nitrogen;
};

/*
 * Fuel from a composition.
 *
 * siegert  which row of the rule's constants stands for it
 * out      untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, COIL_ERR_NOT_FINITE, COIL_ERR_UNKNOWN (siegert), or COIL_ERR_DOMAIN
 * when a part is negative, the sum is off or nothing in it burns.
 * Stoichiometry; air is O2 and N2 only. Heating values at 25 degC as in [iso-6976],
 * from memory; water 44.013 kJ/mol.
 */
enum coil_status coil_fuel_from_mix(const struct coil_gas_mix *mix,
                                    enum coil_siegert siegert, struct coil_fuel *out);

/*
 * Natural gas of methane 0.95, ethane 0.025, propane 0.002, nitrogen 0.016, carbon
 * dioxide 0.007 (a composition that a supplier prints as typical; from memory):
 * ultimate CO2 11.83 %. Propane: pure.
 */
void coil_fuel_natural_gas(struct coil_fuel *out);
void coil_fuel_propane(struct coil_fuel *out);

/*
 * Fuel from its ultimate CO2 alone (percent, dry, without excess air).
 *
 * ultimate_co2_percent  above 8 (CH10, no real gas) and up to 17 (CH1); methane 11.70,
 *                       propane 13.72, butane 14.0
 *
 * Taken as one hydrocarbon CHx; inert gas in the fuel is not seen. Gross heat 445 kJ
 * per mole of oxygen [thornton-1917], within 0.6 % for methane to butane. Returns
 * COIL_OK, COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN, COIL_ERR_UNKNOWN.
 */
enum coil_status coil_fuel_from_ultimate_co2(double ultimate_co2_percent,
                                             enum coil_siegert siegert,
                                             struct coil_fuel *out);

/* Ultimate CO2 (percent, dry) of a filled fuel. */
double coil_fuel_ultimate_co2_percent(const struct coil_fuel *fuel);

/* Taken before the draught hood, at steady state (not before 2 minutes of firing, 30 s
 * mean [bimschv-1]). */
struct coil_flue_reading {
    double o2_percent;    /* dry, 0 to below 20.9 */
    double co_ppm;        /* dry, as read, 0 to 100000 */
    double flue_temp_c;   /* above air, up to 1000 */
    double air_temp_c;    /* combustion air, -40 to 60 */
    double air_vapour_pa; /* water vapour in that air; 0 (dry) to 6000 */
    bool is_condensing;   /* the unit is built to condense its flue gas */
};

/* The instrument's stated accuracy, half widths: the maker's plus and minus. */
struct coil_flue_accuracy {
    double o2_percent;
    double co_ppm;      /* the larger of this */
    double co_fraction; /* and this part of the reading */
    double flue_temp_k;
    double air_temp_k;
};

enum coil_flue_value {
    COIL_FLUE_EXCESS_AIR,        /* percent, exact stoichiometric form */
    COIL_FLUE_EXCESS_AIR_SIMPLE, /* percent, O2/(20.95 - O2): reads up to 12 % too high
                                  */
    COIL_FLUE_CO2,               /* percent, dry */
    COIL_FLUE_CO_AIR_FREE,       /* ppm */
    COIL_FLUE_CO_CO2,            /* ratio */
    COIL_FLUE_DEW_POINT,         /* degC at 101325 Pa */
    COIL_FLUE_LOSS_NET,          /* percent of the net heat, Siegert form */
    COIL_FLUE_EFFICIENCY_NET,    /* percent, 100 less that loss */
    COIL_FLUE_EFFICIENCY_GROSS,  /* percent, the same brought to gross */
    COIL_FLUE_BALANCE_GROSS,     /* percent of gross, by heat balance of the flue gas */
    COIL_FLUE_VALUE_COUNT
};

/* Why a reading, or the part of it that needs temperatures, is refused. */
#define COIL_FLUE_REFUSAL_LIST(X)                                                      \
    X(COIL_FLUE_FINE, "fine", "", "")                                                  \
    X(COIL_FLUE_O2_RANGE, "flue_o2_range", "o2_percent",                               \
      "Oxygen must be 0 or more and below 20.9 percent: 20.9 is plain air.")           \
    X(COIL_FLUE_CO_RANGE, "flue_co_range", "co_ppm",                                   \
      "Carbon monoxide cannot be negative or above 100000 ppm.")                       \
    X(COIL_FLUE_AIR_RANGE, "flue_air_range", "air_temp_c",                             \
      "Combustion air must be between -40 and 60 degrees Celsius.")                    \
    X(COIL_FLUE_VAPOUR_RANGE, "flue_vapour_range", "air_vapour_pa",                    \
      "Water vapour in the air must be between 0 and 6000 Pa.")                        \
    X(COIL_FLUE_TEMP_RANGE, "flue_temp_range", "flue_temp_c",                          \
      "Flue gas must be hotter than the air and at most 1000 degrees Celsius.")        \
    X(COIL_FLUE_CONDENSING_UNIT, "flue_condensing_unit", "is_condensing",              \
      "The loss formula does not hold for a condensing unit.")                         \
    X(COIL_FLUE_BELOW_DEW_POINT, "flue_below_dew_point", "flue_temp_c",                \
      "This flue gas is so cold that its water condenses: no loss can be computed.")

enum coil_flue_refusal {
#define X(name, code, field, text) name,
    COIL_FLUE_REFUSAL_LIST(X)
#undef X
        COIL_FLUE_REFUSAL_COUNT
};

/* Stable code, name of the field and a sentence; NULL for no such number. */
const char *coil_flue_refusal_code(enum coil_flue_refusal refusal);
const char *coil_flue_refusal_field(enum coil_flue_refusal refusal);
const char *coil_flue_refusal_text(enum coil_flue_refusal refusal);

struct coil_flue_result {
    enum coil_flue_refusal refusal;      /* FINE, or why the reading was refused */
    enum coil_flue_refusal loss_refusal; /* why loss and efficiencies are missing */
    bool is_known[COIL_FLUE_VALUE_COUNT];
    double value[COIL_FLUE_VALUE_COUNT]; /* 0 where not known */
    double u[COIL_FLUE_VALUE_COUNT];     /* standard uncertainty from the instrument */
    bool holds_burner; /* CO air-free above COIL_CO_AIR_FREE_LIMIT_PPM */
};

/*
 * Everything from one reading.
 *
 * fuel      filled by a function above
 * accuracy  may be NULL: then u stays 0
 * out       always filled: with refusal set, nothing in it is known
 *
 * Returns COIL_OK; COIL_ERR_NOT_FINITE; COIL_ERR_DOMAIN with out->refusal. The values
 * from oxygen and CO also come for a condensing unit and for flue gas below its dew
 * point: CO has to be judged there too; loss_refusal then says why no loss.
 *
 * Excess air: O2 dry / (o2 - O2 air) with O2 as a fraction, moles per mole of fuel; CO
 * in the flue is not counted (0.1 % CO moves it by 0.5 points). CO air-free: CO
 * 20.9/(20.9 - O2) [field-co-air-free]. Loss: (flue - air)(A/(21 - O2) + B)
 * [bimschv-1], net basis; gross is (100 - loss)/(gross heat/net heat). The balance
 * takes the sensible heat of CO2, O2, N2 and H2O (polynomials of [gri-mech-3]) and all
 * the latent heat; for natural gas it lies 0.4 to 0.8 points above [doe-steam-tip-4],
 * and the Siegert form up to 1.3 points above it: neither is known better than that.
 * Jacket losses and standby are in none of them. Uncertainty: the accuracies as half
 * widths of even distributions, a/sqrt(3), through the slope of each value, added as
 * squares [jcgm-100]. The formulas' own error is not in it. Checked by
 * combustion_o2_co2_excess_air.csv, siegert_flue_loss.csv,
 * doe_combustion_efficiency_natural_gas.csv and CO-1, CO-2, COMB-1 of
 * worked_examples.csv, in fixtures/tables.
 */
enum coil_status coil_flue_analyse(const struct coil_fuel *fuel,
                                   const struct coil_flue_reading *reading,
                                   const struct coil_flue_accuracy *accuracy,
                                   struct coil_flue_result *out);

/*
 * Oxygen from excess air: the inverse of the exact form.
 *
 * excess_air_percent  0 to 10000
 * Returns COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 */
enum coil_status coil_flue_o2_from_excess_air(const struct coil_fuel *fuel,
                                              double excess_air_percent,
                                              double *out_o2_percent);

#endif
