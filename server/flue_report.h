/*
 * A flue test as the library takes it: which gas was burnt, what was read, how well the
 * instrument reads. Knows the store's records, not HTTP.
 */
#ifndef FLUE_REPORT_H
#define FLUE_REPORT_H

#include "db_flue.h"
#include "form.h"
#include "lib/flue_drift.h"

struct flue_fuel {
    struct coil_fuel fuel;
    char name[DB_NAME_SIZE]; /* "natural_gas", "propane", or the user's own */
    bool is_own;
};

/* False for a heater that burns nothing, and no own gas. */
bool flue_fuel_of(const struct db_heater *heater, const struct db_plate *plate,
                  struct flue_fuel *out);

/*
 * Member "gas" of a plate's form: null, or {"name":…,"siegert":"gas|lpg|coke_gas"} with
 * either "ultimate_co2_percent" or "mix" (parts by volume). Writes what was read as JSON
 * text, "" for none.
 */
void flue_gas_read(struct form *form, char out[DB_GAS_SIZE]);

/* Of a test that was sampled. */
void flue_test_of(const struct db_flue_test *test, const struct db_plate *plate,
                  struct coil_flue_test *out);

/* Was the instrument's accuracy told? Else uncertainties are not known. */
bool flue_has_accuracy(const struct db_flue_test *test);

#endif
