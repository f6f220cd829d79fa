/* Flue tests as they are entered: what the analyser showed, or that none could be used. */
#include <math.h>

#include "api.h"
#include "api_facts.h"
#include "flue_report.h"

/* In the order of enum db_flue_value. Ranges keep slips of the pen out; what gas can
 * show is the library's to say. */
static const struct {
    const char *name;
    double low, high;
    bool is_needed;
} members[DB_FLUE_VALUE_COUNT] = {
    {"o2_percent", -100, 1000, true},
    {"co_ppm", -1e6, 1e6, true},
    {"flue_temp_c", -100, 2000, true},
    {"air_temp_c", -100, 200, true},
    {"air_humidity_percent", 0, 100, false},
    {"draught_pa", -500, 500, false},
    {"manifold_pa", 0, 1e5, false},
    {"o2_percent", 0, 5, true}, /* accuracy from here on */
    {"co_ppm", 0, 1000, true},
    {"co_fraction", 0, 0.5, true},
    {"flue_temp_k", 0, 50, true},
    {"air_temp_k", 0, 20, true},
};

static void read_number(struct form *form, struct db_flue_test *test, int i)
{
    struct db_flue_number *number = &test->values[i];

    number->is_known = form_e6(form, members[i].name, members[i].low, members[i].high,
                               members[i].is_needed ? FORM_REQUIRED : FORM_OPTIONAL,
                               &number->value_e6);
}

/* Says what the library refuses, before anything is kept. */
static void check_numbers(struct db *db, struct form *form, struct db_flue_test *test)
{
    struct coil_flue_result result;
    struct coil_flue_test made;
    struct flue_fuel fuel;
    struct db_heater heater;
    struct db_plate plate;

    if (db_heater_get(db, test->heater_id, &heater) != DB_OK ||
        db_plate_get_at(db, test->heater_id, test->fact.at, &plate) != DB_OK ||
        !flue_fuel_of(&heater, &plate, &fuel))
        return;
    flue_test_of(test, &plate, &made);
    if (coil_flue_analyse(&fuel.fuel, &made.reading, &made.accuracy, &result) == COIL_OK)
        return;
    problem_add(form->problem, coil_flue_refusal_code(result.refusal),
                coil_flue_refusal_field(result.refusal), "%s",
                coil_flue_refusal_text(result.refusal));
}

static void read_numbers(struct db *db, struct form *form, struct db_flue_test *test)
{
    size_t faults = form->problem->count;
    struct form accuracy;

    form_flag(form, "well_sampled", FORM_REQUIRED, &test->well_sampled);
    for (int i = 0; i < DB_FLUE_U_O2_PERCENT; i++)
        read_number(form, test, i);
    if (form_nested(form, "accuracy", FORM_OPTIONAL, &accuracy)) {
        for (int i = DB_FLUE_U_O2_PERCENT; i < DB_FLUE_VALUE_COUNT; i++)
            read_number(&accuracy, test, i);
        form_close(&accuracy);
    }
    if (form->problem->count == faults)
        check_numbers(db, form, test);
}

/* Cared for without numbers: then it says why, and there are none. */
static void read_without(struct form *form, struct db_flue_test *test)
{
    static const char *const none[] = {"accuracy", "well_sampled"};

    for (int i = 0; i < DB_FLUE_U_O2_PERCENT; i++)
        if (form_member(form, members[i].name) != NULL)
            problem_add(form->problem, "not_sampled", members[i].name,
                        "What was not sampled has no numbers.");
    for (size_t i = 0; i < sizeof none / sizeof none[0]; i++)
        if (form_member(form, none[i]) != NULL)
            problem_add(form->problem, "not_sampled", none[i],
                        "What was not sampled has no numbers.");
    if (test->fact.note[0] == '\0')
        problem_add(form->problem, "member_missing", "note",
                    "Say why it was not sampled.");
}

