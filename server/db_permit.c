/* What the store knows that a permit depends on, as of an instant. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "db_care.h"
#include "db_private.h"
#include "lib/film.h"

/* Disjoint, ascending; both ends belong to it. */
struct interval {
    int64_t from, until;
};

struct permit_query {
    struct db *db;
    int64_t water_id;
    struct db_asof asof;
    bool only_deciding; /* not what only cautions look at */
    bool has_runs; /* read when a probe's value is first met */
    struct interval *runs;
    size_t run_count, run_capacity;
    bool is_out_of_memory;
};

/* ---- when the pump ran ---- */

static bool take_run(void *context, const void *record)
{
    struct permit_query *query = context;
    const struct db_run *run = record;
    struct interval *last =
        query->run_count > 0 ? &query->runs[query->run_count - 1] : NULL;

    if (run->machine != DB_PUMP)
        return true;
    if (last != NULL && run->fact.at <= last->until) {
        if (run->ended_at > last->until)
            last->until = run->ended_at;
        return true;
    }
    if (query->run_count == query->run_capacity) {
        size_t capacity = query->run_capacity * 2 + 64;
        struct interval *runs = realloc(query->runs, capacity * sizeof *runs);

        query->is_out_of_memory = runs == NULL;
        if (runs == NULL)
            return false;
        query->runs = runs;
        query->run_capacity = capacity;
    }
    query->runs[query->run_count].from = run->fact.at;
    query->runs[query->run_count].until = run->ended_at;
    query->run_count++;
    return true;
}

static enum db_status read_runs(struct permit_query *query)
{
    struct db_run run;
    enum db_status status;

    if (query->has_runs)
        return DB_OK;
    query->has_runs = true;
    status = db_fact_each(query->db, &db_run_table, query->water_id, query->asof,
                          take_run, &run, query);
    return query->is_out_of_memory ? DB_FAILED : status;
}

/* True when the pump ran at some instant of [from, until]. */
static bool pump_ran(const struct permit_query *query, int64_t from, int64_t until)
{
    size_t low = 0, high = query->run_count;

    while (low < high) { /* the first run that ends at or after from */
        size_t middle = low + (high - low) / 2;

        if (query->runs[middle].until < from)
            low = middle + 1;
        else
            high = middle;
    }
    return low < query->run_count && query->runs[low].from <= until;
}

/* ---- values ---- */

static void put_measure(struct coil_history *history, const struct db_value *value,
                        int64_t at)
{
    struct coil_measure *measure = &history->newest[history->count++];

    measure->value = (double)value->amount_e6 / 1e6;
    measure->at_s = at;
    measure->resolution = db_value_step(value);
    measure->method = value->method;
    measure->over_range = value->over_range;
    measure->diluted = value->diluted;
    measure->day_only = value->day_only;
}

/* Where in time values of a summary can lie. */
static struct interval interval_of(const struct permit_query *query,
                                   const struct bucket *bucket)
{
    struct interval span = {bucket->start_at, bucket->start_at + BUCKET_MIDDLE_S - 1};

    if (bucket->fact_count == bucket->value_count) /* no superseded ones beside them */
        span = (struct interval){bucket->first_at, bucket->last_at};
    if (span.until > query->asof.at)
        span.until = query->asof.at;
    return span;
}

static sqlite3_stmt *prepare_values(struct permit_query *query,
                                    enum coil_quantity quantity, struct interval span)
{
    char column[VALUE_COLUMN_SIZE];
    sqlite3_stmt *stmt;

    db_value_column(quantity, column, sizeof column);
    stmt = db_prepare_format(
        query->db,
        "SELECT f.measured_at, f.%s, f.method, f.details FROM reading f WHERE"
        " f.water_id = ?1 AND f.measured_at BETWEEN ?3 AND ?4 AND f.recorded_at <= ?2"
        " AND f.%s IS NOT NULL AND" FACT_CURRENT
        " ORDER BY f.measured_at DESC, f.id DESC",
        column, column, "reading");
    db_bind(stmt, 1, query->water_id, query->asof.known_at, span.from, span.until);
    return stmt;
}

