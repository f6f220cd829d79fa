/* The record: the heater's life in an interval, on one answer, to print or to keep. */
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_facts.h"
#include "care_due.h"
#include "flue_json.h"
#include "record_json.h"

#define FACTS_MAX 500
#define SPAN_DEFAULT_S (INT64_C(365) * 86400)
#define EXPOSURE_SPAN_S (INT64_C(365) * 86400)
#define EXPOSURE_PIECES 3 /* years of course that one answer computes */

static const char *const fuels[] = {"natural_gas", "propane", "heat_pump", "electric"};
static const char *const metals[] = {"unknown", "copper", "cupronickel", "stainless",
                                     "titanium"};

/* ---- parts ---- */

/* Facts of one kind, oldest first. */
static cJSON *facts_json(const struct record_wish *wish, const struct fact_kind *kind,
                         enum db_status *out_status)
{
    const struct db_window window = {.subject_id = wish->heater.id,
                                     .from = wish->from > 0 ? wish->from : 1,
                                     .until = wish->until,
                                     .limit = FACTS_MAX};
    char *records = calloc(FACTS_MAX, kind->size);
    cJSON *array = cJSON_CreateArray();
    size_t count = 0;

    *out_status = records == NULL ? DB_FAILED
                                  : kind->list(wish->db, &window, records, &count);
    for (size_t i = count; i-- > 0;)
        cJSON_AddItemToArray(array, fact_json(kind, records + i * kind->size));
    free(records);
    return array;
}

static cJSON *flue_json(const struct record_wish *wish, enum db_status *out_status)
{
    struct flue_cases cases;
    cJSON *object = cJSON_CreateObject(), *array;

    *out_status =
        flue_cases_read(wish->db, wish->heater.id, wish->from, wish->until, &cases);
    if (*out_status != DB_OK)
        return object;
    array = cJSON_AddArrayToObject(object, "tests");
    for (size_t i = 0; i < cases.count; i++)
        cJSON_AddItemToArray(array,
                             flue_case_json(&cases.list[i], flue_before(&cases, i)));
    cJSON_AddItemToObject(object, "drift", flue_drift_json(&cases));
    flue_cases_finish(&cases);
    return object;
}

/* One answer a year, oldest first; only the newest years of a long interval. */
static cJSON *exposures_json(const struct record_wish *wish, int64_t now_s,
                             enum db_status *out_status)
{
    const int64_t until = wish->until < now_s ? wish->until : now_s;
    const int64_t earliest = until - EXPOSURE_PIECES * EXPOSURE_SPAN_S;
    int64_t from = wish->from > earliest ? wish->from : earliest;
    cJSON *array = cJSON_CreateArray();

    *out_status = DB_OK;
    while (*out_status == DB_OK && until - from >= 2 * HEATER_EXPOSURE_STEP_S) {
        const int64_t end = until - from > EXPOSURE_SPAN_S ? from + EXPOSURE_SPAN_S : until;
        const struct heater_exposure_wish piece = {.heater_id = wish->heater.id,
                                                   .water_id = wish->water_id,
                                                   .from = from,
                                                   .until = end,
                                                   .as_of = now_s};
        cJSON *one = exposure_json(wish->db, &piece, out_status);

        if (one != NULL)
            cJSON_AddItemToArray(array, one);
        from = end;
    }
    return array;
}

static cJSON *installation_json(const struct record_wish *wish,
                                enum db_status *out_status)
{
    struct db_plate plate;
    cJSON *object = cJSON_CreateObject();

    *out_status = db_plate_get(wish->db, wish->heater.id, &plate);
    if (*out_status != DB_OK)
        return object;
    cJSON_AddStringToObject(object, "name", wish->heater.name);
    cJSON_AddStringToObject(object, "fuel", fuels[wish->heater.fuel]);
    cJSON_AddStringToObject(object, "metal", metals[wish->heater.metal]);
    cJSON_AddStringToObject(object, "bypass", coil_bypass_key(wish->heater.bypass));
    api_add_e6_or_null(object, "input_w", wish->heater.input_w_e6);
    cJSON_AddItemToObject(object, "plate", plate_json(&plate));
    return object;
}

/* ---- what is not known ---- */

static bool is_empty(const cJSON *record, const char *name)
{
    return cJSON_GetArraySize(cJSON_GetObjectItemCaseSensitive(record, name)) == 0;
}

static void say(cJSON *array, bool is_so, const char *text)
{
    if (is_so)
        cJSON_AddItemToArray(array, cJSON_CreateString(text));
}

static cJSON *unknown_json(const struct record_wish *wish, const cJSON *record,
                           int64_t now_s)
{
    const cJSON *installation = cJSON_GetObjectItemCaseSensitive(record, "installation");
    const cJSON *plate = cJSON_GetObjectItemCaseSensitive(installation, "plate");
    const cJSON *flue = cJSON_GetObjectItemCaseSensitive(record, "flue");
    const cJSON *exposure =
        cJSON_GetArrayItem(cJSON_GetObjectItemCaseSensitive(record, "exposures"), 0);
    cJSON *array = cJSON_CreateArray();

    say(array,
        cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(plate, "installed_on")),
        "When the heater was put in.");
    say(array, cJSON_IsNull(cJSON_GetObjectItemCaseSensitive(plate, "model")),
        "What the rating plate says.");
    say(array, wish->heater.metal == DB_METAL_UNKNOWN, "The exchanger's metal.");
    say(array, is_empty(record, "care"), "Whether anybody cared for it: no visit is logged.");
    say(array, is_empty(flue, "tests") && wish->heater.fuel <= DB_PROPANE,
        "How it burned: no flue test is logged.");
    say(array, is_empty(record, "in_band"),
        "How the water was: no test of pH or sanitiser is logged.");
    say(array,
        exposure != NULL && !cJSON_IsTrue(cJSON_GetObjectItemCaseSensitive(
                                exposure, "has_pump_runs")),
        "When the pump ran: water is taken to flow all the time.");
    say(array,
        (wish->until < now_s ? wish->until : now_s) - wish->from >
            EXPOSURE_PIECES * EXPOSURE_SPAN_S,
        "Exposures of before the last three years of this interval are not computed.");
    return array;
}

