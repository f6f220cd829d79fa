#include "assets.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static int compare(const void *key, const void *element)
{
    return strcmp(key, ((const struct asset *)element)->path);
}

/* A coding list of RFC 9110 section 12.5.3, as far as it decides gzip: the first item
 * that names it, its weight 0 or not. "*" is left out; nothing depends on it. */
bool assets_gzip_is_welcome(const char *accept_encoding)
{
    const char *at = accept_encoding;

    while (at != NULL && *at != '\0') {
        size_t length;
        const char *weight;

        at += strspn(at, " \t,");
        length = strcspn(at, " \t,;");
        weight = at + length + strspn(at + length, " \t");
        if (length == 4 && strncasecmp(at, "gzip", 4) == 0) {
            if (*weight != ';')
                return true;
            weight += 1 + strspn(weight + 1, " \t");
            return strncasecmp(weight, "q=", 2) != 0 || strtod(weight + 2, NULL) > 0.0;
        }
        at += strcspn(at, ",");
    }
    return false;
}

bool assets_answer(const struct request *req, struct reply *out)
{
    const struct asset *asset =
        bsearch(req->path, assets_table, assets_count, sizeof *assets_table, compare);
    bool packed;

    if (asset == NULL)
        return false;
    packed = asset->gzip_bytes != NULL && assets_gzip_is_welcome(req->accept_encoding);
    out->status = 200;
    out->content_type = asset->content_type;
    out->body = packed ? asset->gzip_bytes : asset->bytes;
    out->body_length = packed ? asset->gzip_length : asset->length;
    out->encoding = packed ? "gzip" : NULL;
    out->cache_control = "no-cache";
    out->varies = true;
    snprintf(out->etag, sizeof out->etag, "%s",
             packed ? asset->gzip_etag : asset->etag);
    return true;
}
