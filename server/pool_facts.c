#include "pool_facts.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "decimal.h"
#include "lib/breakpoint.h"
#include "lib/composition.h"
#include "lib/dose_product.h"

/* A probe repeats to a hundredth and is off by tenths between two calibrations (common
 * practice, no source). Taken for what it repeats to, and each time it speaks, it would
 * make the fit believe that everybody tests so well. */
#define PROBE_EVERY_S 86400
#define PROBE_PH_STEP 0.2
/* Alkalinity of a pool where nobody tested it, for what chlorine itself does to pH only;
 * common practice, no source. */
#define ALKALINITY_USUAL 100.0

struct value_at {
    int64_t at;
    struct db_value value;
};

struct builder {
    struct db *db;
    int64_t water_id;
    struct value_at *values;
    size_t value_count, value_capacity;
    struct db_dose *doses;
    size_t dose_count, dose_capacity;
    struct coil_pool_fact *facts;
    size_t fact_count;
    int64_t probe_at[COIL_QUANTITY_COUNT];
    struct db_water water; /* as of the last dose */
    /* newest so far; NaN: not tested */
    double newest[COIL_QUANTITY_COUNT];
    int64_t strong_at, chlorine_at, total_at;
    double total_step; /* of the newest total chlorine */
    bool is_strong; /* by the last free chlorine */
    bool is_out_of_memory;
};

/* ---- gathering ---- */

static void *grown(struct builder *b, void *items, size_t count, size_t *capacity,
                   size_t size)
{
    void *more;

    if (count < *capacity)
        return items;
    more = realloc(items, (*capacity * 2 + 256) * size);
    b->is_out_of_memory = b->is_out_of_memory || more == NULL;
    if (more == NULL)
        return NULL;
    *capacity = *capacity * 2 + 256;
    return more;
}

static bool take_value(void *context, int64_t at, const struct db_value *value)
{
    struct builder *b = context;
    struct value_at *values;

    if (value->method == COIL_METHOD_PROBE) {
        if (at - b->probe_at[value->quantity] < PROBE_EVERY_S)
            return true;
        b->probe_at[value->quantity] = at;
    }
    values = grown(b, b->values, b->value_count, &b->value_capacity, sizeof *values);
    if (values == NULL)
        return false;
    b->values = values;
    b->values[b->value_count++] = (struct value_at){at, *value};
    return true;
}

static bool take_dose(void *context, const void *dose)
{
    struct builder *b = context;
    struct db_dose *doses =
        grown(b, b->doses, b->dose_count, &b->dose_capacity, sizeof *doses);

    if (doses == NULL)
        return false;
    b->doses = doses;
    b->doses[b->dose_count++] = *(const struct db_dose *)dose;
    return true;
}

/* ---- readings ---- */

static bool soon_after(int64_t at, int64_t earlier)
{
    return earlier != 0 && at - earlier <= COIL_INTERFERENCE_S;
}

/* Bleached, upset or off its scale: the permit's own measure, see lib/permit.c. */
static bool is_doubtful(const struct builder *b, int64_t at,
                        const struct db_value *value, double amount, double step)
{
    bool is_colour = coil_method_is_indicator(value->method);

    if (value->over_range)
        return true;
    if (value->quantity == COIL_PH)
        return is_colour && b->is_strong && soon_after(at, b->chlorine_at);
    if (value->quantity != COIL_FREE_CHLORINE)
        return false;
    if (at == b->total_at && coil_free_exceeds_total(amount, step,
                                                     b->newest[COIL_TOTAL_CHLORINE],
                                                     b->total_step))
        return true;
    return is_colour && !value->diluted && amount < fmax(0.5, step) &&
           soon_after(at, b->strong_at);
}

static void note_chlorine(struct builder *b, int64_t at, double amount, bool is_doubted)
{
    if (amount > COIL_INTERFERENCE_MG_PER_L)
        b->strong_at = at;
    if (is_doubted && amount < COIL_INTERFERENCE_MG_PER_L)
        return;
    b->is_strong = amount > COIL_INTERFERENCE_MG_PER_L;
    b->chlorine_at = at;
}

static bool kind_of(enum coil_quantity quantity, enum coil_pool_fact_kind *out)
{
    switch (quantity) {
    case COIL_PH:
        *out = COIL_FACT_PH;
        return true;
    case COIL_FREE_CHLORINE:
        *out = COIL_FACT_FREE_CHLORINE;
        return true;
    case COIL_CYANURIC_ACID:
        *out = COIL_FACT_CYANURIC_ACID;
        return true;
    case COIL_WATER_TEMP:
        *out = COIL_FACT_WATER_TEMP;
        return true;
    default:
        return false;
    }
}

