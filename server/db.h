/*
 * The store: facts in one SQLite file, append-only with superseding corrections.
 *
 * One struct db is one connection, used by one thread at a time. The daemon has a
 * reading one and a writing one. Only db*.c know SQLite; its error texts are logged
 * there, once.
 */
#ifndef DB_H
#define DB_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lib/heat.h"
#include "lib/permit.h"
#include "lib/product.h"
#include "lib/quantity.h"
#include "lib/treatment.h"
#include "lib/warmup.h"

struct db;

enum db_status {
    DB_OK,
    DB_NOT_FOUND,
    DB_CONFLICT, /* superseded meanwhile, or a version that is not the newest */
    DB_BUSY,
    DB_FULL,     /* disk full or read-only */
    DB_CORRUPT,  /* no database, damaged */
    DB_NEWER,    /* written by a newer version: left untouched */
    DB_FOREIGN,  /* another program's database: left untouched */
    DB_FAILED
};

enum db_mode { DB_READ_WRITE, DB_READ_ONLY };

/* Opens (creates and migrates in DB_READ_WRITE mode), sets and reads back the
 * connection's settings. path ":memory:" serves tests. Gives a db (db_close releases). */
enum db_status db_open(const char *path, enum db_mode mode, struct db **out_db);
/* Gives the pages and statements that are kept for speed back; they come again when needed. */
void db_release(struct db *db);
void db_close(struct db *db); /* NULL is fine */

enum db_status db_begin(struct db *db); /* BEGIN IMMEDIATE */
enum db_status db_commit(struct db *db);
void db_rollback(struct db *db); /* also when nothing is open */

/* A part of the open transaction that can be undone alone. Dropping gives DB_FAILED when
 * the store undid the whole transaction by itself, as it does on a full disk. */
enum db_status db_part_begin(struct db *db);
enum db_status db_part_keep(struct db *db);
enum db_status db_part_drop(struct db *db);
/* True when one row can be written (for /readyz); leaves nothing behind. */
bool db_is_writable(struct db *db);

/* ---- who ---- */

#define DB_NAME_SIZE 64
#define DB_NOTE_SIZE 512

/* The actor of that name and kind, made when new. */
enum db_status db_actor(struct db *db, const char *name, int64_t *out_actor_id);

/* ---- what all facts share ---- */

struct db_fact {
    int64_t id;
    int64_t at;          /* when it was so, UTC s */
    int64_t recorded_at; /* when we were told, UTC s */
    int64_t actor_id;
    int64_t batch_id;    /* import, 0 for none */
    int64_t supersedes;  /* fact this one replaces, 0 for none */
    int64_t superseded_by; /* 0 while this is the newest word */
    bool withdrawn;      /* this fact says: the superseded one is void */
    char actor[DB_NAME_SIZE];
    char note[DB_NOTE_SIZE];
    char reason[DB_NOTE_SIZE]; /* of a correction or withdrawal */
};

/* Which facts a list wants. */
struct db_window {
    int64_t subject_id; /* water or heater */
    int64_t from, until; /* at in [from, until] */
    int64_t before_at, before_id; /* newest first: facts before this pair; 0, 0: start */
    int limit;
    bool with_history; /* also superseded and withdrawn ones */
};

/* Which facts an export takes, oldest first, page by page. What is entered meanwhile is
 * left out: only facts up to newest_id count, as they stood then. */
struct db_page {
    int64_t subject_id;  /* water or heater */
    int64_t from, until; /* at in [from, until] */
    int64_t after_at, after_id; /* last of the page before; first: from - 1, INT64_MAX */
    int64_t newest_id;
    size_t limit;
};

/* ---- readings ---- */

struct db_value {
    enum coil_quantity quantity;
    int64_t amount_e6;
    int64_t resolution_e6; /* 0: the method's usual one */
    enum coil_method method;
    bool over_range; /* beyond the test's scale: the value is where the scale ended */
    bool diluted;    /* sample diluted and multiplied back */
    bool confirmed;  /* the person confirmed a doubtful value */
    bool day_only;   /* the time of day is not known: its instant is the day's start */
};

double db_value_step(const struct db_value *value); /* in its unit, > 0 */

