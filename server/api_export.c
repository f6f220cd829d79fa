/*
 * Export: all current facts of one kind, oldest first, made while it leaves. Facts are
 * read page by page, each page a query of its own, so that a slow reader holds nothing
 * up; what is entered meanwhile is left out.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_facts.h"
#include "export_csv.h"

#define PAGE_FACTS 100
#define PIECE_SIZE (64 * 1024) /* the longest JSON of one fact is shorter */

struct kind {
    enum export_what what;
    const struct fact_kind *fact;
    enum db_status (*newest)(struct db *db, int64_t *out_id);
    enum db_status (*page)(struct db *db, const struct db_page *page, void *out,
                           size_t *out_count);
};

#define PAGE(name)                                                                     \
    static enum db_status page_of_##name(struct db *db, const struct db_page *page,    \
                                         void *out, size_t *out_count)                 \
    {                                                                                  \
        return db_##name##_page(db, page, out, out_count);                             \
    }

PAGE(reading)
PAGE(dose)
PAGE(run)
PAGE(heater_state)

static const struct kind kinds[] = {
    {EXPORT_READINGS, &fact_readings, db_reading_newest_id, page_of_reading},
    {EXPORT_DOSES, &fact_doses, db_dose_newest_id, page_of_dose},
    {EXPORT_RUNS, &fact_runs, db_run_newest_id, page_of_run},
    {EXPORT_HEATER_STATES, &fact_heater_states, db_heater_state_newest_id,
     page_of_heater_state}};

enum export_stage { EXPORT_HEAD, EXPORT_FACTS, EXPORT_END };

struct export_stream {
    struct reply_stream stream; /* first, so that it leads back here */
    struct db *db;              /* the reading one */
    const struct kind *kind;
    struct export_csv csv;
    struct zone *utc, *site;
    bool as_json;
    struct db_page page;
    char *facts; /* of the page */
    size_t fact_count, fact_next;
    int64_t sent;
    enum export_stage stage;
    char piece[PIECE_SIZE]; /* made and not yet sent */
    size_t piece_length, piece_sent;
};

static void finish(struct reply_stream *stream)
{
    struct export_stream *export = (struct export_stream *)stream;

    zone_close(export->utc);
    zone_close(export->site);
    free(export->facts);
    free(export);
}

static bool set_piece(struct export_stream *export, const char *text)
{
    size_t length = strlen(text);

    if (length > sizeof export->piece)
        return false;
    memcpy(export->piece, text, length);
    export->piece_length = length;
    return true;
}

static bool make_head(struct export_stream *export)
{
    char text[64];

    if (!export->as_json) {
        export->piece_length = export_csv_names(&export->csv, export->piece);
        return true;
    }
    snprintf(text, sizeof text, "{\"%s\":[", export->kind->fact->member);
    return set_piece(export, text);
}

static bool make_json(struct export_stream *export, const void *fact)
{
    char *text = json_print_and_delete(fact_json(export->kind->fact, fact));
    bool fits = text != NULL && strlen(text) + 1 < sizeof export->piece;

    if (fits) {
        size_t comma = export->sent > 0 ? 1 : 0;

        export->piece[0] = ',';
        memcpy(export->piece + comma, text, strlen(text));
        export->piece_length = comma + strlen(text);
    }
    free(text);
    return fits;
}

/* The next fact of the page, of the next page, or NULL at the end or on a failure. */
static const char *next_fact(struct export_stream *export, bool *out_failed)
{
    const char *fact;

    *out_failed = false;
    if (export->fact_next == export->fact_count) {
        if (export->fact_next > 0 && export->fact_count < export->page.limit)
            return NULL;
        *out_failed = export->kind->page(export->db, &export->page, export->facts,
                                         &export->fact_count) != DB_OK;
        export->fact_next = 0;
        if (*out_failed || export->fact_count == 0)
            return NULL;
    }
    fact = export->facts + export->fact_next++ * export->kind->fact->size;
    export->page.after_at = ((const struct db_fact *)(const void *)fact)->at;
    export->page.after_id = ((const struct db_fact *)(const void *)fact)->id;
    return fact;
}

static bool make_fact(struct export_stream *export)
{
    bool failed;
    const char *fact = next_fact(export, &failed);

    if (failed)
        return false;
    if (fact == NULL) {
        export->stage = EXPORT_END;
        return !export->as_json || set_piece(export, "]}\n");
    }
    if (export->as_json) {
        if (!make_json(export, fact))
            return false;
    } else {
        export->piece_length = export_csv_line(&export->csv, fact, export->piece);
    }
    export->sent++;
    return true;
}