static void put(struct builder *b, struct coil_pool_fact fact)
{
    b->facts[b->fact_count++] = fact;
}

static void put_value(struct builder *b, const struct value_at *v)
{
    double amount = decimal_to_double(v->value.amount_e6);
    double step = db_value_step(&v->value);
    bool is_doubted;
    enum coil_pool_fact_kind kind;

    if (v->value.method == COIL_METHOD_PROBE && v->value.quantity == COIL_PH)
        step = fmax(step, PROBE_PH_STEP);
    is_doubted = is_doubtful(b, v->at, &v->value, amount, step);
    if (kind_of(v->value.quantity, &kind))
        put(b, (struct coil_pool_fact){v->at, kind, amount, step, is_doubted});
    if (v->value.quantity == COIL_FREE_CHLORINE)
        note_chlorine(b, v->at, amount, is_doubted);
    if (!is_doubted)
        b->newest[v->value.quantity] = amount;
    if (v->value.quantity == COIL_TOTAL_CHLORINE && !is_doubted) {
        b->total_at = v->at;
        b->total_step = step;
    }
}

/* ---- doses ---- */

static double known_or(double value, double otherwise)
{
    return isnan(value) ? otherwise : value;
}

/* Chlorine that a dose brings or takes; NaN: cannot be told. */
static double chlorine_of(const struct db_dose *dose, double strength_percent,
                          double volume_m3)
{
    struct coil_neutraliser_need need;
    double mg_per_l;

    if (dose->product == COIL_OTHER_PRODUCT || !(volume_m3 > 0))
        return NAN;
    if (dose->product == COIL_SODIUM_THIOSULFATE ||
        dose->product == COIL_SODIUM_SULFITE) {
        if (coil_neutraliser_need(dose->product == COIL_SODIUM_SULFITE
                                      ? COIL_NEUTRALISER_SULFITE
                                      : COIL_NEUTRALISER_THIOSULFATE_5H2O,
                                  &need) != COIL_OK)
            return NAN;
        return -decimal_to_double(dose->amount_e6) * strength_percent / 100.0 /
               need.field / volume_m3;
    }
    if (coil_product_chlorine_rise(dose->product, decimal_to_double(dose->amount_e6),
                                   strength_percent, volume_m3, &mg_per_l) < 0)
        return NAN;
    return mg_per_l;
}

/* What stays of a dose in pH once its chlorine is spent: what the chlorine does to pH
 * meanwhile is gone before the next wall can be touched. NaN: cannot be told. */
static double ph_of(const struct builder *b, const struct db_dose *dose,
                    double strength_percent, double volume_m3, bool is_chlorine)
{
    const struct coil_composition c = {
        .ph = known_or(b->newest[COIL_PH], 7.5),
        .total_alkalinity_mg_per_l_caco3 =
            known_or(b->newest[COIL_TOTAL_ALKALINITY],
                     is_chlorine ? ALKALINITY_USUAL : (double)NAN),
        .calcium_hardness_mg_per_l_caco3 =
            known_or(b->newest[COIL_CALCIUM_HARDNESS], 200),
        .salt_mg_per_l_nacl = known_or(b->newest[COIL_SALT], 0),
        .borate_mg_per_l_b = known_or(b->newest[COIL_BORATE], 0),
        .cyanuric_acid_mg_per_l = known_or(b->newest[COIL_CYANURIC_ACID], 0),
        .water_temp_c = known_or(b->newest[COIL_WATER_TEMP], 25),
    };
    struct coil_constants constants;
    struct coil_totals totals;
    struct coil_equilibrium before, after;
    struct coil_closed_water water;
    struct coil_dose parts;

    if (coil_water_from_composition(&c, COIL_CYANURATE_WAHMAN_2019, &constants, &totals,
                                    &before, NULL) < 0 ||
        coil_dose_from_product(dose->product, decimal_to_double(dose->amount_e6),
                               strength_percent, volume_m3, &parts) < 0)
        return NAN;
    coil_closed_from_equilibrium(&totals, &before, &water);
    if (coil_dose_apply(&water, &parts, &water) < 0 ||
        coil_chlorine_spend(&water, 1.0, &water) < 0 ||
        coil_closed_solve(&constants, &water, &after) < 0)
        return NAN;
    return after.ph - before.ph;
}

