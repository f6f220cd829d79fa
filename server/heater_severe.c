/* Severe events of a heater, as the permit needs them: looked for only around tests and
 * doses of acid, since the whole course for every permit would take too long. */
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "heater_exposure.h"
#include "pool_facts.h"

#define WINDOW_MAX_S (14 * 86400)
#define ACID_DOSE_PH (-0.5) /* a dose that turns pH so far may make acid water of good */
#define WINDOWS_MAX 200     /* the newest ones */
#define SEVERE_MAX 32       /* parts of one heater; the newest ones */
#define EVENTS_MAX 64       /* of one window */

struct severe {
    int64_t until_s, known_s; /* tests show it from then on */
};

struct severe_list {
    struct severe items[SEVERE_MAX];
    size_t count;
};

struct window {
    int64_t from_s, until_s;
};

struct windows {
    struct window items[WINDOWS_MAX];
    size_t count;
};

/* ---- where to look ---- */

static void add_window(struct windows *w, int64_t from_s, int64_t until_s)
{
    struct window *last = w->count > 0 ? &w->items[w->count - 1] : NULL;

    if (last != NULL && from_s <= last->until_s + HEATER_EXPOSURE_STEP_S) {
        last->until_s = until_s > last->until_s ? until_s : last->until_s;
        return;
    }
    if (w->count == WINDOWS_MAX)
        memmove(&w->items[0], &w->items[1], --w->count * sizeof w->items[0]);
    w->items[w->count++] = (struct window){from_s, until_s};
}

static double highest_wall(const struct heater_past *past)
{
    double highest = -INFINITY;

    for (size_t i = 0; i < past->limit_count; i++)
        highest = fmax(highest, past->limits[i].ph_low);
    return highest;
}

/* From the pH test before an acid one (or an acid dose) to the first good one after it:
 * between these the course may be acid. */
static void find_windows(const struct pool_facts *facts, double wall, int64_t since_s,
                         struct windows *out)
{
    int64_t ph_at_s = since_s, acid_from_s = 0, acid_at_s = 0;
    bool is_acid = false;

    for (size_t i = 0; i < facts->count; i++) {
        const struct coil_pool_fact *fact = &facts->facts[i];
        bool is_ph = fact->kind == COIL_FACT_PH && !fact->is_doubtful;
        bool is_bad = is_ph ? fact->value < wall
                            : fact->kind == COIL_FACT_DOSE_PH &&
                                  fact->value <= ACID_DOSE_PH;

        if (fact->at_s < since_s || (!is_ph && !is_bad))
            continue;
        if (is_bad && !is_acid)
            acid_from_s = fact->at_s - ph_at_s > WINDOW_MAX_S
                              ? fact->at_s - WINDOW_MAX_S
                              : ph_at_s;
        acid_at_s = is_bad ? fact->at_s : acid_at_s;
        if (!is_bad && is_acid)
            add_window(out, acid_from_s,
                       fact->at_s < acid_at_s + WINDOW_MAX_S
                           ? fact->at_s
                           : acid_at_s + WINDOW_MAX_S);
        is_acid = is_bad;
        ph_at_s = is_ph ? fact->at_s : ph_at_s;
    }
    if (is_acid)
        add_window(out, acid_from_s, acid_at_s + WINDOW_MAX_S);
}

/* ---- what happened there ---- */

/* First test of a kind at or after an instant; INT64_MAX for none. */
static int64_t tested_after(const struct pool_facts *facts, enum coil_pool_fact_kind kind,
                            double from_s)
{
    for (size_t i = 0; i < facts->count; i++)
        if (facts->facts[i].kind == kind && !facts->facts[i].is_doubtful &&
            (double)facts->facts[i].at_s >= from_s)
            return facts->facts[i].at_s;
    return INT64_MAX;
}

static void add_severe(const struct pool_facts *facts,
                       const struct coil_exposure_event *event, struct severe_list *out)
{
    int64_t ph = tested_after(facts, COIL_FACT_PH, event->severe_from_s);
    int64_t chlorine = tested_after(facts, COIL_FACT_FREE_CHLORINE, event->severe_from_s);

    if (!event->is_severe || ph == INT64_MAX || chlorine == INT64_MAX)
        return;
    if (out->count == SEVERE_MAX)
        memmove(&out->items[0], &out->items[1], --out->count * sizeof out->items[0]);
    out->items[out->count++] = (struct severe){(int64_t)event->severe_until_s,
                                               ph > chlorine ? ph : chlorine};
}

static size_t steps_of(const struct window *window)
{
    return (size_t)((window->until_s - window->from_s) / HEATER_EXPOSURE_STEP_S) + 2;
}

/* One course over all windows, then the sum of each by itself. */
static bool sum_windows(const struct pool_facts *facts, const struct heater_past *past,
                        const struct windows *windows, double *times_s,
                        struct coil_forecast_point *points, struct severe_list *out)
{
    size_t count = 0, first = 0;