struct db_reading {
    struct db_fact fact;
    int64_t water_id;
    enum coil_method method; /* of the set; each value has its own, mostly the same */
    size_t value_count;
    struct db_value values[COIL_QUANTITY_COUNT]; /* ascending quantity */
};

/* Its free chlorine when its total chlorine contradicts it (coil_free_exceeds_total);
 * else NULL. Borrowed from the reading. */
struct db_value *db_reading_free_above_total(struct db_reading *reading);

/* Adds (fact.id is filled). With fact.supersedes the old one must be the newest word of
 * its chain, else DB_CONFLICT. Keeps the derived series in step. In a transaction. */
enum db_status db_reading_add(struct db *db, struct db_reading *reading);
enum db_status db_reading_get(struct db *db, int64_t id, struct db_reading *out);
/* Newest first. Fills at most window->limit; out_count says how many. */
enum db_status db_reading_list(struct db *db, const struct db_window *window,
                               struct db_reading *out, size_t *out_count);
/* Oldest first, only current ones; out has room for page->limit. */
enum db_status db_reading_page(struct db *db, const struct db_page *page,
                               struct db_reading *out, size_t *out_count);
enum db_status db_reading_newest_id(struct db *db, int64_t *out_id); /* 0: none */
/* True when a current reading of that water holds the same instant, method and values. */
enum db_status db_reading_exists(struct db *db, const struct db_reading *reading,
                                 bool *out_exists);

/*
 * Many new readings of one water at once, inside the open transaction: what the schema
 * guards with triggers, foreign keys and checks is checked here instead, since between
 * these two calls only db_actor, db_reading_exists and db_reading_add without supersedes
 * may be called. The readings get no fact.id. The end of the transaction ends it too.
 */
enum db_status db_bulk_begin(struct db *db, int64_t water_id);
enum db_status db_bulk_end(struct db *db); /* also when none was begun */

/* ---- doses ---- */

enum db_entry { DB_ENTRY_POOL, DB_ENTRY_SKIMMER, DB_ENTRY_BEFORE_HEATER,
                DB_ENTRY_AFTER_HEATER, DB_ENTRY_COUNT };

struct db_dose {
    struct db_fact fact;
    int64_t water_id;
    enum coil_product product;
    int64_t amount_e6;   /* g, or mL of a liquid */
    int64_t strength_e6; /* percent, see lib/product.h; 0 not known */
    enum db_entry entry;
    bool super_chlorination;
};

enum db_status db_dose_add(struct db *db, struct db_dose *dose);
enum db_status db_dose_get(struct db *db, int64_t id, struct db_dose *out);
enum db_status db_dose_list(struct db *db, const struct db_window *window,
                            struct db_dose *out, size_t *out_count);
enum db_status db_dose_page(struct db *db, const struct db_page *page,
                            struct db_dose *out, size_t *out_count);
enum db_status db_dose_newest_id(struct db *db, int64_t *out_id);

/* ---- run intervals of pump and burner ---- */

enum db_machine { DB_PUMP, DB_BURNER };
enum db_origin { DB_LOGGED, DB_SCHEDULE, DB_INSTRUMENT };

struct db_run {
    struct db_fact fact; /* at = start */
    int64_t water_id;    /* of the pump; for a burner the water it heated */
    int64_t heater_id;   /* burner only, else 0 */
    enum db_machine machine;
    enum db_origin origin;
    int64_t ended_at; /* > fact.at */
};

enum db_status db_run_add(struct db *db, struct db_run *run);
enum db_status db_run_get(struct db *db, int64_t id, struct db_run *out);
enum db_status db_run_list(struct db *db, const struct db_window *window,
                           struct db_run *out, size_t *out_count); /* by water */
enum db_status db_run_page(struct db *db, const struct db_page *page,
                           struct db_run *out, size_t *out_count);
enum db_status db_run_newest_id(struct db *db, int64_t *out_id);

/* ---- heater states ---- */

struct db_heater_state {
    struct db_fact fact;
    int64_t heater_id;
    enum coil_heater_state state;
    int bypass_percent_open; /* 0 closed, 100 fully open, -1 no bypass or not said */
};

