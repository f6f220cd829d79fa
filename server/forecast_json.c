#include "forecast_json.h"

#include <math.h>
#include <string.h>

#include "decimal.h"
#include "json.h"

/* A number as it was rounded, not as a double prints it. */
static cJSON *number(double value, double step)
{
    char text[32];

    if (!isfinite(value) || fabs(value) > 1e12)
        return cJSON_CreateNull();
    decimal_write(decimal_from_double(round(value / step) * step), text, sizeof text);
    return cJSON_CreateRaw(text);
}

void forecast_add_number(cJSON *object, const char *name, double value, double step)
{
    cJSON_AddItemToObject(object, name, number(value, step));
}

static void add_band(cJSON *object, const char *name,
                     const struct coil_forecast_point *points, size_t count, bool is_ph)
{
    cJSON *one = cJSON_AddObjectToObject(object, name);
    cJSON *likely = cJSON_AddArrayToObject(one, "likely");
    cJSON *low = cJSON_AddArrayToObject(one, "low");
    cJSON *high = cJSON_AddArrayToObject(one, "high");

    for (size_t i = 0; i < count; i++) {
        struct coil_band band = {NAN, NAN, NAN};

        if (is_ph && points[i].has_ph)
            band = points[i].ph;
        if (!is_ph && points[i].has_free_chlorine)
            band = points[i].free_chlorine_mg_per_l;
        cJSON_AddItemToArray(likely, number(band.likely, 0.001));
        cJSON_AddItemToArray(low, number(band.low, 0.001));
        cJSON_AddItemToArray(high, number(band.high, 0.001));
    }
}

void forecast_add_bands(cJSON *object, const struct coil_forecast_point *points,
                        size_t count)
{
    add_band(object, "free_chlorine_mg_per_l", points, count, false);
    add_band(object, "ph", points, count, true);
}

void forecast_add_notes(cJSON *object, unsigned notes)
{
    cJSON *array = cJSON_AddArrayToObject(object, "notes");

    for (int i = 0; i < COIL_FORECAST_NOTE_COUNT; i++) {
        cJSON *one;

        if ((notes & (1u << i)) == 0)
            continue;
        one = cJSON_CreateObject();
        cJSON_AddStringToObject(one, "code", coil_forecast_note_key(i));
        cJSON_AddStringToObject(one, "text", coil_forecast_note_words(i));
        cJSON_AddItemToArray(array, one);
    }
}

static void add_coverage(cJSON *object, const char *name,
                         struct coil_forecast_coverage coverage)
{
    cJSON *one = cJSON_AddObjectToObject(object, name);

    cJSON_AddNumberToObject(one, "tried", coverage.tried);
    forecast_add_number(one, "fraction", coverage.fraction, 0.001);
}

/* Standing assumptions, in words: docs/model.md has them at length. */
static void add_assumptions(cJSON *basis)
{
    static const char *const texts[] = {
        "Nothing is added after the last entry.",
        "The weather is as usual here; no cover on the water in the sun.",
    };
    cJSON *array = cJSON_AddArrayToObject(basis, "assumptions");

    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(texts[i]));
}

static void add_fitted(cJSON *basis, const struct coil_fit *fit)
{
    cJSON *one = cJSON_AddObjectToObject(basis, "fitted");
    struct coil_fit_summary s;

    coil_fit_summarise(fit, &s);
    forecast_add_number(one, "sun_scale", s.sun_scale, 0.001);
    forecast_add_number(one, "sun_scale_factor", s.sun_scale_factor, 0.01);
    forecast_add_number(one, "dark_per_day_25c", s.dark_per_day_25c, 0.0001);
    forecast_add_number(one, "dark_per_day_factor", s.dark_per_day_factor, 0.01);
    forecast_add_number(one, "dark_doubling_c", s.dark_doubling_c, 0.01);
    forecast_add_number(one, "demand_mg_per_l_day", s.demand_mg_per_l_day, 0.001);
    forecast_add_number(one, "ph_drift_per_day", s.ph_drift_per_day, 0.0001);
    forecast_add_number(one, "ph_drift_end", s.ph_drift_end, 0.001);
}

void forecast_add_basis(cJSON *object, const struct coil_fit *fit, double until_s)
{
    const struct coil_fit_basis *b = &fit->basis;
    cJSON *basis = cJSON_AddObjectToObject(object, "basis");
    const double none = NAN;

    cJSON_AddNumberToObject(basis, "chlorine_readings", b->chlorine_readings);
    cJSON_AddNumberToObject(basis, "ph_readings", b->ph_readings);
    cJSON_AddNumberToObject(basis, "skipped", b->skipped);
    cJSON_AddNumberToObject(basis, "rises_without_dose", b->rises_without_dose);
    cJSON_AddNumberToObject(basis, "falls_beyond_reason", b->falls_beyond_reason);
    forecast_add_number(basis, "chlorine_read_at",
                        b->chlorine_readings > 0 ? (double)b->chlorine_read_s : none,
                        1);
    forecast_add_number(basis, "ph_read_at",
                        b->ph_readings > 0 ? (double)b->ph_read_s : none, 1);
    forecast_add_number(basis, "cyanuric_acid_mg_per_l",
                        b->has_cyanuric_acid ? fit->cyanuric_acid_mg_per_l : none, 0.1);
    forecast_add_number(basis, "water_temp_c", b->has_temp ? fit->water_temp_c : none,
                        0.1);
    cJSON_AddBoolToObject(basis, "depth_is_guessed", fit->depth_is_guessed);
    add_fitted(basis, fit);
    add_coverage(basis, "chlorine_coverage", coil_forecast_coverage_chlorine(fit));
    add_coverage(basis, "ph_coverage", coil_forecast_coverage_ph(fit));
    forecast_add_notes(basis, coil_forecast_notes(fit, until_s));
    add_assumptions(basis);
}

void forecast_add_return(cJSON *object, const char *name,
                         const struct coil_return_times *times)
{
    cJSON *one;

    if (!times->can_say || isnan(times->earliest_s)) {
        cJSON_AddNullToObject(object, name);
        return;
    }
    one = cJSON_AddObjectToObject(object, name);
    forecast_add_number(one, "earliest", times->earliest_s, 1);
    forecast_add_number(one, "likely", times->likely_s, 1);
    forecast_add_number(one, "latest", times->latest_s, 1);
    forecast_add_notes(one, times->notes);
}
