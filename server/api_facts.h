/*
 * Readings, doses, runs and heater states behave alike: list, create, read, correct,
 * withdraw. This is that behaviour, once; each kind brings a struct fact_kind.
 */
#ifndef API_FACTS_H
#define API_FACTS_H

#include "api_common.h"

struct fact_kind {
    const char *name;   /* "reading": entity tags, journal, messages */
    const char *path;   /* "heater-states": in addresses */
    const char *member; /* "heater_states": of a list */
    const char *subject; /* query of a list: "water" or "heater" */
    size_t size;        /* of the struct, whose first member is struct db_fact */
    enum db_status (*add)(struct db *db, void *fact);
    enum db_status (*get)(struct db *db, int64_t id, void *out);
    enum db_status (*list)(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count);
    /* Reads the kind's own members; faults go to the form's problem. */
    void (*read)(struct app *app, struct db *db, struct form *form, void *out);
    /* Adds the kind's own members to the answer. */
    void (*write)(cJSON *object, const void *fact);
    /* Clears what a withdrawal does not carry; may be NULL. */
    void (*empty)(void *fact);
};

/* One fact as answers show it. */
cJSON *fact_json(const struct fact_kind *kind, const void *record);

extern const struct fact_kind fact_readings, fact_doses, fact_runs, fact_heater_states,
    fact_visits, fact_flue_tests, fact_symptoms, fact_photos;

void fact_list(struct app *app, struct db *db, const struct request *req,
               struct reply *out, const struct fact_kind *kind);
void fact_create(struct app *app, struct db *db, const struct request *req,
                 struct reply *out, const struct fact_kind *kind);
void fact_get(struct app *app, struct db *db, const struct request *req,
              struct reply *out, const struct fact_kind *kind);
void fact_correct(struct app *app, struct db *db, const struct request *req,
                  struct reply *out, const struct fact_kind *kind);
void fact_withdraw(struct app *app, struct db *db, const struct request *req,
                   struct reply *out, const struct fact_kind *kind);

/* Makes the five handlers api_PLURAL_list … of one kind. */
#define FACT_HANDLERS(plural, kind)                                                    \
    void api_##plural##_list(struct app *app, struct db *db,                           \
                             const struct request *req, struct reply *out)             \
    {                                                                                  \
        fact_list(app, db, req, out, &kind);                                           \
    }                                                                                  \
    void api_##plural##_create(struct app *app, struct db *db,                         \
                               const struct request *req, struct reply *out)           \
    {                                                                                  \
        fact_create(app, db, req, out, &kind);                                         \
    }                                                                                  \
    void api_##plural##_get(struct app *app, struct db *db, const struct request *req, \
                            struct reply *out)                                         \
    {                                                                                  \
        fact_get(app, db, req, out, &kind);                                            \
    }                                                                                  \
    void api_##plural##_correct(struct app *app, struct db *db,                        \
                                const struct request *req, struct reply *out)          \
    {                                                                                  \
        fact_correct(app, db, req, out, &kind);                                        \
    }                                                                                  \
    void api_##plural##_withdraw(struct app *app, struct db *db,                       \
                                 const struct request *req, struct reply *out)         \
    {                                                                                  \
        fact_withdraw(app, db, req, out, &kind);                                       \
    }

#endif
