#include "demo_care.h"

#include <stdio.h>
#include <string.h>

#include "db_care.h"
#include "db_flue.h"
#include "fixtures/demo/scenario.h"
#include "lib/civil.h"

#define YEARS 3
#define DAY_S INT64_C(86400)
#define LATE_S 3600 /* told an hour after it was so */

struct household {
    struct db *db;
    int64_t heater_id, owner_id, technician_id;
};

/* What one year's visit found. */
struct year {
    double o2_percent, co_ppm, flue_temp_c, air_temp_c;
    const char *findings, *checklist;
};

/* Oldest first: less oxygen, more carbon monoxide, a hotter stack each year. */
static const struct year years[YEARS] = {
    {7.4, 26, 208, 17, "Burner clean, flame blue.",
     "{\"burner_orifices\":{\"result\":\"good\"},\"webs\":{\"result\":\"good\"},"
     "\"soot\":{\"result\":\"good\"},\"gas_pressure\":{\"result\":\"good\",\"value\":870,"
     "\"unit\":\"Pa\"},\"leak_test\":{\"result\":\"good\"},"
     "\"co_alarm\":{\"result\":\"good\"}}"},
    {6.9, 34, 215, 19, "Webs in two orifices, brushed out.",
     "{\"burner_orifices\":{\"result\":\"put_right\"},\"webs\":{\"result\":\"put_right\","
     "\"note\":\"two orifices\"},\"soot\":{\"result\":\"good\"},"
     "\"gas_pressure\":{\"result\":\"good\",\"value\":868,\"unit\":\"Pa\"},"
     "\"leak_test\":{\"result\":\"good\"},\"co_alarm\":{\"result\":\"good\"}}"},
    {6.3, 47, 224, 18, "A little dust on the exchanger. Gasket of the header weeps.",
     "{\"burner_orifices\":{\"result\":\"good\"},\"webs\":{\"result\":\"good\"},"
     "\"soot\":{\"result\":\"good\"},\"exchanger\":{\"result\":\"put_right\"},"
     "\"header\":{\"result\":\"bad\",\"note\":\"gasket ordered\"},"
     "\"gas_pressure\":{\"result\":\"good\",\"value\":871,\"unit\":\"Pa\"},"
     "\"leak_test\":{\"result\":\"good\"},\"co_alarm\":{\"result\":\"good\"}}"},
};

static struct db_fact fact(int64_t at, int64_t actor_id)
{
    return (struct db_fact){.at = at, .recorded_at = at + LATE_S, .actor_id = actor_id};
}

static enum db_status add_visit(const struct household *home, int64_t at,
                                const struct year *year)
{
    struct db_care_task task;
    struct db_care_visit visit = {.fact = fact(at, home->owner_id),
                                  .heater_id = home->heater_id,
                                  .kind = DB_VISIT_CLEANING,
                                  .technician = true,
                                  .has_cost = true,
                                  .cost_e6 = 190000000,
                                  .currency = "USD",
                                  .has_may_run = true,
                                  .may_run = true};
    size_t count = 0;
    enum db_status status =
        db_care_task_list(home->db, home->heater_id, &task, 1, &count);

    visit.task_id = count > 0 ? task.id : 0;
    snprintf(visit.done_by, sizeof visit.done_by, "%s", SCENARIO_TECHNICIAN);
    snprintf(visit.findings, sizeof visit.findings, "%s", year->findings);
    snprintf(visit.checklist, sizeof visit.checklist, "%s", year->checklist);
    return status == DB_OK ? db_care_visit_add(home->db, &visit) : status;
}

static void put(struct db_flue_test *test, enum db_flue_value which, double value)
{
    test->values[which] = (struct db_flue_number){true, (int64_t)(value * 1e6)};
}