/* ---- all ---- */

static void add_head(cJSON *object, const struct record_wish *wish,
                     const struct db_site *site, int64_t now_s)
{
    cJSON_AddNumberToObject(object, "heater", (double)wish->heater.id);
    cJSON_AddNumberToObject(object, "water", (double)wish->water_id);
    cJSON_AddNumberToObject(object, "from", (double)wish->from);
    cJSON_AddNumberToObject(object, "until", (double)wish->until);
    cJSON_AddNumberToObject(object, "made_at", (double)now_s);
    cJSON_AddStringToObject(object, "site", site->name);
    cJSON_AddStringToObject(object, "zone", zone_name(wish->zone));
}

static cJSON *record_json(const struct record_wish *wish, const struct db_site *site,
                          int64_t now_s, enum db_status *out_status)
{
    cJSON *object = cJSON_CreateObject();
    enum db_status status;

    *out_status = DB_OK;
    add_head(object, wish, site, now_s);
#define PART(name, tree)                                                               \
    do {                                                                               \
        if (*out_status == DB_OK) {                                                    \
            cJSON *part = tree;                                                        \
            cJSON_AddItemToObject(object, name,                                        \
                                  part != NULL ? part : cJSON_CreateArray());          \
            *out_status = status;                                                      \
        }                                                                              \
    } while (0)
    PART("installation", installation_json(wish, &status));
    PART("limits", record_limits(wish, &status));
    PART("care", facts_json(wish, &fact_visits, &status));
    PART("flue", flue_json(wish, &status));
    PART("symptoms", facts_json(wish, &fact_symptoms, &status));
    PART("photos", facts_json(wish, &fact_photos, &status));
    PART("heater_states", facts_json(wish, &fact_heater_states, &status));
    PART("exposures", exposures_json(wish, now_s, &status));
    PART("super_chlorinations", record_super(wish, &status));
    PART("in_band", record_band(wish, &status));
    PART("logged_by", record_people(wish, &status));
#undef PART
    if (*out_status == DB_OK)
        cJSON_AddItemToObject(object, "unknown", unknown_json(wish, object, now_s));
    return object;
}

static bool read_query(struct app *app, struct db *db, const struct request *req,
                       struct reply *out, struct record_wish *wish, bool *as_csv)
{
    static const char *const formats[] = {"json", "csv", NULL};
    int64_t heater_id = 0, water_id;
    struct problem problem;

    wish->until = api_now(app) + API_FUTURE_S;
    problem_init(&problem);
    problem.status = 400;
    api_query_integer(req, &problem, "heater", 1, INT64_MAX / 2, &heater_id);
    api_query_integer(req, &problem, "until", 0, INT64_C(1) << 40, &wish->until);
    wish->from = wish->until > SPAN_DEFAULT_S ? wish->until - SPAN_DEFAULT_S : 0;
    api_query_integer(req, &problem, "from", 0, INT64_C(1) << 40, &wish->from);
    *as_csv = api_query_choice(req, &problem, "format", formats, 0) == 1;
    if (problem.count == 0 && wish->until <= wish->from)
        problem_add(&problem, "query_invalid", "until",
                    "The end must be after the beginning.");
    if (api_refused(out, &problem))
        return false;
    if (!api_main_pair(db, out, &heater_id, &water_id))
        return false;
    if (!api_ok(out, db_heater_get(db, heater_id, &wish->heater), "heater"))
        return false;
    wish->water_id = wish->heater.water_ids[0];
    return true;
}

static void send_csv(struct reply *out, cJSON *record)
{
    char *text = record_csv(record);

    cJSON_Delete(record);
    if (text == NULL) {
        reply_refuse(out, 500, "no_memory", NULL, "The record did not fit in memory.");
        return;
    }
    out->status = 200;
    out->content_type = "text/csv; charset=utf-8";
    out->body = text;
    out->body_length = strlen(text);
    out->body_owned = true;
}

void api_record_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct record_wish wish = {.db = db};
    struct zone *zone = NULL;
    struct db_site site;
    enum db_status status = DB_OK;
    bool as_csv = false;
    cJSON *record;

    if (!read_query(app, db, req, out, &wish, &as_csv) ||
        !api_ok(out, db_site_get(db, &site), "site"))
        return;
    if (zone_open(site.version > 0 ? site.zone : "UTC", &zone) != ZONE_OK) {
        reply_refuse(out, 500, "store_failed", NULL, "The site's zone cannot be read.");
        return;
    }
    wish.zone = zone;
    record = record_json(&wish, &site, api_now(app), &status);
    if (!api_ok(out, status, "heater"))
        cJSON_Delete(record);
    else if (as_csv)
        send_csv(out, record);
    else
        api_send(out, 200, record);
    zone_close(zone);
}
