/* What a heater went through: hours by cause, and events one by one. */
#include <math.h>
#include <stdlib.h>

#include "api.h"
#include "api_common.h"
#include "forecast_json.h"
#include "heater_exposure.h"
#include "line_words.h"
#include "record_json.h"

#define SPAN_DEFAULT_S (90 * 86400)
#define SPAN_MAX_S (400 * 86400)

static bool read_wish(struct app *app, struct db *db, const struct request *req,
                      struct reply *out, struct heater_exposure_wish *wish)
{
    static const char *const known[] = {"measured", "recorded", NULL};
    struct problem problem;

    *wish = (struct heater_exposure_wish){.as_of = api_now(app)};
    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &wish->heater_id);
    api_query_integer(req, &problem, "water", 1, INT64_MAX / 2, &wish->water_id);
    api_query_integer(req, &problem, "as_of", 0, wish->as_of, &wish->as_of);
    wish->until = wish->as_of;
    api_query_integer(req, &problem, "until", 0, wish->as_of, &wish->until);
    wish->from = wish->until > SPAN_DEFAULT_S ? wish->until - SPAN_DEFAULT_S : 0;
    api_query_integer(req, &problem, "from", 0, wish->as_of, &wish->from);
    wish->by_recorded = api_query_choice(req, &problem, "known", known, 0) == 1;
    api_check_pair(&problem, wish->heater_id, wish->water_id);
    if (problem.count == 0 && (wish->until - wish->from < HEATER_EXPOSURE_STEP_S ||
                               wish->until - wish->from > SPAN_MAX_S))
        problem_add(&problem, "query_invalid", "from",
                    "Ask for a quarter of an hour to 400 days.");
    if (api_refused(out, &problem))
        return false;
    return api_main_pair(db, out, &wish->heater_id, &wish->water_id);
}

static void add_hours(cJSON *object, const struct coil_exposure_total *total)
{
    static const char *const causes[] = {"low_ph", "high_chlorine", "both"};
    cJSON *hours = cJSON_AddObjectToObject(object, "hours");

    for (int i = 0; i < COIL_EXPOSURE_CAUSE_COUNT; i++) {
        const struct coil_exposure_hours *h = &total->cause[i];
        cJSON *one = cJSON_AddObjectToObject(hours, causes[i]);

        forecast_add_number(one, "likely", h->likely, 0.01);
        forecast_add_number(one, "at_least", h->at_least, 0.01);
        forecast_add_number(one, "at_most", h->at_most, 0.01);
        forecast_add_number(one, "weighted", h->weighted, 0.01);
    }
}

static void add_event(cJSON *array, const struct coil_exposure_event *event)
{
    cJSON *one = cJSON_CreateObject();

    forecast_add_number(one, "from", event->from_s, 1);
    forecast_add_number(one, "until", event->until_s, 1);
    cJSON_AddBoolToObject(one, "has_low_ph", event->has_low_ph);
    cJSON_AddBoolToObject(one, "has_high_chlorine", event->has_high_chlorine);
    cJSON_AddBoolToObject(one, "has_both", event->has_both);
    cJSON_AddBoolToObject(one, "is_standing", event->is_standing);
    cJSON_AddBoolToObject(one, "is_severe", event->is_severe);
    cJSON_AddBoolToObject(one, "is_open", event->is_open);
    forecast_add_number(one, "hours", event->hours, 0.01);
    forecast_add_number(one, "weighted_h", event->weighted_h, 0.01);
    forecast_add_number(one, "worst_at", event->worst_s, 1);
    forecast_add_number(one, "worst_severity", event->worst_severity, 0.01);
    forecast_add_number(one, "worst_ph", event->worst_ph, 0.01);
    forecast_add_number(one, "worst_free_chlorine_mg_per_l",
                        event->worst_free_chlorine_mg_per_l, 0.01);
    cJSON_AddItemToArray(array, one);
}

static void add_or_null(cJSON *object, const char *name, bool is_known, double value,
                        double step)
{
    forecast_add_number(object, name, is_known ? value : (double)NAN, step);
}

/* What the line did at the heater's inlet: a cause of its own. */
static void add_line(cJSON *object, const struct heater_exposure *sum)
{
    cJSON *line, *array;

    if (sum->inlet_count == 0) {
        cJSON_AddNullToObject(object, "line");
        return;
    }
    line = cJSON_AddObjectToObject(object, "line");
    add_hours(line, &sum->at_inlet);
    forecast_add_number(line, "in_heater_h", sum->at_inlet.in_heater_h, 0.01);
    forecast_add_number(line, "unknown_h", sum->at_inlet.unknown_h, 0.01);
    add_or_null(line, "restarts", sum->past.pump_count > 0,
                (double)sum->restarts, 1);
    array = cJSON_AddArrayToObject(line, "spans");
    for (size_t i = 0; i < sum->inlet_count; i++) {
        const struct line_inlet *inlet = &sum->inlets[i];
        cJSON *one = cJSON_CreateObject();

        cJSON_AddNumberToObject(one, "from", (double)inlet->from);
        cJSON_AddNumberToObject(one, "until", (double)inlet->until);
        add_or_null(one, "added_mg_per_l", inlet->has_amount, inlet->added_mg_per_l,
                    0.01);
        forecast_add_number(one, "ph_shift", inlet->ph_shift, 0.01);
        cJSON_AddItemToArray(array, one);
    }
    cJSON_AddStringToObject(line, "text", line_exposure_text());
}