static bool moves_ph(enum coil_product product)
{
    return product != COIL_SODIUM_CHLORIDE && product != COIL_CALCIUM_CHLORIDE &&
           product != COIL_SODIUM_THIOSULFATE && product != COIL_SODIUM_SULFITE &&
           product != COIL_BROMINE_TABLETS;
}

static void put_dose(struct builder *b, const struct db_dose *dose)
{
    const struct coil_product_info *info = coil_product_info(dose->product);
    double volume_m3 = decimal_to_double(b->water.volume_m3_e6);
    double strength = decimal_to_double(dose->strength_e6), chlorine, ph = 0;
    bool is_chlorine = info != NULL && info->is_chlorine;

    if (dose->strength_e6 == 0 && info != NULL)
        strength = info->strength_percent;
    chlorine = chlorine_of(dose, strength, volume_m3);
    if (moves_ph(dose->product))
        ph = volume_m3 > 0 ? ph_of(b, dose, strength, volume_m3, is_chlorine)
                           : (double)NAN;
    if (is_chlorine || dose->product == COIL_OTHER_PRODUCT || chlorine < 0 ||
        (isnan(chlorine) && (dose->product == COIL_SODIUM_THIOSULFATE ||
                             dose->product == COIL_SODIUM_SULFITE)))
        put(b, (struct coil_pool_fact){.at_s = dose->fact.at,
                                       .kind = COIL_FACT_DOSE_CHLORINE,
                                       .value = chlorine});
    if (moves_ph(dose->product))
        put(b, (struct coil_pool_fact){
                   .at_s = dose->fact.at, .kind = COIL_FACT_DOSE_PH, .value = ph});
    if (dose->super_chlorination ||
        (is_chlorine && chlorine >= COIL_INTERFERENCE_MG_PER_L))
        b->strong_at = dose->fact.at;
}

/* Trichlor, dichlor and the stabiliser itself. */
static void put_cyanuric(struct builder *b, const struct db_dose *dose)
{
    double volume_m3 = decimal_to_double(b->water.volume_m3_e6);
    double strength = decimal_to_double(dose->strength_e6), rise = 0;
    const struct coil_product_info *info = coil_product_info(dose->product);
    struct coil_dose parts;

    if (dose->product != COIL_TRICHLOR && dose->product != COIL_DICHLOR &&
        dose->product != COIL_CYANURIC_ACID_PRODUCT)
        return;
    if (dose->strength_e6 == 0 && info != NULL)
        strength = info->strength_percent;
    if (!(volume_m3 > 0) ||
        coil_dose_from_product(dose->product, decimal_to_double(dose->amount_e6),
                               strength, volume_m3, &parts) < 0)
        return;
    for (int i = 0; i < parts.count; i++)
        rise += parts.parts[i].mol_per_kg * 1000.0 *
                coil_reagent_g_per_mol(COIL_REAGENT_CYANURIC_ACID);
    put(b, (struct coil_pool_fact){.at_s = dose->fact.at,
                                   .kind = COIL_FACT_DOSE_CYANURIC,
                                   .value = rise});
    b->newest[COIL_CYANURIC_ACID] = known_or(b->newest[COIL_CYANURIC_ACID], 0) + rise;
}

/* ---- together ---- */

/* Both in order; at one instant readings come first: people test, then dose. */
static enum db_status merge(struct builder *b)
{
    size_t v = 0, d = 0;
    int64_t water_at = INT64_MIN;
    enum db_status status = DB_OK;

    for (int i = 0; i < COIL_QUANTITY_COUNT; i++)
        b->newest[i] = NAN;
    b->facts =
        malloc((b->value_count + 3 * b->dose_count + 1) * sizeof b->facts[0]);
    if (b->facts == NULL)
        return DB_FAILED;
    while (status == DB_OK && (v < b->value_count || d < b->dose_count)) {
        if (d == b->dose_count ||
            (v < b->value_count && b->values[v].at <= b->doses[d].fact.at)) {
            put_value(b, &b->values[v++]);
            continue;
        }
        if (b->doses[d].fact.at != water_at) {
            water_at = b->doses[d].fact.at;
            status = db_water_get_at(b->db, b->water_id, water_at, &b->water);
        }
        put_dose(b, &b->doses[d]);
        put_cyanuric(b, &b->doses[d++]);
    }
    return status;
}

/* Of the light by day, through a cover that is on. From memory, for a bubble cover;
 * swimming and gaps, for the others. The pool's own sun scale takes the rest. */
#define PASSES_BUBBLE 0.4
#define PASSES_OTHER 0.1

