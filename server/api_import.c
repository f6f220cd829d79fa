/*
 * Import of a table of readings: first a dry run that says what would be taken, then
 * all or nothing. A dry run does the real work and takes it back, so that it cannot
 * differ.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_common.h"
#include "import.h"
#include "import_units.h"
#include "utf8.h"

#define LINES_SHOWN 200
#define PREVIEW_ROWS 50

struct import_run {
    struct app *app;
    struct db *db;
    int64_t water_id, batch_id, actor_id, now_s;
    char last_by[DB_NAME_SIZE];
    int64_t last_by_id;
    int64_t rows, taken, already_there, refused, doubtful;
    cJSON *lines, *preview; /* preview: only of a dry run, else NULL */
    int shown, previewed;
    const char *start; /* of the file, to tell how far we are */
    bool cancelled;
    enum db_status status;
};

static void write_row_text(cJSON *object, const struct import_row *row)
{
    char text[160];

    snprintf(text, sizeof text, "%.*s",
             (int)(row->text_length < 150 ? row->text_length : 150), row->text);
    utf8_trim_end(text);
    cJSON_AddStringToObject(object, "text", text);
}

static void show_line(struct import_run *run, const struct import_row *row,
                      const char *verdict)
{
    cJSON *object;

    if (run->shown == LINES_SHOWN)
        return;
    run->shown++;
    object = cJSON_CreateObject();
    cJSON_AddNumberToObject(object, "line", (double)row->line);
    cJSON_AddStringToObject(object, "verdict", verdict);
    cJSON_AddStringToObject(object, "code",
                            row->code != NULL ? row->code : "value_doubtful");
    cJSON_AddStringToObject(object, "field", row->field);
    cJSON_AddStringToObject(object, "detail", row->detail);
    write_row_text(object, row);
    cJSON_AddItemToArray(run->lines, object);
}

/* One of the first rows as it was understood. */
static void show_row(struct import_run *run, const struct import_row *row,
                     const char *verdict)
{
    const struct db_reading *reading = &row->reading;
    cJSON *object, *values;

    if (run->preview == NULL || run->previewed == PREVIEW_ROWS)
        return;
    run->previewed++;
    object = cJSON_CreateObject();
    cJSON_AddNumberToObject(object, "line", (double)row->line);
    cJSON_AddStringToObject(object, "verdict", verdict);
    if (row->code != NULL)
        cJSON_AddStringToObject(object, "code", row->code);
    else if (row->doubtful)
        cJSON_AddStringToObject(object, "code", "value_doubtful");
    else
        cJSON_AddNullToObject(object, "code");
    cJSON_AddStringToObject(object, "detail", row->detail);
    api_add_id_or_null(object, "at", reading->fact.at);
    cJSON_AddStringToObject(object, "method", coil_method_key(reading->method));
    cJSON_AddStringToObject(object, "by", row->by);
    cJSON_AddStringToObject(object, "note", reading->fact.note);
    values = cJSON_AddObjectToObject(object, "values");
    for (size_t i = 0; i < reading->value_count; i++)
        api_add_e6(values, coil_quantity_info(reading->values[i].quantity)->key,
                   reading->values[i].amount_e6);
    write_row_text(object, row);
    cJSON_AddItemToArray(run->preview, object);
}

/* False when somebody cancelled. */
static bool report_progress(struct import_run *run, const struct import_row *row)
{
    struct import_progress *progress = &run->app->import;

    atomic_store_explicit(&progress->rows, (uint64_t)run->rows, memory_order_relaxed);
    atomic_store_explicit(&progress->bytes, (uint64_t)(row->text - run->start),
                          memory_order_relaxed);
    run->cancelled = atomic_load_explicit(&progress->cancel, memory_order_relaxed);
    return !run->cancelled;
}

