/*
 * The fill water's own values, as JSON members: what api_fill.c keeps and
 * api_treatment.c takes for a trial.
 */
#ifndef FILL_VALUES_H
#define FILL_VALUES_H

#include "db.h"
#include "form.h"
#include "lib/composition.h"

/* {"ph":7.6,…}: pH and alkalinity are needed, the rest may be left out. */
void fill_values_read(struct form *form, struct db_fill_value out[DB_FILL_VALUE_COUNT]);
/* Only what is known. Gives a tree. */
cJSON *fill_values_json(const struct db_fill_value values[DB_FILL_VALUE_COUNT]);
/* False when nothing is known; out is then untouched. */
bool fill_values_composition(const struct db_fill_value values[DB_FILL_VALUE_COUNT],
                             double pool_temp_c, struct coil_composition *out);

#endif