enum db_status db_heater_state_add(struct db *db, struct db_heater_state *state);
enum db_status db_heater_state_get(struct db *db, int64_t id,
                                   struct db_heater_state *out);
enum db_status db_heater_state_list(struct db *db, const struct db_window *window,
                                    struct db_heater_state *out, size_t *out_count);
enum db_status db_heater_state_page(struct db *db, const struct db_page *page,
                                    struct db_heater_state *out, size_t *out_count);
enum db_status db_heater_state_newest_id(struct db *db, int64_t *out_id);

/* ---- site, waters, heaters: every change is a new version, old ones stay ---- */

struct db_site {
    int64_t version, at; /* version 0: not set up */
    int64_t actor_id;
    char name[DB_NAME_SIZE];
    bool has_place;
    int64_t latitude_e6, longitude_e6; /* degrees, north and east positive */
    char zone[DB_NAME_SIZE];           /* IANA */
    bool us_units;                     /* gallons, °F; else litres, °C */
    bool ppm;                          /* show ppm for mg/L */
    bool decimal_comma;
};

enum db_lining { DB_LINING_PLASTER, DB_LINING_TILE, DB_LINING_VINYL,
                 DB_LINING_FIBREGLASS, DB_LINING_COUNT };
enum db_cover { DB_COVER_NONE, DB_COVER_BUBBLE, DB_COVER_SOLID, DB_COVER_AUTOMATIC,
                DB_COVER_COUNT };
enum db_fill { DB_FILL_MAINS, DB_FILL_WELL, DB_FILL_RAIN, DB_FILL_SOFTENED,
               DB_FILL_COUNT };
enum db_cover_use { DB_COVER_USE_UNKNOWN, DB_COVER_AT_NIGHT, DB_COVER_BY_DAY };

struct db_water {
    int64_t id, version, at, actor_id;
    char name[DB_NAME_SIZE];
    bool is_spa, indoor, winter_closed, no_cyanuric_acid;
    enum coil_sanitiser sanitiser;
    enum db_lining lining;
    enum db_cover cover;
    enum db_fill fill;
    int64_t volume_m3_e6;  /* 0 not known */
    int64_t surface_m2_e6; /* 0 not known */
    int64_t depth_m_e6;    /* mean; 0 not known */
    int shade_percent;     /* of the light, as usual; 0 none, or not said */
    int cloud_percent;     /* of the sky, likewise */
    enum db_cover_use cover_use; /* without a cover not looked at */
};

enum db_fuel { DB_NATURAL_GAS, DB_PROPANE, DB_HEAT_PUMP, DB_ELECTRIC, DB_FUEL_COUNT };
enum db_metal { DB_METAL_UNKNOWN, DB_COPPER, DB_CUPRONICKEL, DB_STAINLESS, DB_TITANIUM,
                DB_METAL_COUNT };

#define DB_WATERS_MAX 16 /* of one house */
#define DB_HEATER_WATERS_MAX 4

struct db_heater {
    int64_t id, version, at, actor_id;
    char name[DB_NAME_SIZE];
    int64_t water_ids[DB_HEATER_WATERS_MAX]; /* the first is the main one */
    size_t water_count;
    enum db_fuel fuel;
    enum db_metal metal;
    enum coil_bypass bypass;
    int bypass_usual_percent; /* of a bypass normally part open; -1 else */
    int64_t input_w_e6;       /* rated input; 0 not known */
    int64_t efficiency_percent_e6; /* of the input, into the water; 0 not known */
    int64_t flow_m3_per_h_e6;      /* through the exchanger; 0 not known */
    int64_t film_rise_k_e6;        /* wall above outlet water; 0 not known */
    struct coil_limit limits[COIL_LIMIT_COUNT];
};

/* version 0 in the out struct when nothing is set up (DB_OK). */
enum db_status db_site_get(struct db *db, struct db_site *out);
/* site->version is the version it was made from; a newer one in the file: DB_CONFLICT.
 * On success version is the new one. In a transaction. */