/* Files name few people: the last one's id is kept. */
static enum db_status actor_of_row(struct import_run *run, const struct import_row *row,
                                   int64_t *out_actor_id)
{
    enum db_status status = DB_OK;

    if (row->by[0] == '\0') {
        *out_actor_id = run->actor_id;
        return DB_OK;
    }
    if (strcmp(row->by, run->last_by) != 0) {
        status = db_actor(run->db, row->by, &run->last_by_id);
        snprintf(run->last_by, sizeof run->last_by, "%s", row->by);
    }
    *out_actor_id = run->last_by_id;
    return status;
}

static bool take_row(void *context, struct import_row *row)
{
    struct import_run *run = context;
    struct db_reading *reading = &row->reading;
    bool exists = false;

    run->rows++;
    if (!report_progress(run, row))
        return false;
    if (row->code != NULL) {
        run->refused++;
        show_line(run, row, "refused");
        show_row(run, row, "refused");
        return true;
    }
    reading->water_id = run->water_id;
    reading->fact.batch_id = run->batch_id;
    reading->fact.recorded_at = run->now_s;
    run->status = actor_of_row(run, row, &reading->fact.actor_id);
    if (run->status == DB_OK)
        run->status = db_reading_exists(run->db, reading, &exists);
    if (run->status == DB_OK && exists) {
        run->already_there++;
        show_row(run, row, "already_there");
        return true;
    }
    if (run->status == DB_OK)
        run->status = db_reading_add(run->db, reading);
    run->taken++;
    show_row(run, row, row->doubtful ? "doubtful" : "take");
    if (row->doubtful) {
        run->doubtful++;
        show_line(run, row, "doubtful");
    }
    return run->status == DB_OK;
}

/* ---- the report ---- */

static const char *separator_word(char separator)
{
    return separator == ';' ? "semicolon" : separator == '\t' ? "tab" : "comma";
}

static cJSON *dialect_json(const struct import_dialect *dialect, const char *zone)
{
    static const char *const orders[] = {"auto", "ymd", "dmy", "mdy"};
    cJSON *object = cJSON_CreateObject();

    cJSON_AddStringToObject(object, "separator", separator_word(dialect->separator));
    cJSON_AddStringToObject(object, "decimal",
                            dialect->decimal == ',' ? "comma" : "point");
    cJSON_AddStringToObject(object, "dates", orders[dialect->dates]);
    cJSON_AddBoolToObject(object, "dates_guessed", dialect->dates_guessed);
    cJSON_AddStringToObject(object, "zone", zone);
    cJSON_AddBoolToObject(object, "bom", dialect->bom);
    return object;
}

static const char *role_word(const struct import_column *column)
{
    static const char *const words[] = {NULL,     "date", "time", "instant", "value",
                                        "method", "by",   "note", "details"};

    return column->role == IMPORT_VALUE ? coil_quantity_info(column->quantity)->key
                                        : words[column->role];
}

/* What the column may be taken in; empty for what has no unit. */
static cJSON *units_json(const struct import_column *column)
{
    cJSON *array = cJSON_CreateArray();
    const char *unit;

    for (size_t i = 0; column->role == IMPORT_VALUE &&
                       (unit = import_unit_choice(column->quantity, i)) != NULL;
         i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(unit));
    return array;
}

static cJSON *columns_json(const struct import_dialect *dialect)
{
    cJSON *array = cJSON_CreateArray();
    size_t i;

    for (i = 0; i < dialect->column_count; i++) {
        const struct import_column *column = &dialect->columns[i];
        const char *word = role_word(column);
        cJSON *object = cJSON_CreateObject();

        cJSON_AddStringToObject(object, "header", column->header);
        if (word == NULL)
            cJSON_AddNullToObject(object, "as");
        else
            cJSON_AddStringToObject(object, "as", word);
        cJSON_AddStringToObject(object, "unit", column->unit);
        cJSON_AddItemToObject(object, "units", units_json(column));
        cJSON_AddItemToArray(array, object);
    }
    return array;
}

