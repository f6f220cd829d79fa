/* A super-chlorination as JSON. */
#ifndef SUPER_JSON_H
#define SUPER_JSON_H

#include <cjson/cJSON.h>

#include "super_plan.h"

void super_etag(const struct db_plan *plan, char *out, size_t size);
/* A plan with its steps and what happened. */
cJSON *super_plan_json(const struct db_plan *plan, enum coil_bypass bypass);
/* How much, by which rule, with what; null in the answer while a test lacks. */
cJSON *super_proposal_json(const struct super_plan *p);
/* Adds what moves: return, course, neutraliser, ways, return_steps. */
void super_add_outlook(cJSON *object, const struct super_plan *p);

#endif
