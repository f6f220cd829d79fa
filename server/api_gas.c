#include <stdlib.h>
#include <string.h>

#include "decimal.h"
#include "flue_report.h"
#include "json.h"
#include "lib/moist_air.h"

static const char *const siegert_names[] = {"gas", "lpg", "coke_gas", NULL};

#define PARTS 8

static const char *const parts[PARTS] = {
    "methane",  "ethane",          "propane",        "butane",
    "hydrogen", "carbon_monoxide", "carbon_dioxide", "nitrogen"};

static struct coil_gas_mix mix_of(const double values[PARTS])
{
    return (struct coil_gas_mix){values[0], values[1], values[2], values[3],
                                 values[4], values[5], values[6], values[7]};
}

/* ---- entering ---- */

static void read_mix(struct form *gas, enum coil_siegert siegert, cJSON *made)
{
    double values[PARTS] = {0};
    struct coil_gas_mix mix;
    struct coil_fuel fuel;
    struct form form;
    cJSON *object;

    if (!form_nested(gas, "mix", FORM_REQUIRED, &form))
        return;
    object = cJSON_AddObjectToObject(made, "mix");
    for (int i = 0; i < PARTS; i++) {
        int64_t value_e6 = 0;

        if (!form_e6(&form, parts[i], 0, 1, FORM_OPTIONAL, &value_e6))
            continue;
        values[i] = decimal_to_double(value_e6);
        cJSON_AddNumberToObject(object, parts[i], values[i]);
    }
    form_close(&form);
    mix = mix_of(values);
    if (coil_fuel_from_mix(&mix, siegert, &fuel) != COIL_OK)
        problem_add(gas->problem, "gas_invalid", "gas.mix",
                    "The parts must add up to 1, and something in it must burn.");
}

static void read_gas(struct form *gas, cJSON *made)
{
    char name[DB_NAME_SIZE] = "";
    struct coil_fuel fuel;
    int64_t co2_e6 = 0;
    int siegert = 0;

    if (form_text(gas, "name", FORM_REQUIRED, name, sizeof name))
        cJSON_AddStringToObject(made, "name", name);
    form_choice(gas, "siegert", siegert_names, FORM_REQUIRED, &siegert);
    cJSON_AddStringToObject(made, "siegert", siegert_names[siegert]);
    if (!form_e6(gas, "ultimate_co2_percent", 0, 100, FORM_OPTIONAL, &co2_e6)) {
        read_mix(gas, (enum coil_siegert)siegert, made);
        return;
    }
    cJSON_AddNumberToObject(made, "ultimate_co2_percent", decimal_to_double(co2_e6));
    if (coil_fuel_from_ultimate_co2(decimal_to_double(co2_e6),
                                    (enum coil_siegert)siegert, &fuel) != COIL_OK)
        problem_add(gas->problem, "gas_invalid", "gas.ultimate_co2_percent",
                    "The ultimate carbon dioxide of a fuel gas lies between 8 and 17 "
                    "percent.");
}

void flue_gas_read(struct form *form, char out[DB_GAS_SIZE])
{
    struct form gas;
    cJSON *made;
    char *text;

    out[0] = '\0';
    if (!form_nested(form, "gas", FORM_OPTIONAL, &gas))
        return;
    made = cJSON_CreateObject();
    read_gas(&gas, made);
    form_close(&gas);
    text = json_print_and_delete(made);
    if (text != NULL && strlen(text) < DB_GAS_SIZE)
        memcpy(out, text, strlen(text) + 1);
    free(text);
}

/* ---- what was burnt ---- */

static double number_of(const cJSON *object, const char *name)
{
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(object, name);

    return cJSON_IsNumber(member) ? member->valuedouble : 0.0;
}

static const char *text_of(const cJSON *object, const char *name)
{
    const cJSON *member = cJSON_GetObjectItemCaseSensitive(object, name);

    return cJSON_IsString(member) ? member->valuestring : "";
}