enum db_status db_site_put(struct db *db, struct db_site *site);
enum db_status db_water_add(struct db *db, struct db_water *water); /* fills id, version */
enum db_status db_water_put(struct db *db, struct db_water *water);
enum db_status db_water_get(struct db *db, int64_t id, struct db_water *out);
/* The version in force at an instant; before the first one, the first. */
enum db_status db_water_get_at(struct db *db, int64_t id, int64_t at,
                               struct db_water *out);
enum db_status db_water_list(struct db *db, struct db_water *out, size_t max,
                             size_t *out_count);
enum db_status db_heater_add(struct db *db, struct db_heater *heater);
enum db_status db_heater_put(struct db *db, struct db_heater *heater);
enum db_status db_heater_get(struct db *db, int64_t id, struct db_heater *out);
/* Its hot surface above the pool's water, as film.h says; 0: not known. */
double db_heater_surface_rise_k(const struct db_heater *heater);
enum db_status db_heater_get_at(struct db *db, int64_t id, int64_t at,
                                struct db_heater *out);
enum db_status db_heater_list(struct db *db, struct db_heater *out, size_t max,
                              size_t *out_count);
/* All versions of one heater, oldest first (limits over time). */
enum db_status db_heater_versions(struct db *db, int64_t id, struct db_heater *out,
                                  size_t max, size_t *out_count);

/* ---- the shed ---- */

enum db_measure { DB_SCOOP, DB_JUG, DB_SCALE, DB_MEASURE_COUNT };

struct db_shed_item {
    int64_t id, version, at, actor_id;
    char name[DB_NAME_SIZE]; /* "" : the product's own */
    enum coil_product product;
    int64_t strength_e6;    /* percent, see lib/product.h; > 0 */
    int64_t amount_left_e6; /* g, or mL of a liquid */
    int64_t bought_at, opened_at; /* 0 not said */
    bool knows_stored_temp;
    int64_t stored_temp_c_e6;   /* where knows_stored_temp */
    enum db_measure measure;    /* how it is measured out; looked at where size > 0 */
    int64_t measure_size_e6;    /* g or mL of a scoop, a mark of a jug, a step of a
                                   scale; 0 not said */
    bool gone;              /* used up or thrown away: no list holds it */
};

enum db_status db_shed_add(struct db *db, struct db_shed_item *item); /* id, version */
/* As db_water_put: item->version is the one it was made from. */
enum db_status db_shed_put(struct db *db, struct db_shed_item *item);
enum db_status db_shed_get(struct db *db, int64_t id, struct db_shed_item *out);
/* What is there, oldest entry first. */
enum db_status db_shed_list(struct db *db, struct db_shed_item *out, size_t max,
                            size_t *out_count);

/* ---- the fill water of a water ---- */

enum db_fill_name {
    DB_FILL_PH,
    DB_FILL_TOTAL_ALKALINITY,
    DB_FILL_CALCIUM_HARDNESS,
    DB_FILL_CYANURIC_ACID,
    DB_FILL_FREE_CHLORINE,
    DB_FILL_SALT,
    DB_FILL_BORATE,
    DB_FILL_WATER_TEMP,
    DB_FILL_COPPER,
    DB_FILL_IRON,
    DB_FILL_VALUE_COUNT
};

struct db_fill_value {
    bool is_known;
    int64_t value_e6;
};

struct db_fill_water {
    int64_t water_id, version, at, actor_id; /* version 0: never said */
    struct db_fill_value values[DB_FILL_VALUE_COUNT];
};

/* DB_NOT_FOUND: no such water. */
enum db_status db_fill_get(struct db *db, int64_t water_id, struct db_fill_water *out);
/* As db_water_put: fill->version is the one it was made from. */
enum db_status db_fill_put(struct db *db, struct db_fill_water *fill);

/* ---- what is wanted of a water ---- */

struct db_wanted_range {
    bool is_own; /* said, else the default holds */
    bool is_set; /* else nothing is wanted */
    int64_t low_e6, high_e6;
};

/* In the order of struct coil_dose_limits. */
enum db_dose_limit {
    DB_LIMIT_ACID,
    DB_LIMIT_CARBONATE,
    DB_LIMIT_BICARBONATE,
    DB_LIMIT_CALCIUM,
    DB_LIMIT_CHLORINE,
    DB_DOSE_LIMIT_COUNT
};

