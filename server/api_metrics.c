/*
 * Figures for whoever watches: the text format 0.0.4 of Prometheus, with units in the
 * names. A value that is too old to be called the water's is left out, never repeated.
 */
#include <inttypes.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "api.h"
#include "api_common.h"
#include "api_permit.h"
#include "backup.h"
#include "http_counts.h"

#ifndef COILKEEP_VERSION
#define COILKEEP_VERSION "unknown"
#endif

#define TEXT_BYTES ((size_t)64 * 1024)
#define THINGS_MAX 16
/* As long as a test of pH counts for the permit (common practice). */
#define VALUE_AGE_S ((int64_t)7 * 86400)

struct text {
    char *bytes;
    size_t used;
    bool is_full;
};

static void add(struct text *text, const char *format, ...)
    __attribute__((format(printf, 2, 3)));

static void add(struct text *text, const char *format, ...)
{
    va_list values;
    int length;

    va_start(values, format);
    length =
        vsnprintf(text->bytes + text->used, TEXT_BYTES - text->used, format, values);
    va_end(values);
    if (length < 0 || (size_t)length >= TEXT_BYTES - text->used)
        text->is_full = true;
    else
        text->used += (size_t)length;
}

static void head(struct text *text, const char *name, const char *kind,
                 const char *help)
{
    add(text, "# HELP coilkeep_%s %s\n# TYPE coilkeep_%s %s\n", name, help, name, kind);
}

/* ---- permits and values ---- */

/* One pair of heater and water, asked once for all its figures. */
struct pair {
    int64_t heater_id, water_id;
    cJSON *permit;
};

static double number(const cJSON *object, const char *member)
{
    const cJSON *item = cJSON_GetObjectItemCaseSensitive(object, member);

    if (cJSON_IsRaw(item)) /* a decimal, written as it was entered */
        return strtod(item->valuestring, NULL);
    return cJSON_IsNumber(item) ? item->valuedouble : NAN;
}

static size_t ask_pairs(struct app *app, struct db *db, struct pair *out)
{
    struct db_heater heaters[THINGS_MAX];
    size_t heater_count = 0, count = 0;

    if (db_heater_list(db, heaters, THINGS_MAX, &heater_count) != DB_OK)
        return 0;
    for (size_t i = 0; i < heater_count; i++)
        for (size_t j = 0; j < heaters[i].water_count && count < THINGS_MAX; j++) {
            struct reply refused = {0};

            out[count] =
                (struct pair){heaters[i].id, heaters[i].water_ids[j],
                              api_permit_now(app, db, heaters[i].id,
                                             heaters[i].water_ids[j], &refused)};
            count += out[count].permit != NULL;
            reply_finish(&refused);
        }
    return count;
}

static void add_permits(struct text *text, const struct pair *pairs, size_t count)
{
    static const char *const states[] = {"run", "hold", "test"};

    head(text, "permit", "gauge",
         "1 for what the permit says, 0 for what it does not.");
    for (size_t i = 0; i < count; i++)
        for (size_t j = 0; j < 3; j++) {
            const cJSON *word =
                cJSON_GetObjectItemCaseSensitive(pairs[i].permit, "permit");

            add(text,
                "coilkeep_permit{heater=\"%" PRId64 "\",water=\"%" PRId64
                "\",state=\"%s\"} %d\n",
                pairs[i].heater_id, pairs[i].water_id, states[j],
                cJSON_IsString(word) && strcmp(word->valuestring, states[j]) == 0);
        }
    head(text, "permit_good_until_timestamp_seconds", "gauge",
         "Until when the permit is good, left out where it has no end.");
    for (size_t i = 0; i < count; i++)
        if (!isnan(number(pairs[i].permit, "good_until")))
            add(text,
                "coilkeep_permit_good_until_timestamp_seconds{heater=\"%" PRId64
                "\",water=\"%" PRId64 "\"} %.0f\n",
                pairs[i].heater_id, pairs[i].water_id,
                number(pairs[i].permit, "good_until"));
}

static bool is_first_of_its_water(const struct pair *pairs, size_t index)
{
    for (size_t i = 0; i < index; i++)
        if (pairs[i].water_id == pairs[index].water_id)
            return false;
    return true;
}

/* The value of that quantity in a permit, when it is young enough. */
static const cJSON *find_value(const cJSON *permit, const char *key)
{
    const cJSON *values = cJSON_GetObjectItemCaseSensitive(permit, "values");
    const cJSON *value;
    double now = number(permit, "at");

    cJSON_ArrayForEach(value, values)
    {
        const cJSON *name = cJSON_GetObjectItemCaseSensitive(value, "quantity");
        double at = number(value, "at");

        if (cJSON_IsString(name) && strcmp(name->valuestring, key) == 0 &&
            !isnan(number(value, "value")) && at <= now && now - at <= VALUE_AGE_S)
            return value;
    }
    return NULL;
}