/* Fills piece; its length stays 0 at the end. */
static bool make_piece(struct export_stream *export)
{
    export->piece_length = export->piece_sent = 0;
    switch (export->stage) {
    case EXPORT_HEAD:
        export->stage = EXPORT_FACTS;
        return make_head(export);
    case EXPORT_FACTS:
        return make_fact(export);
    case EXPORT_END:
        break;
    }
    return true;
}

static ptrdiff_t next(struct reply_stream *stream, char *out, size_t size)
{
    struct export_stream *export = (struct export_stream *)stream;
    size_t used = 0;

    while (used < size) {
        size_t rest = export->piece_length - export->piece_sent;

        if (rest == 0) {
            if (!make_piece(export))
                return -1;
            if (export->piece_length == 0)
                break;
            continue;
        }
        if (rest > size - used)
            rest = size - used;
        memcpy(out + used, export->piece + export->piece_sent, rest);
        export->piece_sent += rest;
        used += rest;
    }
    return (ptrdiff_t)used;
}

/* ---- the request ---- */

static bool subject_exists(struct db *db, const struct kind *kind, int64_t id)
{
    struct db_water water;
    struct db_heater heater;

    return kind->what == EXPORT_HEATER_STATES ? db_heater_get(db, id, &heater) == DB_OK
                                              : db_water_get(db, id, &water) == DB_OK;
}

static const struct kind *read_query(struct app *app, struct db *db,
                                     const struct request *req, struct problem *problem,
                                     struct export_stream *export)
{
    static const char *const whats[] = {"readings", "doses", "runs", "heater-states",
                                        NULL};
    static const char *const formats[] = {"csv", "json", NULL};
    static const char *const styles[] = {"plain", "spreadsheet", NULL};
    const struct kind *kind = &kinds[api_query_choice(req, problem, "what", whats, 0)];
    const char *subject = kind->fact->subject;
    const char *other = kind->what == EXPORT_HEATER_STATES ? "water" : "heater";
    struct db_page *page = &export->page;

    if (request_query(req, "what") == NULL)
        problem_add(problem, "query_missing", "what", "Say what to export.");
    if (request_query(req, other) != NULL)
        problem_add(problem, "query_unknown", other, "%s belong to a %s.",
                    kind->fact->path, subject);
    if (request_query(req, subject) == NULL)
        problem_add(problem, "query_missing", subject, "Say which %s.", subject);
    else if (api_query_integer(req, problem, subject, 1, INT64_MAX / 2,
                               &page->subject_id) &&
             !subject_exists(db, kind, page->subject_id))
        problem_add(problem, "not_found", subject, "There is no such %s.", subject);
    page->from = 1; /* at 0 stand assumptions, not what anybody saw */
    page->until = api_now(app) + API_FUTURE_S;
    api_query_integer(req, problem, "from", 0, INT64_C(1) << 40, &page->from);
    api_query_integer(req, problem, "until", 0, INT64_C(1) << 40, &page->until);
    export->as_json = api_query_choice(req, problem, "format", formats, 0) == 1;
    export->csv.for_spreadsheets =
        api_query_choice(req, problem, "style", styles, 0) == 1;
    return kind;
}

/* False when answered already. */
static bool prepare(struct db *db, struct reply *out, struct export_stream *export)
{
    struct db_site site;
    bool has_comma;

    if (!api_ok(out, db_site_get(db, &site), "site") ||
        !api_ok(out, export->kind->newest(db, &export->page.newest_id), "export"))
        return false;
    export->page.after_at = export->page.from - 1;
    export->page.after_id = INT64_MAX;
    export->page.limit = PAGE_FACTS;
    export->facts = calloc(PAGE_FACTS, export->kind->fact->size);
    if (export->facts == NULL || zone_open("UTC", &export->utc) != ZONE_OK ||
        zone_open(site.version > 0 ? site.zone : "UTC", &export->site) != ZONE_OK) {
        reply_refuse(out, 500, "no_memory", NULL, "The export could not begin.");
        return false;
    }
    has_comma = export->csv.for_spreadsheets && site.decimal_comma;
    export->csv.what = export->kind->what;
    export->csv.separator = has_comma ? ';' : ',';
    export->csv.decimal = has_comma ? ',' : '.';
    export->csv.utc = export->utc;
    export->csv.site = export->site;
    return true;
}

void api_export_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    struct export_stream *export = calloc(1, sizeof *export);
    struct problem problem;

    if (export == NULL) {
        reply_refuse(out, 500, "no_memory", NULL, "The export could not begin.");
        return;
    }
    export->stream = (struct reply_stream){next, finish};
    export->db = db;
    problem_init(&problem);
    problem.status = 400;
    export->kind = read_query(app, db, req, &problem, export);
    if (api_refused(out, &problem) || !prepare(db, out, export)) {
        finish(&export->stream);
        return;
    }
    out->status = 200;
    out->content_type = export->as_json ? "application/json" : "text/csv; charset=utf-8";
    out->stream = &export->stream;
}