/* Values of one span, newest first, until the history is full. */
static enum db_status take_values(struct permit_query *query,
                                  enum coil_quantity quantity, struct interval span,
                                  struct coil_history *history)
{
    sqlite3_stmt *stmt = prepare_values(query, quantity, span);
    enum db_status status = DB_OK;

    while (history->count < COIL_HISTORY_MAX && db_step_row(query->db, stmt, &status)) {
        int64_t at = sqlite3_column_int64(stmt, 0);
        struct db_value value = {.quantity = quantity,
                                 .amount_e6 = sqlite3_column_int64(stmt, 1)};

        db_details_read((enum coil_method)sqlite3_column_int(stmt, 2),
                        (const char *)sqlite3_column_text(stmt, 3), &value);
        /* A probe sees the pool's water only while its pump runs. */
        if (value.method != COIL_METHOD_PROBE || pump_ran(query, at, at))
            put_measure(history, &value, at);
    }
    db_done(stmt);
    return status;
}

/* The summaries say where values are; spans that only a probe filled while the pump
 * stood still are passed over unread. */
static enum db_status take_history(struct permit_query *query,
                                   enum coil_quantity quantity,
                                   struct coil_history *history)
{
    sqlite3_stmt *stmt = db_prepare(
        query->db, "SELECT " BUCKET_COLUMNS " FROM bucket WHERE water_id = ?1"
                   " AND quantity = ?2 AND level_s = ?3 AND start_at <= ?4"
                   " ORDER BY start_at DESC");
    enum db_status status = DB_OK;

    db_bind(stmt, 1, query->water_id, quantity, BUCKET_MIDDLE_S, query->asof.at);
    while (history->count < COIL_HISTORY_MAX && db_step_row(query->db, stmt, &status)) {
        struct interval span;
        struct bucket bucket;

        db_bucket_read(stmt, &bucket);
        span = interval_of(query, &bucket);
        if (bucket.probe_count > 0)
            status = read_runs(query);
        if (status == DB_OK && (bucket.probe_count < bucket.fact_count ||
                                pump_ran(query, span.from, span.until)))
            status = take_values(query, quantity, span, history);
        if (status != DB_OK)
            break;
    }
    db_done(stmt);
    return status;
}

/* ---- doses and state ---- */

static double chlorine_rise(const struct db_dose *dose, double volume_m3)
{
    const struct coil_product_info *info = coil_product_info(dose->product);
    double strength_percent = (double)dose->strength_e6 / 1e6;
    double rise_mg_per_l = 0.0;

    if (info == NULL || !(volume_m3 > 0.0))
        return 0.0;
    if (dose->strength_e6 == 0)
        strength_percent = info->strength_percent;
    if (coil_product_chlorine_rise(dose->product, (double)dose->amount_e6 / 1e6,
                                   strength_percent, volume_m3, &rise_mg_per_l) < 0)
        return 0.0;
    return rise_mg_per_l;
}

static enum db_status take_doses(struct permit_query *query,
                                 const struct db_water *water,
                                 struct coil_permit_facts *out)
{
    struct db_dose *doses = calloc(COIL_DOSES_MAX, sizeof *doses);
    enum db_status status = DB_FAILED;

    if (doses != NULL)
        status = db_fact_newest(query->db, &db_dose_table, query->water_id, query->asof,
                                doses, COIL_DOSES_MAX, &out->dose_count);
    for (size_t i = 0; status == DB_OK && i < out->dose_count; i++) {
        const struct coil_product_info *info = coil_product_info(doses[i].product);
        struct coil_dose_mark *mark = &out->doses[i];

        mark->at_s = doses[i].fact.at;
        mark->kind = info == NULL ? COIL_KIND_OTHER : info->kind;
        mark->product = doses[i].product;
        mark->chlorine_rise_mg_per_l =
            chlorine_rise(&doses[i], (double)water->volume_m3_e6 / 1e6);
        mark->super_chlorination = doses[i].super_chlorination;
    }
    free(doses);
    return status;
}