static void add_values(struct text *text, const struct pair *pairs, size_t count)
{
    for (int quantity = 0; quantity < COIL_QUANTITY_COUNT; quantity++) {
        const struct coil_quantity_info *info =
            coil_quantity_info((enum coil_quantity)quantity);
        bool has_head = false;

        for (size_t i = 0; i < count; i++) {
            const cJSON *value = is_first_of_its_water(pairs, i)
                                     ? find_value(pairs[i].permit, info->key)
                                     : NULL;

            if (value == NULL)
                continue;
            if (!has_head)
                head(text, info->key, "gauge", info->words);
            has_head = true;
            add(text, "coilkeep_%s{water=\"%" PRId64 "\"} %.10g\n", info->key,
                pairs[i].water_id, number(value, "value"));
        }
    }
}

/* Of every quantity, also those whose value is too old to be told. */
static void add_ages(struct text *text, const struct pair *pairs, size_t count)
{
    head(text, "last_reading_timestamp_seconds", "gauge",
         "When a value was last measured.");
    for (size_t i = 0; i < count; i++) {
        const cJSON *values =
            cJSON_GetObjectItemCaseSensitive(pairs[i].permit, "values");
        const cJSON *value;

        if (!is_first_of_its_water(pairs, i))
            continue;
        cJSON_ArrayForEach(value, values)
        {
            const cJSON *name = cJSON_GetObjectItemCaseSensitive(value, "quantity");

            if (cJSON_IsString(name) && !isnan(number(value, "at")))
                add(text,
                    "coilkeep_last_reading_timestamp_seconds{water=\"%" PRId64
                    "\",quantity=\"%s\"} %.0f\n",
                    pairs[i].water_id, name->valuestring, number(value, "at"));
        }
    }
}

/* ---- the daemon ---- */

static void add_counts(struct text *text, struct http_counts *counts)
{
    head(text, "http_answers_total", "counter",
         "Answers by the class of their status.");
    for (int i = 1; i < HTTP_COUNT_CLASSES; i++)
        add(text, "coilkeep_http_answers_total{class=\"%dxx\"} %" PRIuFAST64 "\n", i,
            atomic_load(&counts->answers[i]));
    head(text, "http_answer_seconds", "histogram",
         "From the last byte of a request to its answer.");
    for (int i = 0; i < HTTP_COUNT_BOUNDS; i++)
        add(text, "coilkeep_http_answer_seconds_bucket{le=\"%g\"} %" PRIuFAST64 "\n",
            (double)http_count_bounds_us[i] / 1e6, atomic_load(&counts->within[i]));
    add(text,
        "coilkeep_http_answer_seconds_bucket{le=\"+Inf\"} %" PRIuFAST64 "\n"
        "coilkeep_http_answer_seconds_sum %.6f\n"
        "coilkeep_http_answer_seconds_count %" PRIuFAST64 "\n",
        atomic_load(&counts->timed), (double)atomic_load(&counts->timed_us) / 1e6,
        atomic_load(&counts->timed));
}

static void add_daemon(struct text *text, struct app *app)
{
    struct backup copies[BACKUPS_MAX];
    struct stat info;

    head(text, "build_info", "gauge", "Which version runs.");
    add(text, "coilkeep_build_info{version=\"%s\"} 1\n", COILKEEP_VERSION);
    head(text, "changes_total", "counter", "Changes committed since the start.");
    add(text, "coilkeep_changes_total %" PRIuFAST64 "\n", api_changes(app));
    if (stat(app->database_path, &info) == 0) {
        head(text, "database_size_bytes", "gauge", "Of the database's file.");
        add(text, "coilkeep_database_size_bytes %lld\n", (long long)info.st_size);
    }
    if (app->backups != NULL && backup_list(app, copies) > 0) {
        head(text, "last_backup_timestamp_seconds", "gauge",
             "When the newest copy was made.");
        add(text, "coilkeep_last_backup_timestamp_seconds %" PRId64 "\n", copies[0].at);
    }
}

void api_metrics_get(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    struct text text = {.bytes = malloc(TEXT_BYTES)};
    struct pair pairs[THINGS_MAX];
    size_t count;

    (void)req;
    if (text.bytes == NULL) {
        reply_refuse(out, 500, "no_memory", NULL, "The answer did not fit in memory.");
        return;
    }
    count = ask_pairs(app, db, pairs);
    add_permits(&text, pairs, count);
    add_values(&text, pairs, count);
    add_ages(&text, pairs, count);
    add_daemon(&text, app);
    add_counts(&text, app->http_counts);
    for (size_t i = 0; i < count; i++)
        cJSON_Delete(pairs[i].permit);
    if (text.is_full) {
        free(text.bytes);
        reply_refuse(out, 500, "no_memory", NULL, "The answer did not fit in memory.");
        return;
    }
    out->status = 200;
    out->content_type = "text/plain; version=0.0.4; charset=utf-8";
    out->body = text.bytes;
    out->body_length = text.used;
    out->body_owned = true;
}
