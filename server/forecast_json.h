/* What answers that rest on a forecast have in common. */
#ifndef FORECAST_JSON_H
#define FORECAST_JSON_H

#include <cjson/cJSON.h>

#include "lib/forecast.h"

/* Adds a number rounded to a step, null when it is not finite. */
void forecast_add_number(cJSON *object, const char *name, double value, double step);
/* "free_chlorine_mg_per_l" and "ph", each with likely, low, high. */
void forecast_add_bands(cJSON *object, const struct coil_forecast_point *points,
                        size_t count);
/* "basis": what the pool's fit rests on and what a forecast up to until_s assumes. */
void forecast_add_basis(cJSON *object, const struct coil_fit *fit, double until_s);
/* "notes" of bits of enum coil_forecast_note: [{"code","text"}]. */
void forecast_add_notes(cJSON *object, unsigned notes);
/* {"earliest","likely","latest","notes"}; null when nothing can be said. */
void forecast_add_return(cJSON *object, const char *name,
                         const struct coil_return_times *times);

#endif