static enum coil_status own_fuel(const cJSON *gas, struct coil_fuel *out)
{
    const cJSON *mix_member = cJSON_GetObjectItemCaseSensitive(gas, "mix");
    enum coil_siegert siegert = COIL_SIEGERT_GAS;
    double values[PARTS];
    struct coil_gas_mix mix;

    for (int i = 0; siegert_names[i] != NULL; i++)
        if (strcmp(siegert_names[i], text_of(gas, "siegert")) == 0)
            siegert = (enum coil_siegert)i;
    if (mix_member == NULL)
        return coil_fuel_from_ultimate_co2(number_of(gas, "ultimate_co2_percent"),
                                           siegert, out);
    for (int i = 0; i < PARTS; i++)
        values[i] = number_of(mix_member, parts[i]);
    mix = mix_of(values);
    return coil_fuel_from_mix(&mix, siegert, out);
}

bool flue_fuel_of(const struct db_heater *heater, const struct db_plate *plate,
                  struct flue_fuel *out)
{
    enum json_fault fault;
    cJSON *gas;
    bool is_known;

    memset(out, 0, sizeof *out);
    if (plate->gas[0] == '\0') {
        if (heater->fuel == DB_NATURAL_GAS)
            coil_fuel_natural_gas(&out->fuel);
        else if (heater->fuel == DB_PROPANE)
            coil_fuel_propane(&out->fuel);
        else
            return false;
        memcpy(out->name, heater->fuel == DB_PROPANE ? "propane" : "natural_gas",
               heater->fuel == DB_PROPANE ? sizeof "propane" : sizeof "natural_gas");
        return true;
    }
    gas = json_parse(plate->gas, strlen(plate->gas), &fault);
    is_known = gas != NULL && own_fuel(gas, &out->fuel) == COIL_OK;
    out->is_own = true;
    strncpy(out->name, text_of(gas, "name"), sizeof out->name - 1);
    cJSON_Delete(gas);
    return is_known;
}

/* ---- what was read ---- */

static double value_of(const struct db_flue_test *test, enum db_flue_value value)
{
    return decimal_to_double(test->values[value].value_e6);
}

/* Vapour of the combustion air; dry air where nobody measured it. */
static double vapour_pa(const struct db_flue_test *test)
{
    double saturated_pa = 0;

    if (!test->values[DB_FLUE_AIR_HUMIDITY_PERCENT].is_known ||
        coil_saturation_pressure_pa(value_of(test, DB_FLUE_AIR_TEMP_C),
                                    &saturated_pa) < 0)
        return 0;
    saturated_pa *= value_of(test, DB_FLUE_AIR_HUMIDITY_PERCENT) / 100;
    return saturated_pa < 6000 ? saturated_pa : 6000;
}

void flue_test_of(const struct db_flue_test *test, const struct db_plate *plate,
                  struct coil_flue_test *out)
{
    *out = (struct coil_flue_test){
        .reading = {.o2_percent = value_of(test, DB_FLUE_O2_PERCENT),
                    .co_ppm = value_of(test, DB_FLUE_CO_PPM),
                    .flue_temp_c = value_of(test, DB_FLUE_FLUE_TEMP_C),
                    .air_temp_c = value_of(test, DB_FLUE_AIR_TEMP_C),
                    .air_vapour_pa = vapour_pa(test),
                    .is_condensing = plate->condensing},
        .accuracy = {.o2_percent = value_of(test, DB_FLUE_U_O2_PERCENT),
                     .co_ppm = value_of(test, DB_FLUE_U_CO_PPM),
                     .co_fraction = value_of(test, DB_FLUE_U_CO_FRACTION),
                     .flue_temp_k = value_of(test, DB_FLUE_U_FLUE_TEMP_K),
                     .air_temp_k = value_of(test, DB_FLUE_U_AIR_TEMP_K)}};
}

bool flue_has_accuracy(const struct db_flue_test *test)
{
    return test->values[DB_FLUE_U_O2_PERCENT].is_known;
}