static enum db_status take_state(struct permit_query *query, int64_t heater_id,
                                 struct coil_permit_facts *out)
{
    struct db_heater_state state;
    size_t count = 0;
    enum db_status status = db_fact_newest(query->db, &db_heater_state_table, heater_id,
                                           query->asof, &state, 1, &count);

    if (status == DB_OK && count > 0) {
        out->heater_state = state.state;
        out->heater_state_at_s = state.fact.at;
    }
    return status;
}

static enum db_status take_inspection(struct permit_query *query, int64_t heater_id,
                                      struct coil_permit_facts *out)
{
    enum db_status status = db_care_visit_may_run(
        query->db, heater_id, query->asof.at, query->asof.known_at,
        &out->inspected_at_s, &out->inspection_may_run);

    return status == DB_NOT_FOUND ? DB_OK : status;
}

static enum db_status take_plan(struct permit_query *query, int64_t as_of,
                                struct coil_permit_facts *out)
{
    int64_t id, at = 0;
    enum db_status status =
        db_plan_running(query->db, query->water_id, as_of, &id, &at);

    if (status == DB_OK)
        out->plan_started_at_s = at;
    return status == DB_NOT_FOUND ? DB_OK : status;
}

/* ---- all ---- */

/* Everything known is forgotten but what the clock says. */
static void start_facts(struct coil_permit_facts *out, int64_t as_of)
{
    enum coil_clock clock = out->clock;
    int64_t clock_jump_s = out->clock_jump_s;

    memset(out, 0, sizeof *out);
    out->now_s = as_of;
    out->clock = clock;
    out->clock_jump_s = clock_jump_s;
}

static bool serves(const struct db_heater *heater, int64_t water_id)
{
    for (size_t i = 0; i < heater->water_count; i++)
        if (heater->water_ids[i] == water_id)
            return true;
    return false;
}

double db_heater_surface_rise_k(const struct db_heater *heater)
{
    return coil_heater_surface_rise_k(&(struct coil_heater_flow){
        .input_w = (double)heater->input_w_e6 / 1e6,
        .efficiency_fraction = (double)heater->efficiency_percent_e6 / 1e8,
        .flow_kg_per_s = (double)heater->flow_m3_per_h_e6 / 3.6e6, /* 1 kg is 1 L */
        .film_rise_k = (double)heater->film_rise_k_e6 / 1e6});
}

static void take_things(const struct db_heater *heater, const struct db_water *water,
                        struct coil_permit_facts *out)
{
    out->sanitiser = water->sanitiser;
    out->is_spa = water->is_spa;
    out->winter_closed = water->winter_closed;
    out->no_cyanuric_acid = water->no_cyanuric_acid;
    out->lining_has_cement =
        water->lining == DB_LINING_PLASTER || water->lining == DB_LINING_TILE;
    out->surface_rise_k = db_heater_surface_rise_k(heater);
    out->bypass = heater->bypass;
    memcpy(out->limits, heater->limits, sizeof out->limits);
}

/* Of these values lib/permit_rules.c makes more than cautions. */
static bool may_decide(enum coil_quantity quantity)
{
    return quantity == COIL_PH || quantity == COIL_FREE_CHLORINE ||
           quantity == COIL_TOTAL_CHLORINE || quantity == COIL_BROMINE ||
           quantity == COIL_WATER_TEMP;
}

