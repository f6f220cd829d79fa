#include "super_json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "api_common.h"
#include "forecast_json.h"
#include "lib/exposure.h"
#include "super_words.h"

void super_etag(const struct db_plan *plan, char *out, size_t size)
{
    snprintf(out, size, "\"super-chlorination-%lld-%lld\"", (long long)plan->id,
             (long long)plan->version);
}

static const struct db_plan_event *ticked(const struct db_plan *plan, const char *key)
{
    for (size_t i = 0; i < plan->event_count; i++)
        if (strcmp(plan->events[i].step, key) == 0)
            return &plan->events[i];
    return NULL;
}

static void add_steps(cJSON *object, const struct db_plan *plan, enum coil_bypass bypass)
{
    cJSON *array = cJSON_AddArrayToObject(object, "steps");
    const struct super_step *step;

    for (size_t i = 0; (step = super_step_at(i)) != NULL; i++) {
        const struct db_plan_event *event = ticked(plan, step->key);
        cJSON *one;

        if ((step->bypass > 0 && bypass == COIL_BYPASS_NONE) ||
            (step->bypass < 0 && bypass != COIL_BYPASS_NONE))
            continue;
        one = cJSON_CreateObject();
        cJSON_AddStringToObject(one, "key", step->key);
        cJSON_AddStringToObject(one, "phase", super_state_key(step->phase));
        cJSON_AddStringToObject(one, "text", step->text);
        cJSON_AddBoolToObject(one, "is_open",
                              event == NULL && plan->state == step->phase);
        api_add_id_or_null(one, "ticked_at", event != NULL ? event->at : 0);
        if (event != NULL)
            cJSON_AddStringToObject(one, "by", event->actor);
        else
            cJSON_AddNullToObject(one, "by");
        cJSON_AddItemToArray(array, one);
    }
}

static void add_events(cJSON *object, const struct db_plan *plan)
{
    cJSON *array = cJSON_AddArrayToObject(object, "events");

    for (size_t i = 0; i < plan->event_count; i++) {
        const struct db_plan_event *event = &plan->events[i];
        cJSON *one = cJSON_CreateObject();

        cJSON_AddNumberToObject(one, "at", (double)event->at);
        cJSON_AddStringToObject(one, "by", event->actor);
        cJSON_AddStringToObject(one, "state", super_state_key(event->state));
        cJSON_AddStringToObject(one, "step", event->step);
        cJSON_AddStringToObject(one, "note", event->note);
        cJSON_AddItemToArray(array, one);
    }
}

cJSON *super_plan_json(const struct db_plan *plan, enum coil_bypass bypass)
{
    cJSON *object = cJSON_CreateObject();
    char etag[80];

    super_etag(plan, etag, sizeof etag);
    cJSON_AddNumberToObject(object, "id", (double)plan->id);
    cJSON_AddStringToObject(object, "etag", etag);
    cJSON_AddNumberToObject(object, "heater", (double)plan->heater_id);
    cJSON_AddNumberToObject(object, "water", (double)plan->water_id);
    cJSON_AddNumberToObject(object, "started_at", (double)plan->at);
    cJSON_AddStringToObject(object, "by", plan->actor);
    cJSON_AddStringToObject(object, "state", super_state_key(plan->state));
    cJSON_AddStringToObject(object, "text", super_state_words(plan->state));
    add_steps(object, plan, bypass);
    add_events(object, plan);
    return object;
}

/* ---- how much ---- */

static void add_products(cJSON *object, const struct super_plan *p)
{
    cJSON *array = cJSON_AddArrayToObject(object, "products");

    for (size_t i = 0; i < p->product_count; i++) {
        const struct super_product *product = &p->products[i];
        const struct coil_product_info *info = coil_product_info(product->product);
        cJSON *one = cJSON_CreateObject();

        cJSON_AddStringToObject(one, "product", info->key);
        cJSON_AddStringToObject(one, "words", info->words);
        cJSON_AddStringToObject(one, "unit", info->is_liquid ? "mL" : "g");
        forecast_add_number(one, "strength_percent", product->strength_percent, 0.001);
        forecast_add_number(one, "amount", product->amount, 1);
        api_add_id_or_null(one, "shed", product->shed_id);
        cJSON_AddBoolToObject(one, "is_enough",
                              product->shed_id != 0 &&
                                  product->amount_left >= product->amount);
        cJSON_AddItemToArray(array, one);
    }
}

