/* Visits: care that was done or skipped, by whom, what was found, and the checklist. */
#include <stdlib.h>
#include <string.h>

#include "api.h"
#include "api_facts.h"
#include "care_checklist.h"
#include "care_due.h"
#include "db_care.h"

#define NEXT_DAYS_MAX 3660
#define TASKS_MAX 64

static const char *const kinds[] = {"cleaning", "inspection", "repair", "other", NULL};
static const char *const outcomes[] = {"done", "skipped", NULL};

/* The heater's yearly cleaning; 0 when the store cannot say. */
static int64_t cleaning_of(struct db *db, int64_t heater_id)
{
    struct db_care_task *tasks = calloc(TASKS_MAX, sizeof *tasks);
    size_t count = 0;
    int64_t id = 0;

    if (tasks != NULL)
        (void)db_care_task_list(db, heater_id, tasks, TASKS_MAX, &count);
    for (size_t i = 0; i < count; i++)
        if (tasks[i].is_cleaning)
            id = tasks[i].id;
    free(tasks);
    return id;
}

/* Whose turn it ends. A technician's cleaning is the yearly one unless said otherwise. */
static void read_task(struct db *db, struct form *form, struct db_care_visit *visit)
{
    struct db_care_task task;

    if (!form_integer(form, "task", 1, INT64_MAX / 2, FORM_OPTIONAL, &visit->task_id)) {
        if (visit->kind == DB_VISIT_CLEANING && visit->technician && !visit->skipped)
            visit->task_id = cleaning_of(db, visit->heater_id);
        else if (visit->skipped)
            problem_add(form->problem, "member_missing", "task",
                        "Say which task was skipped.");
        return;
    }
    if (db_care_task_get(db, visit->task_id, &task) != DB_OK ||
        task.heater_id != visit->heater_id)
        problem_add(form->problem, "not_found", "task",
                    "This heater has no such task.");
    else if (task.is_cleaning && !visit->skipped && !visit->technician)
        problem_add(form->problem, "needs_technician", "technician",
                    "The yearly cleaning is a technician's work. Log what the family "
                    "did without naming that task.");
}

/* Whether the heater may run is for a technician to say who has looked at it. */
static void read_may_run(struct form *form, struct db_care_visit *visit)
{
    visit->has_may_run = form_flag(form, "may_run", FORM_OPTIONAL, &visit->may_run);
    if (visit->has_may_run && (!visit->technician || visit->skipped))
        problem_add(form->problem, "needs_technician", "may_run",
                    "Only a technician who has looked at the heater can say whether it "
                    "may run.");
}

static void read_cost(struct form *form, struct db_care_visit *visit)
{
    size_t faults = form->problem->count;

    visit->has_cost = form_e6(form, "cost", 0, 1e7, FORM_OPTIONAL, &visit->cost_e6);
    form_text(form, "currency", visit->has_cost ? FORM_REQUIRED : FORM_OPTIONAL,
              visit->currency, sizeof visit->currency);
    if (visit->currency[0] != '\0' &&
        strspn(visit->currency, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") != 3)
        problem_add(form->problem, "currency_invalid", "currency",
                    "Write the currency as three capital letters, like EUR or USD.");
    else if (!visit->has_cost && visit->currency[0] != '\0' &&
             form->problem->count == faults)
        problem_add(form->problem, "member_missing", "cost",
                    "A currency without a cost says nothing.");
}

/* The next turn lies after this visit: by the site's calendar. */
static void read_next(struct app *app, struct db *db, struct form *form,
                      struct db_care_visit *visit)
{
    struct care_heater care;
    int32_t day;

    visit->has_next_day = api_form_day(form, "next_on", FORM_OPTIONAL, &visit->next_day);
    if (!visit->has_next_day || visit->heater_id == 0 ||
        care_heater_read(app, db, visit->heater_id, &care) != DB_OK)
        return;
    day = care_day(care.zone, visit->fact.at);
    if (visit->next_day <= day || visit->next_day - day > NEXT_DAYS_MAX)
        problem_add(form->problem, "date_range", "next_on",
                    "The next date must be after this visit, within ten years.");
    care_heater_finish(&care);
}

static void read_visit(struct app *app, struct db *db, struct form *form, void *out)
{
    struct db_care_visit *visit = out;
    struct db_heater heater;
    int kind = 0, outcome = 0;

    if (!api_form_heater(db, form, &visit->heater_id, &heater))
        visit->heater_id = 0;
    form_choice(form, "kind", kinds, FORM_REQUIRED, &kind);
    form_choice(form, "outcome", outcomes, FORM_OPTIONAL, &outcome);
    form_flag(form, "technician", FORM_OPTIONAL, &visit->technician);
    visit->kind = (enum db_visit_kind)kind;
    visit->skipped = outcome == 1;
    form_text(form, "done_by", FORM_OPTIONAL, visit->done_by, sizeof visit->done_by);
    form_text(form, "findings", FORM_OPTIONAL, visit->findings, sizeof visit->findings);
    if (visit->skipped && visit->fact.note[0] == '\0')
        problem_add(form->problem, "member_missing", "note",
                    "Say why it was skipped.");
    read_may_run(form, visit);
    read_task(db, form, visit);
    read_cost(form, visit);
    read_next(app, db, form, visit);
    care_checklist_read(form, visit->checklist, sizeof visit->checklist);
    if (visit->skipped && strcmp(visit->checklist, "{}") != 0)
        problem_add(form->problem, "checklist_skipped", "checklist",
                    "A skipped visit has no results.");
}

static void write_visit(cJSON *object, const void *fact)
{
    const struct db_care_visit *visit = fact;

    cJSON_AddNumberToObject(object, "heater", (double)visit->heater_id);
    api_add_id_or_null(object, "task", visit->task_id);
    cJSON_AddStringToObject(object, "kind", kinds[visit->kind]);
    cJSON_AddStringToObject(object, "outcome", outcomes[visit->skipped]);
    cJSON_AddBoolToObject(object, "technician", visit->technician);
    if (visit->has_may_run)
        cJSON_AddBoolToObject(object, "may_run", visit->may_run);
    else
        cJSON_AddNullToObject(object, "may_run");
    cJSON_AddStringToObject(object, "done_by", visit->done_by);
    cJSON_AddStringToObject(object, "findings", visit->findings);
    if (visit->has_cost)
        api_add_e6(object, "cost", visit->cost_e6);
    else
        cJSON_AddNullToObject(object, "cost");
    if (visit->has_cost)
        cJSON_AddStringToObject(object, "currency", visit->currency);
    else
        cJSON_AddNullToObject(object, "currency");
    api_add_day_or_null(object, "next_on", visit->has_next_day, visit->next_day);
    cJSON_AddRawToObject(object, "checklist", visit->checklist);
}

static enum db_status add(struct db *db, void *fact)
{
    return db_care_visit_add(db, fact);
}

static enum db_status get(struct db *db, int64_t id, void *out)
{
    return db_care_visit_get(db, id, out);
}

static enum db_status list(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count)
{
    return db_care_visit_list(db, window, out, out_count);
}

const struct fact_kind fact_visits = {
    "visit", "visits", "visits", "heater", sizeof(struct db_care_visit),
    add, get, list, read_visit, write_visit, NULL};

FACT_HANDLERS(visits, fact_visits)
