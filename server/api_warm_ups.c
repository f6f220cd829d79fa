/* Logged warm-ups, and the instants from which another meter or thermometer measures.
 */
#include "api.h"
#include "api_facts.h"
#include "heater_efficiency.h"

static const char *const sources[] = {"meter", "burner_hours", NULL};
static const char *const whats[] = {"meter", "thermometer", NULL};

static void read_heater(struct db *db, struct form *form, int64_t *out_heater_id)
{
    struct db_heater heater;

    form_integer(form, "heater", 1, INT64_MAX / 2, FORM_REQUIRED, out_heater_id);
    if (*out_heater_id != 0 &&
        db_heater_get(db, *out_heater_id, &heater) == DB_NOT_FOUND)
        problem_add(form->problem, "not_found", "heater", "There is no such heater.");
}

/* It gives several times what it takes, more or less with the air: an efficiency below
 * one and a slow loss of it are no measures of a heat pump. */
static void refuse_heat_pump(struct db *db, struct form *form, int64_t heater_id)
{
    struct db_heater heater;

    if (heater_id != 0 && db_heater_get(db, heater_id, &heater) == DB_OK &&
        heater.fuel == DB_HEAT_PUMP)
        problem_add(
            form->problem, "heat_pump", "heater",
            "What a heat pump gives changes with the air. Its efficiency is not "
            "judged here.");
}

static void read_water(struct db *db, struct form *form, struct db_warm_up *w)
{
    struct db_water water;
    struct db_heater heater;

    form_integer(form, "water", 1, INT64_MAX / 2, FORM_REQUIRED, &w->water_id);
    if (w->water_id == 0)
        return;
    if (db_water_get(db, w->water_id, &water) == DB_NOT_FOUND) {
        problem_add(form->problem, "not_found", "water", "There is no such water.");
        return;
    }
    if (db_heater_get(db, w->heater_id, &heater) != DB_OK)
        return;
    for (size_t i = 0; i < heater.water_count; i++)
        if (heater.water_ids[i] == w->water_id)
            return;
    problem_add(form->problem, "not_found", "water",
                "That heater does not heat that water.");
}

static void read_fuel(struct form *form, struct db_warm_up *w)
{
    int source = COIL_FUEL_BY_METER, unit = 0;
    enum form_need meter, hours;

    form_choice(form, "source", sources, FORM_REQUIRED, &source);
    w->source = (enum coil_fuel_source)source;
    meter = w->source == COIL_FUEL_BY_METER ? FORM_REQUIRED : FORM_OPTIONAL;
    hours = w->source == COIL_FUEL_BY_METER ? FORM_OPTIONAL : FORM_REQUIRED;
    form_choice(form, "unit", heat_unit_keys, meter, &unit);
    w->unit = (enum coil_fuel_unit)unit;
    w->meter_step_e6 = w->mj_per_unit_e6 = DB_NOT_KNOWN;
    form_e6(form, "meter_start", 0, 1e9, meter, &w->meter_start_e6);
    form_e6(form, "meter_end", 0, 1e9, meter, &w->meter_end_e6);
    form_e6(form, "meter_step", 0, 1000, FORM_OPTIONAL, &w->meter_step_e6);
    form_e6(form, "mj_per_unit", 1, 1000, FORM_OPTIONAL, &w->mj_per_unit_e6);
    form_flag(form, "meter_is_shared", FORM_OPTIONAL, &w->is_shared);
    form_e6(form, "shared_percent", 0, 90, FORM_OPTIONAL, &w->shared_percent_e6);
    form_e6(form, "burner_h", 0, 168, hours, &w->burner_h_e6);
}

static void read_surroundings(struct form *form, struct db_warm_up *w)
{
    int cover = DB_WARM_UP_OPEN;

    form_flag(form, "probe_in_sun", FORM_OPTIONAL, &w->probe_in_sun);
    form_flag(form, "is_condensing", FORM_OPTIONAL, &w->is_condensing);
    form_choice(form, "cover", heat_cover_keys, FORM_OPTIONAL, &cover);
    w->cover = (enum db_warm_up_cover)cover;
    w->air_temp_e6 = w->humidity_percent_e6 = w->wind_e6 = w->cloud_percent_e6 =
        DB_NOT_KNOWN;
    form_e6(form, "air_temp_c", -40, 60, FORM_OPTIONAL, &w->air_temp_e6);
    form_e6(form, "humidity_percent", 0, 100, FORM_OPTIONAL, &w->humidity_percent_e6);
    form_e6(form, "wind_m_per_s", 0, 30, FORM_OPTIONAL, &w->wind_e6);
    form_e6(form, "cloud_percent", 0, 100, FORM_OPTIONAL, &w->cloud_percent_e6);
}

/* The control that a refusal of lib/warmup.h is about. */
static const char *flaw_field(const struct db_warm_up *w, enum coil_warm_up_flaw flaw)
{
    if (flaw == COIL_WARM_UP_END_BEFORE_START)
        return "ended_at";
    if (flaw == COIL_WARM_UP_NO_FUEL)
        return w->source == COIL_FUEL_BY_METER ? "meter_end" : "burner_h";
    return coil_warm_up_flaw_field(flaw);
}

/* What makes the whole set impossible; what only casts doubt is stored and flagged. */
static void refuse_flaws(struct db *db, struct form *form, const struct db_warm_up *w)
{
    struct warm_up_said said;

    if (heater_efficiency_judge(db, w, &said) != DB_OK ||
        said.lacks != WARM_UP_LACKS_NOTHING)
        return;
    for (int flaw = 0; flaw < COIL_WARM_UP_PROBE_IN_SUN; flaw++)
        if (said.result.is_flawed[flaw])
            problem_add(form->problem, coil_warm_up_flaw_code(flaw),
                        flaw_field(w, flaw), "%s", coil_warm_up_flaw_text(flaw));
}