static cJSON *report_json(struct import_run *run, const struct import_dialect *dialect,
                          const char *zone, bool dry_run)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddBoolToObject(object, "dry_run", dry_run);
    cJSON_AddNumberToObject(object, "rows", (double)run->rows);
    cJSON_AddNumberToObject(object, "take", (double)run->taken);
    cJSON_AddNumberToObject(object, "already_there", (double)run->already_there);
    cJSON_AddNumberToObject(object, "refused", (double)run->refused);
    cJSON_AddNumberToObject(object, "doubtful", (double)run->doubtful);
    api_add_id_or_null(object, "batch",
                       dry_run || run->refused > 0 ? 0 : run->batch_id);
    cJSON_AddItemToObject(object, "dialect", dialect_json(dialect, zone));
    cJSON_AddItemToObject(object, "columns", columns_json(dialect));
    cJSON_AddItemToObject(object, "lines", run->lines);
    run->lines = NULL;
    if (run->preview != NULL)
        cJSON_AddItemToObject(object, "preview", run->preview);
    run->preview = NULL;
    return object;
}

/* All or nothing: one bad row refuses the file, and the report says which. */
static void send_refused(struct reply *out, cJSON *report, int64_t refused)
{
    cJSON *object = cJSON_CreateObject();
    char detail[120];

    snprintf(detail, sizeof detail,
             "%lld rows cannot be taken, so nothing was. Mend them or leave them out.",
             (long long)refused);
    cJSON_AddStringToObject(object, "type", "/problems/import_refused");
    cJSON_AddStringToObject(object, "title", "Nothing was imported");
    cJSON_AddNumberToObject(object, "status", 422);
    cJSON_AddStringToObject(object, "detail", detail);
    cJSON_AddStringToObject(object, "code", "import_refused");
    cJSON_AddItemToObject(object, "report", report);
    api_send(out, 422, object);
    out->content_type = "application/problem+json";
}

/* ---- the request ---- */

struct import_wish {
    bool dry_run;
    struct import_options options;
    struct zone *zone;
    char by[DB_NAME_SIZE], file[DB_NAME_SIZE];
};

static void read_zone(struct db *db, const struct request *req, struct problem *problem,
                      struct import_wish *wish)
{
    const char *name = request_query(req, "zone");
    struct db_site site = {0};

    if (name == NULL && db_site_get(db, &site) == DB_OK && site.version > 0)
        name = site.zone;
    if (zone_open(name != NULL ? name : "UTC", &wish->zone) != ZONE_OK)
        problem_add(problem, "zone_unknown", "zone",
                    "There is no such time zone. Write one like Europe/Madrid.");
    wish->options.zone = wish->zone;
}

/* "water_temp_c:°F": one value and the unit that its column is taken in. */
static bool read_unit(const char *text, size_t length, struct import_options *options)
{
    const char *colon = memchr(text, ':', length);
    struct import_scale scale;
    enum coil_quantity quantity;
    size_t key_length, unit_length;
    char key[64];

    if (colon == NULL)
        return false;
    key_length = (size_t)(colon - text);
    unit_length = length - key_length - 1;
    if (key_length >= sizeof key || unit_length >= sizeof options->units[0])
        return false;
    memcpy(key, text, key_length);
    key[key_length] = '\0';
    if (coil_quantity_from_key(key, &quantity) != COIL_OK ||
        import_unit_find(colon + 1, unit_length, quantity, &scale) != IMPORT_UNIT_FITS)
        return false;
    memcpy(options->units[quantity], colon + 1, unit_length);
    options->units[quantity][unit_length] = '\0';
    return true;
}

static void read_units(const struct request *req, struct problem *problem,
                       struct import_options *options)
{
    const char *text = request_query(req, "units");

    while (text != NULL && *text != '\0') {
        size_t length = strcspn(text, ",");

        if (!read_unit(text, length, options)) {
            problem_add(problem, "query_invalid", "units",
                        "Units are written like water_temp_c:\xC2\xB0"
                        "F,salt_mg_per_l_nacl:g/L.");
            return;
        }
        text += length + (text[length] == ',');
    }
}