static void check_heater(struct db *db, struct form *form,
                         const struct db_heater *heater, struct db_flue_test *test)
{
    struct flue_fuel fuel;
    struct db_plate plate;

    if (db_plate_get_at(db, heater->id, test->fact.at, &plate) != DB_OK)
        return;
    if (!flue_fuel_of(heater, &plate, &fuel))
        problem_add(form->problem, "no_burner", "heater",
                    "This heater burns nothing, so it has no flue.");
    else if (plate.cannot_be_sampled && test->sampled)
        problem_add(form->problem, "cannot_be_sampled", "sampled",
                    "The rating plate's page says that this unit cannot be sampled. "
                    "Enter the test with sampled false.");
}

static void read_test(struct app *app, struct db *db, struct form *form, void *out)
{
    struct db_flue_test *test = out;
    struct db_heater heater;
    bool is_safe = false;

    (void)app;
    test->sampled = true;
    form_flag(form, "sampled", FORM_OPTIONAL, &test->sampled);
    if (api_form_heater(db, form, &test->heater_id, &heater))
        check_heater(db, form, &heater, test);
    form_flag(form, "technician", FORM_OPTIONAL, &test->technician);
    form_text(form, "done_by", FORM_OPTIONAL, test->done_by, sizeof test->done_by);
    form_text(form, "instrument", FORM_OPTIONAL, test->instrument,
              sizeof test->instrument);
    form_flag(form, "soot_seen", FORM_OPTIONAL, &test->soot_seen);
    form_flag(form, "rollout_seen", FORM_OPTIONAL, &test->rollout_seen);
    test->found_safe = DB_FOUND_UNSAID;
    if (form_flag(form, "found_safe", FORM_OPTIONAL, &is_safe))
        test->found_safe = is_safe ? DB_FOUND_SAFE : DB_FOUND_UNSAFE;
    if (test->sampled)
        read_numbers(db, form, test);
    else
        read_without(form, test);
}

static void add_number(cJSON *object, const struct db_flue_test *test, int i)
{
    if (test->values[i].is_known)
        api_add_e6(object, members[i].name, test->values[i].value_e6);
    else
        cJSON_AddNullToObject(object, members[i].name);
}

static void write_test(cJSON *object, const void *fact)
{
    const struct db_flue_test *test = fact;
    cJSON *accuracy;

    cJSON_AddNumberToObject(object, "heater", (double)test->heater_id);
    cJSON_AddBoolToObject(object, "technician", test->technician);
    cJSON_AddStringToObject(object, "done_by", test->done_by);
    cJSON_AddStringToObject(object, "instrument", test->instrument);
    cJSON_AddBoolToObject(object, "sampled", test->sampled);
    cJSON_AddBoolToObject(object, "well_sampled", test->well_sampled);
    cJSON_AddBoolToObject(object, "soot_seen", test->soot_seen);
    cJSON_AddBoolToObject(object, "rollout_seen", test->rollout_seen);
    if (test->found_safe == DB_FOUND_UNSAID)
        cJSON_AddNullToObject(object, "found_safe");
    else
        cJSON_AddBoolToObject(object, "found_safe", test->found_safe == DB_FOUND_SAFE);
    for (int i = 0; i < DB_FLUE_U_O2_PERCENT; i++)
        add_number(object, test, i);
    if (!flue_has_accuracy(test)) {
        cJSON_AddNullToObject(object, "accuracy");
        return;
    }
    accuracy = cJSON_AddObjectToObject(object, "accuracy");
    for (int i = DB_FLUE_U_O2_PERCENT; i < DB_FLUE_VALUE_COUNT; i++)
        add_number(accuracy, test, i);
}

static enum db_status add(struct db *db, void *fact)
{
    return db_flue_test_add(db, fact);
}

static enum db_status get(struct db *db, int64_t id, void *out)
{
    return db_flue_test_get(db, id, out);
}

static enum db_status list(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count)
{
    return db_flue_test_list(db, window, out, out_count);
}

const struct fact_kind fact_flue_tests = {
    "flue_test", "flue-tests", "flue_tests", "heater", sizeof(struct db_flue_test),
    add, get, list, read_test, write_test, NULL};

FACT_HANDLERS(flue_tests, fact_flue_tests)
