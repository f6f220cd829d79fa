/* Run intervals of pump and burner. */
#include "api.h"
#include "api_facts.h"

static const char *const machines[] = {"pump", "burner", NULL};
static const char *const origins[] = {"logged", "schedule", "instrument", NULL};

#define RUN_MAX_S (31 * 86400)

static void read_end(struct app *app, struct db *db, struct form *form,
                     struct db_run *run)
{
    size_t faults = form->problem->count;

    run->ended_at = api_instant(app, db, form, "ended_at", "ended_local");
    if (form->problem->count != faults)
        return;
    if (run->ended_at <= run->fact.at)
        problem_add(form->problem, "end_before_start", "ended_at",
                    "The run must end after it began.");
    else if (run->ended_at - run->fact.at > RUN_MAX_S)
        problem_add(form->problem, "out_of_range", "ended_at",
                    "A run longer than 31 days is entered in parts.");
}

static void read_run(struct app *app, struct db *db, struct form *form, void *out)
{
    struct db_run *run = out;
    struct db_water water;
    struct db_heater heater;
    int machine = DB_PUMP, origin = DB_LOGGED;

    form_integer(form, "water", 1, INT64_MAX / 2, FORM_REQUIRED, &run->water_id);
    if (run->water_id != 0 && db_water_get(db, run->water_id, &water) == DB_NOT_FOUND)
        problem_add(form->problem, "not_found", "water", "There is no such water.");
    form_choice(form, "machine", machines, FORM_REQUIRED, &machine);
    run->machine = (enum db_machine)machine;
    form_integer(form, "heater", 1, INT64_MAX / 2,
                 run->machine == DB_BURNER ? FORM_REQUIRED : FORM_OPTIONAL,
                 &run->heater_id);
    if (run->machine == DB_PUMP && run->heater_id != 0)
        problem_add(form->problem, "member_unknown", "heater",
                    "Only a burner run belongs to a heater.");
    if (run->heater_id != 0 && db_heater_get(db, run->heater_id, &heater) == DB_NOT_FOUND)
        problem_add(form->problem, "not_found", "heater", "There is no such heater.");
    form_choice(form, "origin", origins, FORM_OPTIONAL, &origin);
    run->origin = (enum db_origin)origin;
    read_end(app, db, form, run);
}

static void write_run(cJSON *object, const void *fact)
{
    const struct db_run *run = fact;

    cJSON_AddNumberToObject(object, "water", (double)run->water_id);
    cJSON_AddStringToObject(object, "machine", machines[run->machine]);
    api_add_id_or_null(object, "heater", run->heater_id);
    cJSON_AddStringToObject(object, "origin", origins[run->origin]);
    cJSON_AddNumberToObject(object, "ended_at", (double)run->ended_at);
}

static enum db_status add(struct db *db, void *fact)
{
    return db_run_add(db, fact);
}

static enum db_status get(struct db *db, int64_t id, void *out)
{
    return db_run_get(db, id, out);
}

static enum db_status list(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count)
{
    return db_run_list(db, window, out, out_count);
}

const struct fact_kind fact_runs = {"run", "runs", "runs", "water", sizeof(struct db_run),
                                      add, get, list, read_run, write_run, NULL};

FACT_HANDLERS(runs, fact_runs)
