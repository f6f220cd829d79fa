/*
 * Treatment: what api_treatment.c (what is asked) and treatment_json.c (the answer)
 * share.
 */
#ifndef API_TREATMENT_H
#define API_TREATMENT_H

#include "api_common.h"
#include "lib/treatment.h"
#include "treatment_words.h"

/* Everything a plan was made from. */
struct treatment_basis {
    int64_t heater_id, water_id, now_s;
    struct db_site site;
    struct db_water water;
    struct db_heater heater;
    struct coil_permit_facts facts;
    struct db_fill_water fill;                /* what is kept */
    struct db_shed_item items[COIL_SHED_MAX]; /* those of shed, in the same order */
    struct coil_shed_item shed[COIL_SHED_MAX];
    struct coil_treatment_input input;

    bool is_trial[COIL_QUANTITY_COUNT]; /* the caller's value, not a reading's */
    bool is_known[COIL_QUANTITY_COUNT];
    double value[COIL_QUANTITY_COUNT];
    int64_t at_s[COIL_QUANTITY_COUNT];
    bool is_own_wanted[COIL_AIM_COUNT];
    bool salt_is_from_tds;
    enum treatment_rise rise_source;
};

/* Opens the body of a trial, reads "heater" and "water" (both or neither) and gathers
 * what the house knows. False when it was answered; then the form is closed. */
bool treatment_open(struct app *app, struct db *db, const struct request *req,
                    struct reply *out, struct form *form, struct problem *problem,
                    struct treatment_basis *basis);
/* Readings and fill water to what lib/ computes with. */
void treatment_fill_input(struct treatment_basis *basis);

/* Why a value cannot be planned from. */
enum treatment_lack { LACK_NONE, LACK_NEVER_TESTED, LACK_OLD, LACK_AFTER_DOSE };

enum treatment_lack treatment_lack_of(const struct treatment_basis *basis,
                                      enum coil_quantity quantity);
/* The quantities that a plan for these wishes needs, in the order of testing; returns
 * how many. size >= COIL_QUANTITY_COUNT. */
size_t treatment_needed(const struct treatment_basis *basis, enum coil_quantity *out);

/* Does any of them lack? */
bool treatment_lacks_values(const struct treatment_basis *basis);
/* Adds "test_first" to an answer. */
void treatment_add_missing(cJSON *object, const struct treatment_basis *basis);

/* plan: NULL when something must be tested first. Gives a tree. */
cJSON *treatment_json(const struct treatment_basis *basis,
                      const struct coil_treatment_plan *plan);

#endif