static void add_notes(cJSON *object, unsigned notes)
{
    cJSON *array = cJSON_AddArrayToObject(object, "warnings");
    const char *words;

    for (int i = 0; (words = super_note_words(notes, i)) != NULL; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(words));
}

/* Which of the two levels is the larger one, and why it is used. */
static const char *why(const struct coil_breakpoint *b)
{
    if (b->level_mg_per_l >= COIL_BREAKPOINT_LEVEL_MAX)
        return "Held at the highest level that pools are brought to; more would need "
               "other water.";
    if (isfinite(b->hocl_level_mg_per_l) &&
        b->hocl_level_mg_per_l > b->trade_level_mg_per_l)
        return "Cyanuric acid holds chlorine back: so much gives as much working chlorine "
               "as 2 mg/L without it.";
    return "Ten times combined chlorine, as the trade does it: stoichiometry alone leaves "
           "nothing for urea and what the sun takes.";
}

cJSON *super_proposal_json(const struct super_plan *p)
{
    const struct coil_breakpoint *b = &p->breakpoint;
    cJSON *object = cJSON_CreateObject();

    forecast_add_number(object, "ph", p->ph, 0.01);
    forecast_add_number(object, "free_chlorine_mg_per_l", p->free_mg_per_l, 0.01);
    forecast_add_number(object, "combined_chlorine_mg_per_l", p->combined_mg_per_l,
                        0.01);
    forecast_add_number(object, "cyanuric_acid_mg_per_l", p->cyanuric_mg_per_l, 0.1);
    forecast_add_number(object, "volume_m3", p->volume_m3, 0.01);
    forecast_add_number(object, "stoichiometric_mg_per_l", b->stoichiometric_mg_per_l,
                        0.01);
    forecast_add_number(object, "trade_level_mg_per_l", b->trade_level_mg_per_l, 0.1);
    forecast_add_number(object, "hocl_level_mg_per_l", b->hocl_level_mg_per_l, 0.1);
    forecast_add_number(object, "level_mg_per_l", b->level_mg_per_l, 0.1);
    forecast_add_number(object, "dose_mg_per_l", b->dose_mg_per_l, 0.1);
    cJSON_AddStringToObject(object, "why", why(b));
    forecast_add_number(object, "alkalinity_cost_mg_per_l_caco3",
                        b->alkalinity_cost_high_mg_per_l_caco3, 0.1);
    forecast_add_number(object, "ph_spent", p->ph_spent, 0.01);
    forecast_add_number(object, "pump_h", SUPER_PUMP_H, 0.1);
    add_products(object, p);
    add_notes(object, b->notes);
    cJSON_AddBoolToObject(object, "helps",
                          (b->notes & (COIL_BREAKPOINT_ORGANIC |
                                       COIL_BREAKPOINT_CYANURIC_HIGH |
                                       COIL_BREAKPOINT_NOT_NEEDED)) == 0);
    return object;
}

/* ---- the way back ---- */

static void add_agent(cJSON *array, enum coil_neutraliser agent, double drop_mg_per_l,
                      double volume_m3)
{
    struct coil_neutraliser_amount amount;
    cJSON *one;

    if (coil_neutraliser_amount(agent, drop_mg_per_l, volume_m3, &amount) != COIL_OK)
        return;
    one = cJSON_CreateObject();
    cJSON_AddStringToObject(one, "agent", coil_neutraliser_key(agent));
    cJSON_AddStringToObject(one, "words", coil_neutraliser_words(agent));
    forecast_add_number(one, "low_g", amount.low_g, 1);
    forecast_add_number(one, "high_g", amount.high_g, 1);
    forecast_add_number(one, "field_g", amount.field_g, 1);
    forecast_add_number(one, "first_g", amount.first_g, 1);
    forecast_add_number(one, "alkalinity_loss_low_mg_per_l_caco3",
                        amount.alkalinity_loss_low_mg_per_l_caco3, 0.1);
    forecast_add_number(one, "alkalinity_loss_high_mg_per_l_caco3",
                        amount.alkalinity_loss_high_mg_per_l_caco3, 0.1);
    cJSON_AddItemToArray(array, one);
}