static void read_wish(struct app *app, struct db *db, const struct request *req,
                      struct problem *problem, struct import_wish *wish,
                      int64_t *out_water_id)
{
    static const char *const dates[] = {"auto", "ymd", "dmy", "mdy", NULL};
    static const char *const decimals[] = {"auto", "point", "comma", NULL};
    static const char *const separators[] = {"auto", "comma", "semicolon", "tab", NULL};
    static const char decimal_bytes[] = {0, '.', ','};
    static const char separator_bytes[] = {0, ',', ';', '\t'};
    const char *method = request_query(req, "method");
    const char *by = request_query(req, "by"), *file = request_query(req, "file");
    struct db_water water;

    memset(wish, 0, sizeof *wish);
    if (!api_query_integer(req, problem, "water", 1, INT64_MAX / 2, out_water_id))
        problem_add(problem, "query_missing", "water", "Say which water.");
    else if (db_water_get(db, *out_water_id, &water) != DB_OK)
        problem_add(problem, "not_found", "water", "There is no such water.");
    api_query_flag(req, problem, "dry_run", &wish->dry_run);
    wish->options.dates =
        (enum import_dates)api_query_choice(req, problem, "dates", dates, 0);
    wish->options.decimal =
        decimal_bytes[api_query_choice(req, problem, "decimal", decimals, 0)];
    wish->options.separator =
        separator_bytes[api_query_choice(req, problem, "separator", separators, 0)];
    if (method != NULL &&
        coil_method_from_key(method, &wish->options.method) != COIL_OK)
        problem_add(problem, "query_invalid", "method", "There is no such method.");
    read_units(req, problem, &wish->options);
    read_zone(db, req, problem, wish);
    wish->options.now_s = api_now(app);
    snprintf(wish->by, sizeof wish->by, "%s",
             by != NULL && by[0] != '\0' ? by : "this machine");
    snprintf(wish->file, sizeof wish->file, "%s", file != NULL ? file : "");
}

static const char *fault_code(enum import_fault fault)
{
    static const char *const codes[] = {"",
                                        "file_empty",
                                        "not_utf8",
                                        "nul_byte",
                                        "not_csv",
                                        "no_header",
                                        "no_time_column",
                                        "no_value_column",
                                        "column_twice",
                                        "too_many_columns",
                                        "quote_open",
                                        "unit_wrong"};

    return codes[fault];
}

static void open_progress(struct app *app, const struct request *req, bool dry_run)
{
    struct import_progress *progress = &app->import;

    atomic_store(&progress->rows, 0);
    atomic_store(&progress->bytes, 0);
    atomic_store(&progress->total_bytes, req->body_length);
    atomic_store(&progress->dry_run, dry_run);
    atomic_store(&progress->cancel, false);
    atomic_store(&progress->running, true);
}

static void run_import(struct import_run *run, const struct request *req,
                       struct reply *out, const struct import_wish *wish)
{
    struct import_dialect dialect;
    char detail[200] = "";
    enum import_fault fault;
    cJSON *report;

    run->start = (const char *)req->body;
    if (!api_ok(out, db_bulk_begin(run->db, run->water_id), "import"))
        return;
    open_progress(run->app, req, wish->dry_run);
    fault = import_read(req->body, req->body_length, &wish->options, &dialect, take_row,
                        run, detail);
    atomic_store(&run->app->import.running, false);
    if (run->status == DB_OK)
        run->status = db_bulk_end(run->db);
    if (!api_ok(out, run->status, "reading"))
        return;
    if (run->cancelled) {
        reply_refuse(out, 409, "import_cancelled", NULL,
                     "The import was cancelled; nothing of it was kept.");
        return;
    }
    if (fault != IMPORT_OK) {
        reply_refuse(out, 422, fault_code(fault), NULL, "%s", detail);
        return;
    }
    report = report_json(run, &dialect, zone_name(wish->zone), wish->dry_run);
    if (!wish->dry_run && run->refused > 0) {
        send_refused(out, report, run->refused);
        return;
    }
    if (wish->dry_run) { /* the work is taken back; its part goes on empty */
        if (!api_ok(out, db_part_drop(run->db), "store") ||
            !api_ok(out, db_part_begin(run->db), "store")) {
            cJSON_Delete(report);
            return;
        }
    }
    api_send(out, wish->dry_run ? 200 : 201, report);
}