static enum db_status read_all(struct permit_query *query, int64_t heater_id,
                               int64_t as_of, struct coil_permit_facts *out)
{
    struct db_heater heater;
    struct db_water water;
    enum db_status status = db_heater_get_at(query->db, heater_id, as_of, &heater);

    if (status == DB_OK)
        status = db_water_get_at(query->db, query->water_id, as_of, &water);
    if (status == DB_OK && !serves(&heater, query->water_id))
        status = DB_NOT_FOUND;
    if (status != DB_OK)
        return status;
    start_facts(out, as_of);
    take_things(&heater, &water, out);
    status = take_state(query, heater_id, out);
    if (status == DB_OK)
        status = take_inspection(query, heater_id, out);
    if (status == DB_OK)
        status = db_line_stops_at(query->db, heater_id, as_of, out->line_stops,
                                  &out->line_risks);
    if (status == DB_OK)
        status = db_flue_alarms(query->db, heater_id, query->asof, out);
    if (status == DB_OK)
        status = take_plan(query, as_of, out);
    if (status == DB_OK)
        status = take_doses(query, &water, out);
    for (int i = 0; i < COIL_QUANTITY_COUNT && status == DB_OK; i++)
        if (!query->only_deciding || may_decide((enum coil_quantity)i))
            status = take_history(query, (enum coil_quantity)i, &out->history[i]);
    return status;
}

static enum db_status read_facts(struct permit_query *query, int64_t heater_id,
                                 int64_t as_of, struct coil_permit_facts *out)
{
    struct db_scope scope;
    enum db_status status = db_scope_read(query->db, &scope);

    return status == DB_OK
               ? db_scope_end(&scope, read_all(query, heater_id, as_of, out))
               : status;
}

enum db_status db_permit_facts(struct db *db, int64_t heater_id, int64_t water_id,
                               int64_t as_of, bool by_recorded,
                               struct coil_permit_facts *out)
{
    struct permit_query query = {.db = db,
                                 .water_id = water_id,
                                 .asof = {by_recorded ? DB_TIME_MAX : as_of,
                                          by_recorded ? as_of : DB_TIME_MAX}};
    enum db_status status = read_facts(&query, heater_id, as_of, out);

    free(query.runs);
    return status;
}

/* ---- many instants ---- */

struct db_permit_past {
    int64_t heater_id;
    struct permit_query query;
};

enum db_status db_permit_past_open(struct db *db, int64_t heater_id, int64_t water_id,
                                   struct db_permit_past **out)
{
    struct db_permit_past *past = calloc(1, sizeof *past);

    *out = past;
    if (past == NULL)
        return DB_FAILED;
    past->heater_id = heater_id;
    past->query = (struct permit_query){.db = db,
                                        .water_id = water_id,
                                        .asof = {DB_TIME_MAX, DB_TIME_MAX},
                                        .only_deciding = true};
    return read_runs(&past->query); /* later ones cover no earlier value */
}

enum db_status db_permit_past_ask(struct db_permit_past *past, int64_t as_of,
                                  struct coil_permit_facts *out)
{
    past->query.asof.at = as_of;
    return read_facts(&past->query, past->heater_id, as_of, out);
}

void db_permit_past_close(struct db_permit_past *past)
{
    if (past != NULL)
        free(past->query.runs);
    free(past);
}

/* ---- a pool's history ---- */

/* What a dose's effect and a pool's fit depend on. Total chlorine before free: it may
 * contradict it. */
static const enum coil_quantity told[] = {
    COIL_TOTAL_CHLORINE, COIL_PH, COIL_FREE_CHLORINE,    COIL_CYANURIC_ACID, COIL_TOTAL_ALKALINITY,
    COIL_WATER_TEMP, COIL_CALCIUM_HARDNESS, COIL_SALT,        COIL_BORATE};
#define TOLD_COUNT (sizeof told / sizeof told[0])