static enum db_status add_test(const struct household *home, int64_t at,
                               const struct year *year)
{
    struct db_flue_test test = {.fact = fact(at, home->technician_id),
                                .heater_id = home->heater_id,
                                .technician = true,
                                .sampled = true,
                                .well_sampled = true,
                                .found_safe = DB_FOUND_SAFE};

    snprintf(test.done_by, sizeof test.done_by, "%s", SCENARIO_TECHNICIAN);
    put(&test, DB_FLUE_O2_PERCENT, year->o2_percent);
    put(&test, DB_FLUE_CO_PPM, year->co_ppm);
    put(&test, DB_FLUE_FLUE_TEMP_C, year->flue_temp_c);
    put(&test, DB_FLUE_AIR_TEMP_C, year->air_temp_c);
    put(&test, DB_FLUE_MANIFOLD_PA, 870);
    put(&test, DB_FLUE_U_O2_PERCENT, 0.2);
    put(&test, DB_FLUE_U_CO_PPM, 10);
    put(&test, DB_FLUE_U_CO_FRACTION, 0.05);
    put(&test, DB_FLUE_U_FLUE_TEMP_K, 1);
    put(&test, DB_FLUE_U_AIR_TEMP_K, 0.5);
    return db_flue_test_add(home->db, &test);
}

static enum db_status add_plate(const struct household *home, int64_t at, int year)
{
    struct db_plate plate = {.heater_id = home->heater_id,
                             .at = at,
                             .actor_id = home->owner_id,
                             .model = "Plain 400",
                             .has_installed_day = true,
                             .manifold_pa_e6 = 872000000};

    (void)coil_day_from_date((struct coil_date){year - 6, 5, 12}, &plate.installed_day);
    return db_plate_put(home->db, &plate);
}

static enum db_status add_task(const struct household *home, int64_t at)
{
    struct db_care_task task = {.heater_id = home->heater_id,
                                .at = at,
                                .actor_id = home->owner_id,
                                .name = "Look at flame, vent and alarm",
                                .timing = DB_BY_CALENDAR,
                                .rrule = "FREQ=MONTHLY;BYDAY=1SA",
                                .start_day = (int32_t)(at / DAY_S),
                                .soon_days = 7,
                                .waits_for_season = true};

    enum db_status status = db_care_task_add(home->db, &task);
    struct db_care_visit visit = {.fact = fact(at + 340 * DAY_S, home->owner_id),
                                  .heater_id = home->heater_id,
                                  .task_id = task.id,
                                  .kind = DB_VISIT_OTHER,
                                  .findings = "Blue flame, vent free, alarm beeps.",
                                  .checklist = "{}"};

    return status == DB_OK ? db_care_visit_add(home->db, &visit) : status;
}

static enum db_status add_symptom(const struct household *home, int64_t at)
{
    struct db_symptom symptom = {.fact = fact(at, home->owner_id),
                                 .heater_id = home->heater_id,
                                 .kind = DB_KNOCKING};

    snprintf(symptom.fact.note, sizeof symptom.fact.note,
             "A knock in the first minute, gone after the filter was rinsed.");
    return db_symptom_add(home->db, &symptom);
}

/* 20 March, 15:00 UTC: before the season, and in the last quarter of the year before
 * 1 April. */
static int64_t visit_at(int year)
{
    int32_t day = 0;

    (void)coil_day_from_date((struct coil_date){year, 3, 20}, &day);
    return day * DAY_S + 15 * 3600;
}

enum db_status demo_care(struct db *db, int64_t now_s, int64_t heater_id,
                         int64_t owner_id, int64_t technician_id)
{
    const struct household home = {db, heater_id, owner_id, technician_id};
    int year = coil_date_from_day((int32_t)(now_s / DAY_S)).year;
    enum db_status status = add_plate(&home, now_s - YEARS * 365 * DAY_S, year);

    if (visit_at(year) + 2 * LATE_S > now_s)
        year--;
    for (int i = 0; i < YEARS && status == DB_OK; i++) {
        int64_t at = visit_at(year - (YEARS - 1) + i);

        status = add_visit(&home, at, &years[i]);
        if (status == DB_OK)
            status = add_test(&home, at + 1800, &years[i]);
    }
    if (status == DB_OK)
        status = add_task(&home, now_s - 400 * DAY_S);
    return status == DB_OK ? add_symptom(&home, now_s - 45 * DAY_S) : status;
}