static void take_light(const struct db_water *water, struct coil_fit_pool *out)
{
    struct coil_loss_light *light = &out->place.light;

    light->shade_fraction = water->shade_percent / 100.0;
    light->cloud_fraction = water->cloud_percent / 100.0;
    light->cover_pass_fraction = 1;
    light->depth_m = NAN;
    light->uv_attenuation_per_m = COIL_UV_ATTENUATION_PER_M;
    if (water->cover == DB_COVER_NONE)
        return;
    out->cover_is_guessed = water->cover_use != DB_COVER_AT_NIGHT;
    if (water->cover_use == DB_COVER_BY_DAY)
        light->cover_pass_fraction =
            water->cover == DB_COVER_BUBBLE ? PASSES_BUBBLE : PASSES_OTHER;
}

static void take_pool(const struct db_site *site, const struct db_water *water,
                      struct coil_fit_pool *out)
{
    double volume_m3 = decimal_to_double(water->volume_m3_e6);
    double surface_m2 = decimal_to_double(water->surface_m2_e6);

    memset(out, 0, sizeof *out); /* also between members: pools are compared whole */
    take_light(water, out);
    out->has_place = site->has_place;
    out->is_indoor = water->indoor;
    out->no_cyanuric_acid = water->no_cyanuric_acid;
    out->is_fed = water->sanitiser == COIL_SALT_CHLORINE;
    out->usual_temp_c = NAN;
    if (site->has_place) {
        out->place.lat_deg = decimal_to_double(site->latitude_e6);
        out->place.lon_deg_east = decimal_to_double(site->longitude_e6);
    }
    if (water->depth_m_e6 > 0)
        out->place.light.depth_m = decimal_to_double(water->depth_m_e6);
    else if (volume_m3 > 0 && surface_m2 > 0 && volume_m3 / surface_m2 <= 20)
        out->place.light.depth_m = volume_m3 / surface_m2;
}

static enum db_status read_pool(struct db *db, int64_t water_id, int64_t as_of,
                                struct coil_fit_pool *out)
{
    struct db_site site;
    struct db_water water;
    enum db_status status = db_site_get(db, &site);

    if (status == DB_OK)
        status = db_water_get_at(db, water_id, as_of, &water);
    if (status == DB_OK)
        take_pool(&site, &water, out);
    return status;
}

enum db_status pool_facts_read(struct db *db, int64_t water_id, int64_t as_of,
                               bool by_recorded, struct pool_facts *out)
{
    struct builder b = {.db = db, .water_id = water_id};
    const struct db_pool_taker taker = {&b, take_value, take_dose};
    enum db_status status = read_pool(db, water_id, as_of, &out->pool);

    for (int i = 0; i < COIL_QUANTITY_COUNT; i++)
        b.probe_at[i] = INT64_MIN / 2;
    if (status == DB_OK)
        status = db_pool_history(db, water_id, as_of, by_recorded, &taker);
    if (status == DB_OK)
        status = b.is_out_of_memory ? DB_FAILED : merge(&b);
    free(b.values);
    free(b.doses);
    if (status != DB_OK) {
        free(b.facts);
        return status;
    }
    out->facts = b.facts;
    out->count = b.fact_count;
    return DB_OK;
}

void pool_facts_finish(struct pool_facts *facts)
{
    free(facts->facts);
    *facts = (struct pool_facts){0};
}

/* ---- kept ---- */

/* One water's facts and how far the fit has come. */
struct kept {
    uint64_t run_id, changes;
    int64_t water_id; /* 0: empty */
    struct pool_facts facts;
    struct coil_fit_pool pool; /* of the fit */
    size_t used;               /* facts in the fit */
    struct coil_fit fit;
    uint64_t last_used;
};

#define KEPT_COUNT 4
#define KEPT_AHEAD_S 200 /* facts may lie a little ahead of the clock */

static struct kept kept[KEPT_COUNT];
static uint64_t uses;
static pthread_mutex_t kept_lock = PTHREAD_MUTEX_INITIALIZER;

static struct kept *find(int64_t water_id)
{
    struct kept *oldest = &kept[0];

    for (size_t i = 0; i < KEPT_COUNT; i++) {
        if (kept[i].water_id == water_id)
            return &kept[i];
        if (kept[i].last_used < oldest->last_used)
            oldest = &kept[i];
    }
    return oldest;
}

static bool is_same_fact(const struct coil_pool_fact *a, const struct coil_pool_fact *b)
{
    return a->at_s == b->at_s && a->kind == b->kind &&
           (a->value == b->value || (isnan(a->value) && isnan(b->value))) &&
           a->resolution == b->resolution && a->is_doubtful == b->is_doubtful;
}