static sqlite3_stmt *prepare_told(const struct permit_query *query)
{
    char columns[TOLD_COUNT * (VALUE_COLUMN_SIZE + 4)] = "";
    char any[sizeof columns + TOLD_COUNT * 20] = "";
    sqlite3_stmt *stmt;

    for (size_t i = 0; i < TOLD_COUNT; i++) {
        char column[VALUE_COLUMN_SIZE];

        db_value_column(told[i], column, sizeof column);
        snprintf(columns + strlen(columns), sizeof columns - strlen(columns), ", f.%s",
                 column);
        snprintf(any + strlen(any), sizeof any - strlen(any), "%sf.%s IS NOT NULL",
                 i == 0 ? "" : " OR ", column);
    }
    stmt = db_prepare_format(query->db,
                             "SELECT f.measured_at, f.method, f.details%s FROM reading f"
                             " WHERE f.water_id = ?1 AND f.measured_at <= ?3 AND"
                             " f.recorded_at <= ?2 AND (%s) AND" FACT_CURRENT
                             " ORDER BY f.measured_at, f.id",
                             columns, any, "reading");
    db_bind(stmt, 1, query->water_id, query->asof.known_at, query->asof.at);
    return stmt;
}

/* The values of one row; false when the caller wants no more. */
static bool give_row(sqlite3_stmt *stmt,
                     bool (*take)(void *context, int64_t at, const struct db_value *),
                     void *context)
{
    for (size_t i = 0; i < TOLD_COUNT; i++) {
        struct db_value value = {.quantity = told[i]};

        if (sqlite3_column_type(stmt, 3 + (int)i) == SQLITE_NULL)
            continue;
        value.amount_e6 = sqlite3_column_int64(stmt, 3 + (int)i);
        db_details_read((enum coil_method)sqlite3_column_int(stmt, 1),
                        (const char *)sqlite3_column_text(stmt, 2), &value);
        if (!take(context, sqlite3_column_int64(stmt, 0), &value))
            return false;
    }
    return true;
}

static enum db_status each_value(struct permit_query *query,
                                 bool (*take)(void *context, int64_t at,
                                              const struct db_value *value),
                                 void *context)
{
    sqlite3_stmt *stmt = prepare_told(query);
    enum db_status status;

    while (db_step_row(query->db, stmt, &status)) {
        int64_t at = sqlite3_column_int64(stmt, 0);
        bool is_probe = sqlite3_column_int(stmt, 1) == COIL_METHOD_PROBE;

        if (is_probe)
            status = read_runs(query);
        if (status != DB_OK ||
            ((!is_probe || pump_ran(query, at, at)) && !give_row(stmt, take, context)))
            break;
    }
    db_done(stmt);
    return status;
}

enum db_status db_pool_history(struct db *db, int64_t water_id, int64_t as_of,
                               bool by_recorded, const struct db_pool_taker *taker)
{
    struct permit_query query = {.db = db, .water_id = water_id};
    struct db_scope scope;
    struct db_dose dose;
    enum db_status status = db_scope_read(db, &scope);

    query.asof.at = by_recorded ? DB_TIME_MAX : as_of;
    query.asof.known_at = by_recorded ? as_of : DB_TIME_MAX;
    if (status == DB_OK) {
        status = each_value(&query, taker->value, taker->context);
        if (status == DB_OK)
            status = db_fact_each(db, &db_dose_table, water_id, query.asof, taker->dose,
                                  &dose, taker->context);
        status = db_scope_end(&scope, status);
    }
    free(query.runs);
    return status;
}

enum db_status db_heater_history(struct db *db, int64_t heater_id, int64_t water_id,
                                 int64_t as_of, bool by_recorded,
                                 const struct db_heater_taker *taker)
{
    const struct db_asof asof = {by_recorded ? DB_TIME_MAX : as_of,
                                 by_recorded ? as_of : DB_TIME_MAX};
    struct db_heater_state state;
    struct db_run run;
    struct db_scope scope;
    enum db_status status = db_scope_read(db, &scope);

    if (status != DB_OK)
        return status;
    status = db_fact_each(db, &db_heater_state_table, heater_id, asof, taker->state,
                          &state, taker->context);
    if (status == DB_OK)
        status = db_fact_each(db, &db_run_table, water_id, asof, taker->run, &run,
                              taker->context);
    return db_scope_end(&scope, status);
}
