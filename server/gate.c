#include "gate.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "problem.h"

bool gate_lets_who(const struct request *req, unsigned rights, int64_t now,
                   struct reply *out)
{
    const struct who *who = &req->who;

    switch (who_may(who, rights, now)) {
    case WHO_LET_IN:
        return true;
    case WHO_HIDDEN:
        reply_refuse(out, 404, "not_found", NULL, "There is nothing here.");
        break;
    case WHO_LOG_IN:
        reply_refuse(out, 401, who->door == DOOR_UNCLAIMED ? "not_claimed" : "log_in",
                     NULL,
                     who->door == DOOR_UNCLAIMED
                         ? "Nobody owns this Coilkeep yet; claim it first."
                     : who->is_dead ? "That login has ended. Log in again."
                                    : "Log in first.");
        break;
    case WHO_FORBIDDEN:
        reply_refuse(out, 403, "not_yours", NULL, "That is not yours to do.");
        break;
    case WHO_PROVE_AGAIN:
        reply_refuse(out, 403, "prove_again", NULL,
                     "Type your passphrase again first: for this it must be less than "
                     "five minutes ago.");
        break;
    }
    return false;
}

/* The scheme and Host together are our origin as a browser writes it. Ports count:
 * another service of this machine is another origin, though cookies do not tell them
 * apart. */
static bool is_own_origin(const struct request *req)
{
    const char *scheme = req->is_secure ? "https://" : "http://";
    size_t length = strlen(scheme);

    return req->origin != NULL && req->host != NULL &&
           strncmp(req->origin, scheme, length) == 0 &&
           strcasecmp(req->origin + length, req->host) == 0;
}

static bool is_from_own_page(const struct request *req, struct reply *out)
{
    const char *why = NULL;

    if (!is_own_origin(req))
        why = "The Origin header is not this service's own address.";
    else if (req->change_header == NULL || strcmp(req->change_header, "1") != 0)
        why = "The header Coilkeep-Change: 1 is missing.";
    else if (req->sec_fetch_site != NULL &&
             strcmp(req->sec_fetch_site, "same-origin") != 0)
        why = "The browser says that another site sent this.";
    if (why != NULL)
        reply_refuse(out, 403, "not_same_origin", NULL, "%s", why);
    return why == NULL;
}

static bool has_content_type(const struct request *req, const struct route *route,
                             struct reply *out)
{
    const char *wanted = "application/json", *other = NULL;

    if (route->flags & ROUTE_CSV_BODY)
        wanted = "text/csv";
    if (route->flags & ROUTE_PHOTO_BODY) {
        wanted = "image/jpeg";
        other = "image/png";
    }
    if (req->content_type != NULL &&
        (strcasecmp(req->content_type, wanted) == 0 ||
         (other != NULL && strcasecmp(req->content_type, other) == 0)))
        return true;
    reply_refuse(out, 415, "content_type", NULL, "Content-Type must be %s%s%s.", wanted,
                 other != NULL ? " or " : "", other != NULL ? other : "");
    return false;
}

bool gate_key_is_good(const char *key)
{
    size_t length = strlen(key);

    for (size_t i = 0; i < length; i++) {
        char byte = key[i];

        if (!((byte >= '0' && byte <= '9') || (byte >= 'a' && byte <= 'z') ||
              (byte >= 'A' && byte <= 'Z') || byte == '-'))
            return false;
    }
    return length >= 8 && length <= 64;
}

bool gate_lets_key(const struct request *req, struct reply *out)
{
    if (req->idempotency_key == NULL) {
        reply_refuse(out, 400, "key_missing", NULL,
                     "The header Idempotency-Key is missing.");
        return false;
    }
    if (!gate_key_is_good(req->idempotency_key)) {
        reply_refuse(out, 400, "key_invalid", NULL,
                     "Idempotency-Key must be 8 to 64 letters, digits or \"-\".");
        return false;
    }
    return true;
}

bool gate_lets_change(const struct request *req, const struct route *route,
                      struct reply *out)
{
    if (!(route->flags & ROUTE_CHANGES))
        return true;
    /* A token is sent by no browser on its own, so no other page can borrow it. */
    if ((req->who.role != WHO_INSTRUMENT && !is_from_own_page(req, out)) || !has_content_type(req, route, out))
        return false;
    if ((route->flags & ROUTE_KEY) && !(route->flags & ROUTE_OUTSIDE_TRANSACTION) &&
        !gate_lets_key(req, out))
        return false;
    if ((route->flags & ROUTE_MATCH) && req->if_match == NULL) {
        reply_refuse(out, 428, "match_missing", NULL,
                     "The header If-Match is missing: send the ETag that this was read "
                     "with.");
        return false;
    }
    return true;
}

/* Whether a space-separated list holds the name. */
static bool list_holds(const char *list, const char *name)
{
    size_t length = strlen(name);

    if (list == NULL || length == 0 || strchr(name, ' ') != NULL)
        return false;
    for (const char *at = strstr(list, name); at != NULL; at = strstr(at + 1, name))
        if ((at == list || at[-1] == ' ') && (at[length] == ' ' || at[length] == '\0'))
            return true;
    return false;
}

bool gate_lets_query(const struct request *req, const struct route *route,
                     struct reply *out)
{
    struct problem problem;

    problem_init(&problem);
    problem.status = 400;
    for (size_t i = 0; i < req->query_count; i++)
        if (!list_holds(route->queries, req->query[i].name))
            problem_add(&problem, "query_unknown", req->query[i].name,
                        "%.60s is not known in this query.", req->query[i].name);
    if (problem.count == 0)
        return true;
    reply_problem(out, &problem);
    return false;
}

uint64_t gate_body_max(const struct route *route)
{
    if (route == NULL || !(route->flags & ROUTE_CHANGES))
        return 0;
    if (route->flags & ROUTE_PHOTO_BODY)
        return GATE_PHOTO_BYTES_MAX;
    return route->flags & ROUTE_CSV_BODY ? GATE_CSV_BYTES_MAX : GATE_JSON_BYTES_MAX;
}

bool gate_tag_listed(const char *list, const char *etag)
{
    size_t length = strlen(etag);
    const char *at = list + strspn(list, " \t");

    if (strcmp(at, "*") == 0)
        return true;
    while (*at != '\0') {
        at += strspn(at, " \t,");
        if (strncmp(at, etag, length) == 0 && strchr(" \t,", at[length]) != NULL)
            return true; /* strchr also finds the end of the text */
        at += strcspn(at, ",");
    }
    return false;
}