static void add_neutraliser(cJSON *object, const struct super_plan *p)
{
    static const char *const rules[] = {
        "Add the first half, let the pump mix for an hour, test, then reckon the rest "
        "anew.",
        "Too much stays in the water and eats the next chlorine.",
        "It takes alkalinity: test pH again before the heater returns."};
    cJSON *one, *array;

    if (!(p->neutraliser_drop_mg_per_l > 0) || !(p->volume_m3 > 0)) {
        cJSON_AddNullToObject(object, "neutraliser");
        return;
    }
    one = cJSON_AddObjectToObject(object, "neutraliser");
    forecast_add_number(one, "drop_mg_per_l", p->neutraliser_drop_mg_per_l, 0.1);
    array = cJSON_AddArrayToObject(one, "agents");
    add_agent(array, COIL_NEUTRALISER_THIOSULFATE_5H2O, p->neutraliser_drop_mg_per_l,
              p->volume_m3);
    add_agent(array, COIL_NEUTRALISER_SULFITE, p->neutraliser_drop_mg_per_l,
              p->volume_m3);
    forecast_add_return(one, "return_after_half", &p->back_neutralised);
    array = cJSON_AddArrayToObject(one, "rules");
    for (size_t i = 0; i < sizeof rules / sizeof rules[0]; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(rules[i]));
}

static void add_course(cJSON *object, const struct super_plan *p)
{
    cJSON *course = cJSON_AddObjectToObject(object, "course");
    cJSON *time = cJSON_AddArrayToObject(course, "time_s");

    for (size_t i = 0; i < p->course_count; i++)
        cJSON_AddItemToArray(time, cJSON_CreateNumber(p->course_s[i]));
    forecast_add_bands(course, p->course, p->course_count);
    cJSON_AddNumberToObject(course, "level", COIL_FORECAST_LEVEL);
}

static void add_ways(cJSON *object, const struct super_plan *p)
{
    cJSON *one, *array;

    if (!p->has_plan || p->heater.bypass != COIL_BYPASS_NONE || p->is_dosed) {
        cJSON_AddNullToObject(object, "without_bypass");
        return;
    }
    one = cJSON_AddObjectToObject(object, "without_bypass");
    array = cJSON_AddArrayToObject(one, "ways");
    for (int i = 0; i < SUPER_WAYS; i++) {
        cJSON *way = cJSON_CreateObject();

        cJSON_AddStringToObject(way, "key", super_way_key((enum super_way)i));
        cJSON_AddStringToObject(way, "text", super_way_words((enum super_way)i));
        cJSON_AddStringToObject(way, "remains", super_way_remains((enum super_way)i));
        forecast_add_number(way, "hours", p->ways[i].hours, 0.1);
        forecast_add_number(way, "weighted_h", p->ways[i].weighted_h, 0.1);
        forecast_add_number(way, "worst_severity", p->ways[i].worst_severity, 0.1);
        cJSON_AddItemToArray(array, way);
    }
    cJSON_AddStringToObject(one, "least", super_way_key(p->least));
    cJSON_AddStringToObject(one, "weights", coil_exposure_weights_words);
}

void super_add_outlook(cJSON *object, const struct super_plan *p)
{
    const char *const *step = super_return_steps(p->heater.bypass != COIL_BYPASS_NONE);
    cJSON *array;

    forecast_add_number(object, "ceiling_mg_per_l", p->ceiling_mg_per_l, 0.001);
    forecast_add_return(object, "return", &p->back);
    forecast_add_notes(object, p->back.notes);
    add_course(object, p);
    add_neutraliser(object, p);
    add_ways(object, p);
    array = cJSON_AddArrayToObject(object, "return_steps");
    for (; *step != NULL; step++)
        cJSON_AddItemToArray(array, cJSON_CreateString(*step));
}
