#include "exchange.h"

#include <stdlib.h>
#include <string.h>

const char *request_query(const struct request *req, const char *name)
{
    for (size_t i = 0; i < req->query_count; i++)
        if (strcmp(req->query[i].name, name) == 0)
            return req->query[i].value;
    return NULL;
}

void reply_json(struct reply *out, int status, char *json_text)
{
    static const char no_memory[] =
        "{\"title\":\"Internal Server Error\",\"status\":500,"
        "\"code\":\"no_memory\",\"type\":"
        "\"/problems/no_memory\",\"field\":\"\","
        "\"detail\":\"The daemon is out of memory.\"}";

    reply_finish(out);
    if (json_text == NULL) {
        out->status = 500;
        out->content_type = "application/problem+json";
        out->body = no_memory;
        out->body_length = sizeof no_memory - 1;
        return;
    }
    out->status = status;
    out->content_type = "application/json";
    out->body = json_text;
    out->body_length = strlen(json_text);
    out->body_owned = true;
}

void reply_finish(struct reply *out)
{
    if (out->body_owned)
        free((void *)(uintptr_t)out->body);
    if (out->stream != NULL)
        out->stream->finish(out->stream);
    out->stream = NULL;
    out->body = NULL;
    out->body_length = 0;
    out->body_owned = false;
}
