/*
 * What the API's handlers share: refusals of the store, times of facts, entity tags,
 * list windows, and the journal.
 */
#ifndef API_COMMON_H
#define API_COMMON_H

#include <cjson/cJSON.h>

#include "app.h"
#include "db.h"
#include "decimal.h"
#include "exchange.h"
#include "form.h"
#include "json.h"
#include "problem.h"

#define API_FUTURE_S 120 /* a fact may be this much ahead of our clock */

/* Answers a store's refusal. Returns true when status was DB_OK (nothing answered). */
bool api_ok(struct reply *out, enum db_status status, const char *what);

/* Sends the collected faults; false (nothing sent) when there are none. */
bool api_refused(struct reply *out, const struct problem *problem);

/* True for a body that is an empty object; answers else. */
bool api_takes_nothing(const struct request *req, struct reply *out);

/* Sends a tree as JSON; releases it. A NULL tree answers 500. */
void api_send(struct reply *out, int status, cJSON *tree);

/* value_e6 / 1e6 as a number. */
void api_add_e6(cJSON *object, const char *name, int64_t value_e6);
/* The same, null when zero ("not known"). */
void api_add_e6_or_null(cJSON *object, const char *name, int64_t value_e6);
/* An instant or id, null when zero. */
void api_add_id_or_null(cJSON *object, const char *name, int64_t value);

/* The instant of a fact from member `at` (epoch seconds) or `local` (date, time, fold in
 * the site's zone); neither: now. Faults are added to the form's problem. */
int64_t api_instant(struct app *app, struct db *db, struct form *form, const char *at,
                    const char *local);

/* The actor of member "by"; without it "this machine". */
enum db_status api_actor(struct db *db, struct form *form, int64_t *out_actor_id);

/* Member "heater" (required): true when that heater exists; else a fault. */
bool api_form_heater(struct db *db, struct form *form, int64_t *out_id,
                     struct db_heater *out_heater);

/* A day as "2026-11-25", counted from 1970-01-01. A date that there is none of: fault
 * date_invalid. True when a day was stored. */
bool api_form_day(struct form *form, const char *member, enum form_need need,
                  int32_t *out_day);
void api_add_day(cJSON *object, const char *name, int32_t day);
void api_add_day_or_null(cJSON *object, const char *name, bool is_known, int32_t day);

/* Compares If-Match with the present tag; answers 412 with the present state otherwise.
 * current: released in every case; may be NULL. */
bool api_matches(const struct request *req, struct reply *out, const char *etag,
                 cJSON *current);

/* An integer of the query; false with a fault when it is there and no integer in range. */
bool api_query_integer(const struct request *req, struct problem *problem,
                       const char *name, int64_t low, int64_t high, int64_t *out_value);
/* The same for a decimal number; out_value stays as it was otherwise. */
bool api_query_number(const struct request *req, struct problem *problem,
                      const char *name, double low, double high, double *out_value);
/* A flag of the query: true or false. */
bool api_query_flag(const struct request *req, struct problem *problem,
                    const char *name, bool *out_value);
/* Index of the query's value in names, or `otherwise` when absent. */
int api_query_choice(const struct request *req, struct problem *problem,
                     const char *name, const char *const *names, int otherwise);

/* A pair of heater and water is named whole or not at all: adds a fault otherwise. */
void api_check_pair(struct problem *problem, int64_t heater_id, int64_t water_id);
/* Where no heater was named (0), the site's main pair. False, and answered, before one is
 * set up. */
bool api_main_pair(struct db *db, struct reply *out, int64_t *heater_id,
                   int64_t *water_id);
/* Answers that no heater is set up. */
void api_not_set_up(struct reply *out);

/* Journals a change; before and after may be NULL, both are released. */
enum db_status api_journal(struct app *app, struct db *db, const struct request *req,
                           int64_t actor_id, const char *action, const char *entity,
                           int64_t id, cJSON *before, cJSON *after);

int64_t api_now(const struct app *app);

/* Gives a 200 answer that depends on nothing but the query and what is stored a tag that
 * holds until the next change. changes: app->changes from before the store was read. */
void api_tag(const struct app *app, struct reply *out, uint64_t changes);
uint64_t api_changes(struct app *app);

#endif