/* Are the facts that the fit holds the first ones of these too? Mostly the change was one
 * more test or dose, now. */
static bool holds_still(const struct kept *k, const struct pool_facts *facts)
{
    if (k->used == SIZE_MAX || k->used > facts->count)
        return false;
    for (size_t i = 0; i < k->used; i++)
        if (!is_same_fact(&k->facts.facts[i], &facts->facts[i]))
            return false;
    return true;
}

static enum db_status refresh(struct app *app, struct db *db, struct kept *k,
                              int64_t water_id)
{
    uint64_t changes = atomic_load(&app->changes);
    struct pool_facts facts = {0};
    enum db_status status;

    if (k->water_id == water_id && k->changes == changes && k->run_id == app->run_id)
        return DB_OK;
    status = pool_facts_read(db, water_id, clock_wall_s(&app->clock) + KEPT_AHEAD_S,
                             false, &facts);
    if (status != DB_OK)
        return status;
    if (k->water_id != water_id || k->run_id != app->run_id || !holds_still(k, &facts))
        k->used = SIZE_MAX;
    pool_facts_finish(&k->facts);
    k->run_id = app->run_id;
    k->changes = changes;
    k->water_id = water_id;
    k->facts = facts;
    return DB_OK;
}

/* Adds the facts up to as_of; from the start when the fit is past it. */
static void come_to(struct kept *k, const struct coil_fit_pool *pool, int64_t as_of)
{
    if (k->used == SIZE_MAX || memcmp(&k->pool, pool, sizeof *pool) != 0 ||
        (k->used > 0 && k->facts.facts[k->used - 1].at_s > as_of)) {
        memcpy(&k->pool, pool, sizeof *pool);
        k->used = 0;
        if (coil_fit_init(&k->fit, pool) != COIL_OK) { /* a depth that cannot be */
            struct coil_fit_pool other = *pool;

            other.place.light.depth_m = NAN;
            coil_fit_init(&k->fit, &other);
        }
    }
    for (; k->used < k->facts.count && k->facts.facts[k->used].at_s <= as_of; k->used++)
        coil_fit_add(&k->fit, &k->facts.facts[k->used]); /* refused: left out */
}

static enum db_status fit_recorded(struct db *db, int64_t water_id, int64_t as_of,
                                   struct coil_fit *out)
{
    struct pool_facts facts = {0};
    enum db_status status = pool_facts_read(db, water_id, as_of, true, &facts);

    if (status == DB_OK && coil_fit_init(out, &facts.pool) != COIL_OK) {
        facts.pool.place.light.depth_m = NAN;
        coil_fit_init(out, &facts.pool);
    }
    if (status == DB_OK)
        coil_fit_add_all(out, facts.facts, facts.count, NULL);
    pool_facts_finish(&facts);
    return status;
}

enum db_status pool_fit(struct app *app, struct db *db, int64_t water_id, int64_t as_of,
                        bool by_recorded, struct coil_fit *out)
{
    struct coil_fit_pool pool;
    struct kept *k;
    enum db_status status;

    if (by_recorded)
        return fit_recorded(db, water_id, as_of, out);
    memset(&pool, 0, sizeof pool);
    status = read_pool(db, water_id, as_of, &pool);
    if (status != DB_OK)
        return status;
    pthread_mutex_lock(&kept_lock);
    k = find(water_id);
    status = refresh(app, db, k, water_id);
    if (status == DB_OK) {
        come_to(k, &pool, as_of);
        k->last_used = ++uses;
        *out = k->fit;
    }
    pthread_mutex_unlock(&kept_lock);
    return status;
}

enum db_status pool_facts_copy(struct app *app, struct db *db, int64_t water_id,
                               struct pool_facts *out)
{
    struct kept *k;
    size_t size;
    enum db_status status;

    *out = (struct pool_facts){0};
    pthread_mutex_lock(&kept_lock);
    k = find(water_id);
    status = refresh(app, db, k, water_id);
    if (status == DB_OK) {
        size = k->facts.count * sizeof *out->facts;
        out->pool = k->facts.pool;
        out->count = k->facts.count;
        out->facts = malloc(size + 1); /* none at all is no failure */
        k->last_used = ++uses;
        if (out->facts != NULL && size > 0)
            memcpy(out->facts, k->facts.facts, size);
        status = out->facts != NULL ? DB_OK : DB_FAILED;
    }
    pthread_mutex_unlock(&kept_lock);
    return status;
}