static void read_warm_up(struct app *app, struct db *db, struct form *form, void *out)
{
    struct db_warm_up *w = out;

    read_heater(db, form, &w->heater_id);
    refuse_heat_pump(db, form, w->heater_id);
    read_water(db, form, w);
    w->ended_at = api_instant(app, db, form, "ended_at", "ended_local");
    form_e6(form, "start_temp_c", 0, 50, FORM_REQUIRED, &w->start_temp_e6);
    form_e6(form, "end_temp_c", 0, 50, FORM_REQUIRED, &w->end_temp_e6);
    read_fuel(form, w);
    read_surroundings(form, w);
    if (form->problem->count != 0)
        return;
    if (w->ended_at - w->fact.at > WARM_UP_MAX_S)
        problem_add(form->problem, "out_of_range", "ended_at",
                    "A warm-up takes a week at most.");
    else
        refuse_flaws(db, form, w);
}

static void add_maybe(cJSON *object, const char *name, int64_t value_e6)
{
    if (value_e6 == DB_NOT_KNOWN)
        cJSON_AddNullToObject(object, name);
    else
        api_add_e6(object, name, value_e6);
}

static void write_warm_up(cJSON *object, const void *fact)
{
    const struct db_warm_up *w = fact;
    const bool by_meter = w->source == COIL_FUEL_BY_METER;

    cJSON_AddNumberToObject(object, "heater", (double)w->heater_id);
    cJSON_AddNumberToObject(object, "water", (double)w->water_id);
    cJSON_AddNumberToObject(object, "ended_at", (double)w->ended_at);
    api_add_e6(object, "start_temp_c", w->start_temp_e6);
    api_add_e6(object, "end_temp_c", w->end_temp_e6);
    cJSON_AddStringToObject(object, "source", sources[w->source]);
    if (by_meter)
        cJSON_AddStringToObject(object, "unit", coil_fuel_unit_key(w->unit));
    else
        cJSON_AddNullToObject(object, "unit");
    add_maybe(object, "meter_start", by_meter ? w->meter_start_e6 : DB_NOT_KNOWN);
    add_maybe(object, "meter_end", by_meter ? w->meter_end_e6 : DB_NOT_KNOWN);
    add_maybe(object, "meter_step", w->meter_step_e6);
    add_maybe(object, "mj_per_unit", w->mj_per_unit_e6);
    cJSON_AddBoolToObject(object, "meter_is_shared", w->is_shared);
    api_add_e6(object, "shared_percent", w->shared_percent_e6);
    add_maybe(object, "burner_h", by_meter ? DB_NOT_KNOWN : w->burner_h_e6);
    cJSON_AddBoolToObject(object, "probe_in_sun", w->probe_in_sun);
    cJSON_AddBoolToObject(object, "is_condensing", w->is_condensing);
    cJSON_AddStringToObject(object, "cover", heat_cover_keys[w->cover]);
    add_maybe(object, "air_temp_c", w->air_temp_e6);
    add_maybe(object, "humidity_percent", w->humidity_percent_e6);
    add_maybe(object, "wind_m_per_s", w->wind_e6);
    add_maybe(object, "cloud_percent", w->cloud_percent_e6);
}

static enum db_status add_warm_up(struct db *db, void *fact)
{
    return db_warm_up_add(db, fact);
}

static enum db_status get_warm_up(struct db *db, int64_t id, void *out)
{
    return db_warm_up_get(db, id, out);
}

static enum db_status list_warm_ups(struct db *db, const struct db_window *window,
                                    void *out, size_t *out_count)
{
    return db_warm_up_list(db, window, out, out_count);
}

static const struct fact_kind fact_warm_ups = {
    "warm_up",   "warm-ups",  "warm_ups",    "heater",     sizeof(struct db_warm_up),
    add_warm_up, get_warm_up, list_warm_ups, read_warm_up, write_warm_up,
    NULL};

FACT_HANDLERS(warm_ups, fact_warm_ups)

/* ---- new meters and thermometers ---- */

static void read_change(struct app *app, struct db *db, struct form *form, void *out)
{
    struct db_meter_change *change = out;
    int what = 0;

    (void)app;
    read_heater(db, form, &change->heater_id);
    form_choice(form, "what", whats, FORM_REQUIRED, &what);
    change->what = (enum db_meter_what)what;
}

static void write_change(cJSON *object, const void *fact)
{
    const struct db_meter_change *change = fact;

    cJSON_AddNumberToObject(object, "heater", (double)change->heater_id);
    cJSON_AddStringToObject(object, "what", whats[change->what]);
}

static enum db_status add_change(struct db *db, void *fact)
{
    return db_meter_change_add(db, fact);
}

static enum db_status get_change(struct db *db, int64_t id, void *out)
{
    return db_meter_change_get(db, id, out);
}

static enum db_status list_changes(struct db *db, const struct db_window *window,
                                   void *out, size_t *out_count)
{
    return db_meter_change_list(db, window, out, out_count);
}

static const struct fact_kind fact_meter_changes = {"meter_change",
                                                    "meter-changes",
                                                    "meter_changes",
                                                    "heater",
                                                    sizeof(struct db_meter_change),
                                                    add_change,
                                                    get_change,
                                                    list_changes,
                                                    read_change,
                                                    write_change,
                                                    NULL};

FACT_HANDLERS(meter_changes, fact_meter_changes)