void api_import_create(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct import_run run = {.app = app, .db = db, .status = DB_OK};
    struct import_wish wish;
    struct problem problem;

    problem_init(&problem);
    problem.status = 400;
    read_wish(app, db, req, &problem, &wish, &run.water_id);
    run.now_s = wish.options.now_s;
    run.lines = cJSON_CreateArray();
    run.preview = wish.dry_run ? cJSON_CreateArray() : NULL;
    if (!api_refused(out, &problem) &&
        api_ok(out, db_actor(db, wish.by, &run.actor_id), "person") &&
        api_ok(out,
               db_batch_add(db, run.now_s, run.actor_id, wish.file, 0, &run.batch_id),
               "import") &&
        api_ok(out,
               api_journal(app, db, req, run.actor_id, "add", "import", run.batch_id,
                           NULL, NULL),
               "journal"))
        run_import(&run, req, out, &wish);
    cJSON_Delete(run.lines);
    cJSON_Delete(run.preview);
    zone_close(wish.zone);
}

/* ---- progress ---- */

static void send_progress(struct app *app, struct reply *out)
{
    struct import_progress *progress = &app->import;
    cJSON *object = cJSON_CreateObject();

    cJSON_AddBoolToObject(object, "running", atomic_load(&progress->running));
    cJSON_AddBoolToObject(object, "dry_run", atomic_load(&progress->dry_run));
    cJSON_AddNumberToObject(object, "rows", (double)atomic_load(&progress->rows));
    cJSON_AddNumberToObject(object, "bytes", (double)atomic_load(&progress->bytes));
    cJSON_AddNumberToObject(object, "total_bytes",
                            (double)atomic_load(&progress->total_bytes));
    cJSON_AddBoolToObject(object, "cancelling",
                          atomic_load(&progress->running) &&
                              atomic_load(&progress->cancel));
    api_send(out, 200, object);
}

void api_import_progress(struct app *app, struct db *db, const struct request *req,
                         struct reply *out)
{
    (void)db;
    (void)req;
    send_progress(app, out);
}

/* Beside the writer, who is busy with the import. */
void api_import_cancel(struct app *app, struct db *db, const struct request *req,
                       struct reply *out)
{
    struct problem problem;
    struct form form;

    (void)db;
    problem_init(&problem);
    form_open(&form, req, &problem);
    form_close(&form);
    if (api_refused(out, &problem))
        return;
    if (!atomic_load(&app->import.running)) {
        reply_refuse(out, 409, "nothing_runs", NULL, "No import is running.");
        return;
    }
    atomic_store(&app->import.cancel, true);
    send_progress(app, out);
}

void api_import_withdraw(struct app *app, struct db *db, const struct request *req,
                         struct reply *out)
{
    char reason[DB_NOTE_SIZE] = "import taken back";
    struct problem problem;
    struct form form;
    int64_t actor_id = 0, count = 0;
    enum db_status actor = DB_OK;
    cJSON *object;

    problem_init(&problem);
    form_open(&form, req, &problem);
    if (problem.count == 0) {
        actor = api_actor(db, &form, &actor_id);
        form_text(&form, "reason", FORM_OPTIONAL, reason, sizeof reason);
    }
    form_close(&form);
    if (api_refused(out, &problem) || !api_ok(out, actor, "person") ||
        !api_ok(out,
                db_batch_withdraw(db, req->id, actor_id, api_now(app), reason, &count),
                "import") ||
        !api_ok(out,
                api_journal(app, db, req, actor_id, "withdraw", "import", req->id, NULL,
                            NULL),
                "journal"))
        return;
    object = cJSON_CreateObject();
    cJSON_AddNumberToObject(object, "withdrawn", (double)count);
    api_send(out, 200, object);
}