    for (size_t i = 0; i < windows->count; i++)
        for (size_t k = 0; k < steps_of(&windows->items[i]); k++)
            times_s[count++] = (double)(windows->items[i].from_s +
                                        (int64_t)k * HEATER_EXPOSURE_STEP_S);
    for (size_t i = 1; i < count; i++) /* windows that nearly touch */
        times_s[i] = fmax(times_s[i], times_s[i - 1]);
    if (coil_forecast_course(&facts->pool, facts->facts, facts->count, times_s, count,
                             COIL_FORECAST_LEVEL, points) != COIL_OK)
        return false;
    for (size_t i = 0; i < windows->count; i++) {
        struct coil_exposure_event events[EVENTS_MAX];
        struct coil_exposure_total total;
        struct coil_exposure_input in = {.times_s = times_s + first,
                                         .points = points + first,
                                         .count = steps_of(&windows->items[i])};

        heater_past_put(past, &in);
        first += in.count;
        if (coil_exposure_sum(&in, events, EVENTS_MAX, &total) != COIL_OK)
            return false;
        for (size_t k = 0; k < total.event_count && k < EVENTS_MAX; k++)
            add_severe(facts, &events[k], out);
    }
    return true;
}

static enum db_status find_severe(const struct pool_facts *facts,
                                  const struct heater_past *past, int64_t as_of,
                                  struct severe_list *out)
{
    struct windows windows = {.count = 0};
    struct coil_forecast_point *points = NULL;
    double *times_s = NULL;
    size_t count = 0;
    enum db_status status = DB_FAILED;

    out->count = 0;
    find_windows(facts, highest_wall(past), as_of - HEATER_SEVERE_LOOK_BACK_S, &windows);
    if (windows.count == 0)
        return DB_OK;
    for (size_t i = 0; i < windows.count; i++)
        count += steps_of(&windows.items[i]);
    times_s = malloc(count * sizeof *times_s);
    points = malloc(count * sizeof *points);
    if (times_s != NULL && points != NULL &&
        sum_windows(facts, past, &windows, times_s, points, out))
        status = DB_OK;
    free(times_s);
    free(points);
    return status;
}

/* ---- kept ---- */

struct kept {
    uint64_t run_id, changes;
    int64_t heater_id, water_id; /* 0: empty */
    struct severe_list list;
};

#define KEPT_COUNT 4

static struct kept kept[KEPT_COUNT];
static size_t next_kept;
static pthread_mutex_t kept_lock = PTHREAD_MUTEX_INITIALIZER;

static bool find_kept(struct kept *wanted)
{
    bool is_found = false;

    pthread_mutex_lock(&kept_lock);
    for (size_t i = 0; i < KEPT_COUNT && !is_found; i++) {
        is_found = kept[i].run_id == wanted->run_id &&
                   kept[i].changes == wanted->changes &&
                   kept[i].heater_id == wanted->heater_id &&
                   kept[i].water_id == wanted->water_id;
        if (is_found)
            wanted->list = kept[i].list;
    }
    pthread_mutex_unlock(&kept_lock);
    return is_found;
}

static void keep(const struct kept *found)
{
    pthread_mutex_lock(&kept_lock);
    kept[next_kept] = *found;
    next_kept = (next_kept + 1) % KEPT_COUNT;
    pthread_mutex_unlock(&kept_lock);
}

/* by_recorded: what was known at as_of; else all that is known now. */
static enum db_status compute(struct app *app, struct db *db, int64_t as_of,
                              bool by_recorded, struct kept *k)
{
    struct pool_facts facts = {0};
    struct heater_past past = {0};
    int64_t at = by_recorded ? as_of : clock_wall_s(&app->clock);
    enum db_status status =
        heater_past_read(db, k->heater_id, k->water_id, at, by_recorded, &past);

    if (status == DB_OK)
        status = by_recorded ? pool_facts_read(db, k->water_id, at, true, &facts)
                             : pool_facts_copy(app, db, k->water_id, &facts);
    if (status == DB_OK)
        status = find_severe(&facts, &past, at, &k->list);
    pool_facts_finish(&facts);
    heater_past_finish(&past);
    return status;
}

enum db_status heater_exposure_severe(struct app *app, struct db *db, int64_t heater_id,
                                      int64_t water_id, int64_t as_of, bool by_recorded,
                                      int64_t *out_until)
{
    struct kept k = {.run_id = app->run_id,
                     .changes = atomic_load(&app->changes),
                     .heater_id = heater_id,
                     .water_id = water_id};
    enum db_status status = DB_OK;

    *out_until = 0;
    if (by_recorded || !find_kept(&k)) {
        status = compute(app, db, as_of, by_recorded, &k);
        if (status == DB_OK && !by_recorded)
            keep(&k);
    }
    for (size_t i = 0; status == DB_OK && i < k.list.count; i++)
        if ((by_recorded || k.list.items[i].known_s <= as_of) &&
            k.list.items[i].until_s > *out_until)
            *out_until = k.list.items[i].until_s;
    return status;
}