/* The limits of each time in the span, oldest first. */
static void add_limits(cJSON *object, const struct heater_exposure_wish *wish,
                       const struct heater_past *past)
{
    cJSON *array = cJSON_AddArrayToObject(object, "limits");

    for (size_t i = 0; i < past->limit_count; i++) {
        const struct coil_limit_span *span = &past->limits[i];
        const bool is_over = i + 1 < past->limit_count &&
                             span[1].from_s <= (double)wish->from;
        cJSON *one;

        if (is_over || (i > 0 && span->from_s >= (double)wish->until))
            continue;
        one = cJSON_CreateObject();
        forecast_add_number(one, "from", fmax(span->from_s, (double)wish->from), 1);
        forecast_add_number(one, "ph_low", span->ph_low, 0.001);
        forecast_add_number(one, "free_chlorine_high",
                            span->free_chlorine_high_mg_per_l, 0.001);
        cJSON_AddItemToArray(array, one);
    }
}

/* Fouling apart from attack; null where no burner run says when the surface was hot. */
static void add_scaling(cJSON *object, const struct heater_exposure *sum)
{
    cJSON *one;

    if (sum->past.burner_count == 0) {
        cJSON_AddNullToObject(object, "scaling");
        return;
    }
    one = cJSON_AddObjectToObject(object, "scaling");
    forecast_add_number(one, "likely", sum->total.scaling.likely, 0.01);
    forecast_add_number(one, "at_least", sum->total.scaling.at_least, 0.01);
    forecast_add_number(one, "at_most", sum->total.scaling.at_most, 0.01);
    forecast_add_number(one, "fired_h", sum->total.fired_h, 0.01);
    forecast_add_number(one, "unknown_h", sum->total.fired_unknown_h, 0.01);
    cJSON_AddNumberToObject(one, "index_limit", COIL_SCALE_INDEX);
    cJSON_AddNumberToObject(one, "surface_rise_k", round(sum->surface_rise_k * 10) / 10);
}

static cJSON *answer_json(const struct heater_exposure_wish *wish,
                          const struct heater_exposure *sum)
{
    cJSON *object = cJSON_CreateObject(), *array;

    cJSON_AddNumberToObject(object, "heater", (double)wish->heater_id);
    cJSON_AddNumberToObject(object, "water", (double)wish->water_id);
    cJSON_AddNumberToObject(object, "from", (double)wish->from);
    cJSON_AddNumberToObject(object, "until", (double)wish->until);
    cJSON_AddNumberToObject(object, "as_of", (double)wish->as_of);
    add_limits(object, wish, &sum->past);
    add_hours(object, &sum->total);
    forecast_add_number(object, "flowing_h", sum->total.flowing_h, 0.01);
    forecast_add_number(object, "standing_h", sum->total.standing_h, 0.01);
    forecast_add_number(object, "in_heater_h", sum->total.in_heater_h, 0.01);
    forecast_add_number(object, "unknown_h", sum->total.unknown_h, 0.01);
    add_line(object, sum);
    array = cJSON_AddArrayToObject(object, "events");
    for (size_t i = 0; i < sum->event_count; i++)
        add_event(array, &sum->events[i]);
    cJSON_AddNumberToObject(object, "event_total", (double)sum->total.event_count);
    add_scaling(object, sum);
    cJSON_AddBoolToObject(object, "has_pump_runs", sum->past.pump_count > 0);
    cJSON_AddStringToObject(object, "weights", coil_exposure_weights_words);
    return object;
}

cJSON *exposure_json(struct db *db, const struct heater_exposure_wish *wish,
                     enum db_status *out_status)
{
    struct heater_exposure *sum = calloc(1, sizeof *sum);
    cJSON *object = NULL;

    *out_status = sum == NULL ? DB_FAILED : heater_exposure_sum(db, wish, sum);
    if (*out_status == DB_OK)
        object = answer_json(wish, sum);
    if (sum != NULL)
        heater_past_finish(&sum->past);
    free(sum);
    return object;
}

void api_exposure_get(struct app *app, struct db *db, const struct request *req,
                      struct reply *out)
{
    const uint64_t changes = api_changes(app);
    struct heater_exposure_wish wish;
    enum db_status status;
    cJSON *object;

    if (!read_wish(app, db, req, out, &wish))
        return;
    object = exposure_json(db, &wish, &status);
    if (api_ok(out, status, "pair of heater and water")) {
        api_send(out, 200, object);
        if (request_query(req, "as_of") != NULL)
            api_tag(app, out, changes);
    }
}
