/*
 * The store's part for the burner: rating plates, flue tests, symptoms, and what of them
 * stops it. Same rules as db.h.
 */
#ifndef DB_FLUE_H
#define DB_FLUE_H

#include "db.h"

/* ---- the rating plate, and who put the heater in ---- */

#define DB_GAS_SIZE 1001

struct db_plate {
    int64_t heater_id, version, at, actor_id; /* version 0: never said */
    char model[DB_NAME_SIZE], serial[DB_NAME_SIZE], installed_by[DB_NAME_SIZE];
    bool has_installed_day;
    int32_t installed_day;
    int64_t manifold_pa_e6; /* 0: not said */
    bool condensing, cannot_be_sampled;
    char gas[DB_GAS_SIZE]; /* JSON of the user's own gas; "": the heater's plain fuel */
};

/* DB_NOT_FOUND: no such heater. The one in force at an instant; before the first one,
 * the first. */
enum db_status db_plate_get(struct db *db, int64_t heater_id, struct db_plate *out);
enum db_status db_plate_get_at(struct db *db, int64_t heater_id, int64_t at,
                               struct db_plate *out);
enum db_status db_plate_put(struct db *db, struct db_plate *plate);

/* ---- flue tests ---- */

enum db_flue_value {
    DB_FLUE_O2_PERCENT,
    DB_FLUE_CO_PPM,
    DB_FLUE_FLUE_TEMP_C,
    DB_FLUE_AIR_TEMP_C,
    DB_FLUE_AIR_HUMIDITY_PERCENT,
    DB_FLUE_DRAUGHT_PA,
    DB_FLUE_MANIFOLD_PA,
    DB_FLUE_U_O2_PERCENT, /* the instrument's accuracy from here on */
    DB_FLUE_U_CO_PPM,
    DB_FLUE_U_CO_FRACTION,
    DB_FLUE_U_FLUE_TEMP_K,
    DB_FLUE_U_AIR_TEMP_K,
    DB_FLUE_VALUE_COUNT
};

struct db_flue_number {
    bool is_known;
    int64_t value_e6;
};

enum db_found { DB_FOUND_UNSAFE, DB_FOUND_SAFE, DB_FOUND_UNSAID };

struct db_flue_test {
    struct db_fact fact;
    int64_t heater_id;
    bool technician;
    char done_by[DB_NAME_SIZE], instrument[DB_NAME_SIZE];
    bool sampled; /* false: cared for without numbers */
    bool well_sampled;
    bool soot_seen, rollout_seen;
    enum db_found found_safe;
    struct db_flue_number values[DB_FLUE_VALUE_COUNT];
};

enum db_status db_flue_test_add(struct db *db, struct db_flue_test *test);
enum db_status db_flue_test_get(struct db *db, int64_t id, struct db_flue_test *out);
enum db_status db_flue_test_list(struct db *db, const struct db_window *window,
                                 struct db_flue_test *out, size_t *out_count);

/* ---- symptoms ---- */

enum db_symptom_kind {
    DB_GAS_SMELL,
    DB_FLAME_ROLLOUT,
    DB_SOOT,
    DB_YELLOW_FLAME,
    DB_KNOCKING,
    DB_IGNITION_FAILS,
    DB_LIMIT_TRIPS,
    DB_DRIPPING,
    DB_SMELL,
    DB_STAINS,
    DB_SYMPTOM_COUNT
};

struct db_symptom {
    struct db_fact fact;
    int64_t heater_id;
    enum db_symptom_kind kind;
};

enum db_status db_symptom_add(struct db *db, struct db_symptom *symptom);
enum db_status db_symptom_get(struct db *db, int64_t id, struct db_symptom *out);
enum db_status db_symptom_list(struct db *db, const struct db_window *window,
                               struct db_symptom *out, size_t *out_count);

#endif
