/*
 * People as JSON, and what the pages of people share.
 */
#ifndef API_PEOPLE_H
#define API_PEOPLE_H

#include <cjson/cJSON.h>

#include "db_people.h"

const char *people_role_name(enum who_role role); /* "viewer", … "nobody" */
/* Without anything secret. */
cJSON *people_json(const struct db_person *person);

#endif