struct db_wanted {
    int64_t water_id, version, at, actor_id; /* version 0: never said */
    struct db_wanted_range ranges[COIL_AIM_COUNT];
    int64_t limit_e6[DB_DOSE_LIMIT_COUNT]; /* 0: the default holds */
};

/* DB_NOT_FOUND: no such water. */
enum db_status db_wanted_get(struct db *db, int64_t water_id, struct db_wanted *out);
/* As db_water_put: wanted->version is the one it was made from. */
enum db_status db_wanted_put(struct db *db, struct db_wanted *wanted);

/* ---- the line of a heater ---- */

struct db_line {
    int64_t heater_id, version, at, actor_id; /* version 0: never described */
    char *document; /* JSON of the validated line; malloc'd, caller frees; NULL: none */
    struct coil_line_stops stops[COIL_SIDE_COUNT]; /* what it means for the permit */
    struct coil_line_stops risks;
};

/* version 0 in the out struct when there is none (DB_OK). */
enum db_status db_line_get(struct db *db, int64_t heater_id, struct db_line *out);
/* line->version is the one it was made from, as of db_site_put. In a transaction. */
enum db_status db_line_put(struct db *db, struct db_line *line);
/* Versions in force at some time from `from` to `until`, oldest first; each ends where the
 * next begins. Of more than max the newest. Documents are the caller's to free. */
enum db_status db_line_list(struct db *db, int64_t heater_id, int64_t from,
                            int64_t until, struct db_line *out, size_t max,
                            size_t *out_count);
/* Of the version in force at an instant; none before the first one. */
enum db_status db_line_stops_at(struct db *db, int64_t heater_id, int64_t at,
                                struct coil_line_stops out_stops[COIL_SIDE_COUNT],
                                struct coil_line_stops *out_risks);

/* ---- super-chlorinations ---- */

enum db_plan_state {
    DB_PLAN_PLANNED,
    DB_PLAN_HEATER_OFF_LINE,
    DB_PLAN_DOSED,
    DB_PLAN_COMING_DOWN,
    DB_PLAN_CONFIRMED_BACK,
    DB_PLAN_ABANDONED,
    DB_PLAN_STATE_COUNT
};

#define DB_PLAN_EVENTS_MAX 100

struct db_plan_event {
    int64_t at, actor_id;
    enum db_plan_state state; /* after it */
    char step[41];            /* what was ticked; "" for none */
    char note[DB_NOTE_SIZE];
    char actor[DB_NAME_SIZE]; /* when read */
};

struct db_plan {
    int64_t id, heater_id, water_id, at, actor_id;
    char actor[DB_NAME_SIZE];
    int64_t version; /* of the newest event */
    enum db_plan_state state;
    size_t event_count;
    struct db_plan_event events[DB_PLAN_EVENTS_MAX];
};

/* Starts; DB_CONFLICT while another plan of the water runs. Fills id, version, state. */
enum db_status db_plan_add(struct db *db, struct db_plan *plan, const char *proposal);
/* Gives *out_proposal (free releases); it may be NULL. */
enum db_status db_plan_get(struct db *db, int64_t id, struct db_plan *out,
                           char **out_proposal);
/* version: of the newest event that the caller knows, else DB_CONFLICT. */
enum db_status db_plan_event_add(struct db *db, int64_t id, int64_t version,
                                 const struct db_plan_event *event);
/* The plan of a water that runs at an instant; DB_NOT_FOUND: none. out_at may be NULL. */
enum db_status db_plan_running(struct db *db, int64_t water_id, int64_t as_of,
                               int64_t *out_id, int64_t *out_at);
/* Plans of a water that touch a time, newest first. */
enum db_status db_plan_list(struct db *db, int64_t water_id, int64_t from,
                            int64_t until, int64_t *out_ids, size_t max,
                            size_t *out_count);

/* ---- heat: what fuel costs, warm-ups, new meters ---- */

