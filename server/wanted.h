/*
 * What is wanted of a water and how much one dose may bring, as JSON members: what
 * api_wanted.c keeps and api_treatment.c takes for a trial.
 */
#ifndef WANTED_H
#define WANTED_H

#include "db.h"
#include "form.h"
#include "lib/treatment.h"

/* What the defaults of this water depend on. */
struct coil_wanted_basis wanted_basis(const struct db_water *water);

/* "wanted": {KEY: {"low", "high"} or null} and "limits": {NAME: number}. What is not
 * named stays as it is in out; null asks for nothing. */
void wanted_read(struct form *form, struct db_wanted *out);

/* Puts what was said over the defaults that input has; out_is_own tells which ranges.
 */
void wanted_apply(const struct db_wanted *wanted, struct coil_treatment_input *input,
                  bool out_is_own[COIL_AIM_COUNT]);

#endif
