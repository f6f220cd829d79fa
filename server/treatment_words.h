/*
 * The plan of treatment in words: which test is due, what was assumed, what to mind at
 * each step. All English text of the plan stands in treatment_words.c.
 */
#ifndef TREATMENT_WORDS_H
#define TREATMENT_WORDS_H

#include <stddef.h>

#include "lib/treatment.h"

#define TREATMENT_CAUTIONS_MAX 8

const char *treatment_kind_key(enum coil_step_kind kind);         /* "dose" */
const char *treatment_outcome_key(enum coil_aim_outcome outcome); /* "reached" */

/* Fills out with what to mind while doing the step; texts live for ever. Returns how
 * many. */
size_t treatment_cautions(const struct coil_treatment_step *step,
                          const char *out[TREATMENT_CAUTIONS_MAX]);

/* Where the rise of temperature to the heater's hot surface comes from. */
enum treatment_rise {
    TREATMENT_RISE_ILLUSTRATIVE, /* nobody knows */
    TREATMENT_RISE_FILM,         /* film given, outlet not known */
    TREATMENT_RISE_OUTLET,       /* outlet reckoned, film illustrative */
    TREATMENT_RISE_HEATER,       /* outlet reckoned, film given */
    TREATMENT_RISE_OWN           /* the caller's */
};

const char *treatment_rise_source(enum treatment_rise rise);

#define TREATMENT_CLASH_SIZE 160

/* The range wanted of pH or chlorine reaches past the heater's limit. */
void treatment_clash(enum coil_aim aim, double limit, char out[TREATMENT_CLASH_SIZE]);

/* What holds for every plan, NULL-terminated. */
extern const char *const treatment_always[];

#endif