struct db_tariff {
    int64_t heater_id, version, at, actor_id; /* version 0: never said */
    enum coil_fuel_unit unit;
    int64_t price_e6;       /* of a unit, in any currency */
    int64_t mj_per_unit_e6; /* gross heat; 0: the usual one of the unit */
    char currency[9];
};

/* DB_NOT_FOUND: no such heater. */
enum db_status db_tariff_get(struct db *db, int64_t heater_id, struct db_tariff *out);
/* As db_water_put: tariff->version is the one it was made from. */
enum db_status db_tariff_put(struct db *db, struct db_tariff *tariff);

#define DB_NOT_KNOWN INT64_MIN /* of the values below that may be missing */

enum db_warm_up_cover { DB_WARM_UP_OPEN, DB_WARM_UP_BUBBLE, DB_WARM_UP_SOLID };

struct db_warm_up {
    struct db_fact fact; /* at = start */
    int64_t heater_id, water_id;
    int64_t ended_at; /* > fact.at */
    int64_t start_temp_e6, end_temp_e6; /* degC */
    enum coil_fuel_source source;
    enum coil_fuel_unit unit;             /* of the meter */
    int64_t meter_start_e6, meter_end_e6; /* by meter */
    int64_t meter_step_e6;                /* or DB_NOT_KNOWN */
    int64_t mj_per_unit_e6;               /* or DB_NOT_KNOWN: the tariff's, the usual */
    bool is_shared;                       /* other appliances on the meter */
    int64_t shared_percent_e6;            /* of the metered fuel, burnt by them */
    int64_t burner_h_e6;                  /* by burner hours */
    bool probe_in_sun, is_condensing;
    enum db_warm_up_cover cover;
    int64_t air_temp_e6, humidity_percent_e6, wind_e6, cloud_percent_e6; /* or unknown */
};

enum db_status db_warm_up_add(struct db *db, struct db_warm_up *warm_up);
enum db_status db_warm_up_get(struct db *db, int64_t id, struct db_warm_up *out);
enum db_status db_warm_up_list(struct db *db, const struct db_window *window,
                               struct db_warm_up *out, size_t *out_count);
/* Current ones up to now, oldest first, until take says false. */
enum db_status db_warm_up_each(struct db *db, int64_t heater_id, int64_t now,
                               bool (*take)(void *context, const void *warm_up),
                               void *context);

enum db_meter_what { DB_CHANGED_METER, DB_CHANGED_THERMOMETER };

struct db_meter_change {
    struct db_fact fact;
    int64_t heater_id;
    enum db_meter_what what;
};

enum db_status db_meter_change_add(struct db *db, struct db_meter_change *change);
enum db_status db_meter_change_get(struct db *db, int64_t id,
                                   struct db_meter_change *out);
enum db_status db_meter_change_list(struct db *db, const struct db_window *window,
                                    struct db_meter_change *out, size_t *out_count);

/* ---- the permit's facts ---- */

/*
 * Fills everything of *out that the store knows, for what was so at as_of: newest values
 * with their history, doses, heater state, water, limits of that time. Readings by a
 * probe count only while a pump run covers them. by_recorded: facts with recorded_at
 * (not at) <= as_of. out->now_s is set to as_of; the clock members are left alone.
 * DB_NOT_FOUND when heater or water is unknown or the heater does not serve the water.
 */
enum db_status db_permit_facts(struct db *db, int64_t heater_id, int64_t water_id,
                               int64_t as_of, bool by_recorded,
                               struct coil_permit_facts *out);
/*
 * The same for many instants, by when things were so, and only what decides: histories
 * that no more than cautions look at stay empty. Pump runs are those known at opening.
 * Gives a past (db_permit_past_close releases, also after a failure); borrows db.
 */
struct db_permit_past;
enum db_status db_permit_past_open(struct db *db, int64_t heater_id, int64_t water_id,
                                   struct db_permit_past **out);
enum db_status db_permit_past_ask(struct db_permit_past *past, int64_t as_of,
                                  struct coil_permit_facts *out);
void db_permit_past_close(struct db_permit_past *past); /* NULL is fine */
/*
 * A water's values and doses, as of an instant like above, each oldest first: first all
 * values of the quantities that chlorine and pH depend on, then all doses. A take that
 * returns false ends its list.
 */
