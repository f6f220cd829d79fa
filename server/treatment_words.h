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

/* What holds for every plan, NULL-terminated. */
extern const char *const treatment_always[];

#endif
