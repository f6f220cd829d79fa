/*
 * Site, waters and heaters as JSON and from forms; shared by their handlers.
 */
#ifndef API_CONFIG_H
#define API_CONFIG_H

#include "api_common.h"

/* Tag of a thing that has versions: "water-1-3". size >= 48. */
void config_etag(const char *name, int64_t id, int64_t version, char *out, size_t size);

/* {"ph_low":{"value":7.2,"source":"manual"},"ph_high":null,…} */
cJSON *config_limits_json(const struct coil_limit limits[COIL_LIMIT_COUNT]);

/* Journals, then answers with the thing's JSON and tag. Releases before and after. */
void config_answer(struct app *app, struct db *db, const struct request *req,
                   struct reply *out, int status, int64_t actor_id, const char *name,
                   int64_t id, int64_t version, cJSON *before, cJSON *after);

/* Answers a list: {"NAME":[…]} with a tag from its text. Releases the tree. */
void config_send_tagged(struct reply *out, cJSON *tree, const char *etag);

#endif