struct db_pool_taker {
    void *context;
    bool (*value)(void *context, int64_t at, const struct db_value *value);
    bool (*dose)(void *context, const void *dose); /* a struct db_dose */
};
enum db_status db_pool_history(struct db *db, int64_t water_id, int64_t as_of,
                               bool by_recorded, const struct db_pool_taker *taker);
/* The same for what a heater was in: its states, then the runs of the water's pump. */
struct db_heater_taker {
    void *context;
    bool (*state)(void *context, const void *state); /* a struct db_heater_state */
    bool (*run)(void *context, const void *run);     /* a struct db_run */
};
enum db_status db_heater_history(struct db *db, int64_t heater_id, int64_t water_id,
                                 int64_t as_of, bool by_recorded,
                                 const struct db_heater_taker *taker);
/* The site's main pair: the first heater and its first water. */
enum db_status db_main_pair(struct db *db, int64_t *out_heater, int64_t *out_water);
/* The next instant after `after` at which a reading, dose or run of the water, a state of
 * the heater, or a new version of either begins to count; DB_NOT_FOUND: none. */
enum db_status db_permit_next_at(struct db *db, int64_t heater_id, int64_t water_id,
                                 int64_t after, int64_t *out_at);
/* Newest recorded_at of any fact, 0 for none (a clock behind it is wrong). */
enum db_status db_newest_recorded_at(struct db *db, int64_t *out_at);

/* ---- series for plotting ---- */

struct db_series {
    size_t count;
    int64_t *time_s;   /* ascending; true instants of first, lowest, highest, last */
    int64_t *value_e6; /* of each column, at most four points a column */
    int64_t step_s;    /* width of a column */
    int64_t bucket_s;  /* level it was read from: 1 (facts), 600, 7200 or 86400 */
    int64_t facts;     /* measured values in the window */
};

/*
 * One quantity of one water over [from, until] in about `columns` columns. Work grows
 * with columns, not with facts kept. Only current facts (no superseded ones).
 * Gives arrays (db_series_finish releases them).
 */
enum db_status db_series(struct db *db, int64_t water_id, enum coil_quantity quantity,
                         int64_t from, int64_t until, int columns,
                         struct db_series *out);
void db_series_finish(struct db_series *series);
/* First and last instant with any value of that water; 0, 0 for none. */
enum db_status db_series_extent(struct db *db, int64_t water_id, int64_t *out_first,
                                int64_t *out_last);
/* Throws the derived buckets away and makes them anew from the facts. */
enum db_status db_series_rebuild(struct db *db);

/* ---- answers kept for repeated requests; journal; clock ---- */

struct db_answer {
    int status;
    char *body; /* malloc'd, caller frees */
    size_t body_length;
    char etag[80];
    char location[96];
    uint8_t request_hash[32];
};

enum db_status db_answer_get(struct db *db, const char *key, struct db_answer *out);
enum db_status db_answer_put(struct db *db, const char *key, int64_t at,
                             const struct db_answer *answer);
enum db_status db_answer_forget(struct db *db, int64_t older_than);

/* before and after are JSON texts or NULL. */
enum db_status db_journal_add(struct db *db, int64_t at, int64_t actor_id,
                              const char *peer, const char *action, const char *entity,
                              int64_t entity_id, const char *before, const char *after);

/* A jump of the clock stays until a person confirms the time. */
enum db_status db_clock_jump_add(struct db *db, int64_t at, int64_t jump_s);
enum db_status db_clock_confirm(struct db *db, int64_t at, int64_t actor_id);
/* out_jump_s 0 when none is open. */
enum db_status db_clock_open_jump(struct db *db, int64_t *out_at, int64_t *out_jump_s);

/* An import batch; gives its id. */
enum db_status db_batch_add(struct db *db, int64_t at, int64_t actor_id,
                            const char *file_name, int64_t rows, int64_t *out_batch_id);
/* Withdraws every current reading of a batch; what people corrected since stays. */
enum db_status db_batch_withdraw(struct db *db, int64_t batch_id, int64_t actor_id,
                                 int64_t at, const char *reason, int64_t *out_count);

#endif
