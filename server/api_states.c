/* Heater states: in line, off line, drained, and where the bypass stands. */
#include "api.h"
#include "api_facts.h"
#include "db_care.h"

static const char *const states[] = {"in_line", "off_line_flushed", "off_line_standing",
                                     "drained", NULL};

#define COOL_S 1800 /* common practice, no source */

/* Nobody drains a heater that fires or is still hot, as far as the burner's runs tell. */
static void check_cold(struct db *db, struct form *form,
                       const struct db_heater_state *state)
{
    int64_t fired_s = 0;

    if (state->fact.at > 0 &&
        db_burner_seconds(db, state->heater_id, state->fact.at - COOL_S, state->fact.at,
                          &fired_s) == DB_OK &&
        fired_s > 0)
        problem_add(form->problem, "heater_hot", "state",
                    "The burner ran less than half an hour before. Drain a heater only "
                    "when it is off and cold.");
}

static void read_state(struct app *app, struct db *db, struct form *form, void *out)
{
    struct db_heater_state *state = out;
    struct db_heater heater = {0};
    int index = 0;
    int64_t percent = -1;
    bool is_known = api_form_heater(db, form, &state->heater_id, &heater);

    (void)app;
    if (form_choice(form, "state", states, FORM_REQUIRED, &index))
        state->state = (enum coil_heater_state)index;
    form_integer(form, "bypass_percent_open", 0, 100, FORM_OPTIONAL, &percent);
    /* Back in line and nothing said: a bypass that is normally part open stands there. */
    if (is_known && percent < 0 && state->state == COIL_HEATER_IN_LINE)
        percent = heater.bypass_usual_percent;
    state->bypass_percent_open = (int)percent;
    if (is_known && heater.bypass == COIL_BYPASS_NONE && percent >= 0)
        problem_add(form->problem, "no_bypass", "bypass_percent_open",
                    "This heater has no bypass.");
    if (is_known && state->state == COIL_HEATER_DRAINED)
        check_cold(db, form, state);
    if (is_known && heater.bypass == COIL_BYPASS_NONE &&
        (state->state == COIL_HEATER_OFF_LINE_FLUSHED ||
         state->state == COIL_HEATER_OFF_LINE_STANDING))
        problem_add(form->problem, "no_bypass", "state",
                    "This heater has no bypass, so it cannot be off line while water "
                    "flows. Drained is possible.");
}

static void write_state(cJSON *object, const void *fact)
{
    const struct db_heater_state *state = fact;

    cJSON_AddNumberToObject(object, "heater", (double)state->heater_id);
    cJSON_AddStringToObject(object, "state", coil_heater_state_key(state->state));
    if (state->bypass_percent_open < 0)
        cJSON_AddNullToObject(object, "bypass_percent_open");
    else
        cJSON_AddNumberToObject(object, "bypass_percent_open",
                                state->bypass_percent_open);
}

static enum db_status add(struct db *db, void *fact)
{
    return db_heater_state_add(db, fact);
}

static enum db_status get(struct db *db, int64_t id, void *out)
{
    return db_heater_state_get(db, id, out);
}

static enum db_status list(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count)
{
    return db_heater_state_list(db, window, out, out_count);
}

const struct fact_kind fact_heater_states = {
    "heater_state", "heater-states", "heater_states", "heater", sizeof(struct db_heater_state),
    add, get, list, read_state, write_state, NULL};

FACT_HANDLERS(heater_states, fact_heater_states)
