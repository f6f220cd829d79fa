/* The description of this interface, as it stands in docs/openapi.json. */
#include <stdio.h>
#include <string.h>

#include "api.h"

/* Made at build time from docs/openapi.json. */
extern const char openapi_text[], openapi_etag[];

void api_openapi_get(struct app *app, struct db *db, const struct request *req,
                     struct reply *out)
{
    (void)app;
    (void)db;
    (void)req;
    out->status = 200;
    out->content_type = "application/json";
    out->body = openapi_text;
    out->body_length = strlen(openapi_text);
    snprintf(out->etag, sizeof out->etag, "%s", openapi_etag);
}
