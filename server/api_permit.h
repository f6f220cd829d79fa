/*
 * The permit of one pair, for other answers that tell it.
 */
#ifndef API_PERMIT_H
#define API_PERMIT_H

#include <cjson/cJSON.h>

#include "app.h"

/* Now, as docs/api.md shows it. Gives the tree, or NULL and a refusal. */
cJSON *api_permit_now(struct app *app, struct db *db, int64_t heater_id,
                      int64_t water_id, struct reply *out);
/* Releases what is kept for repeated questions. */
void api_permit_forget(void);

#endif
