#include "rights.h"

#include <stdio.h>
#include <string.h>

#define EVERYBODY (MAY_FAMILY | MAY_STATUS)

const struct right rights[] = {
    /* up or not, and what there is to call */
    {"GET", "/healthz", MAY_ANYBODY},
    {"GET", "/readyz", MAY_ANYBODY},
    {"GET", "/metrics", MAY_OWNER | MAY_METRICS},
    {"GET", "/api/v1/openapi.json", MAY_VIEWER},

    /* the permit */
    {"GET", "/api/v1/permit", EVERYBODY},
    {"GET", "/api/v1/events", EVERYBODY},
    {"GET", "/api/v1/permits", MAY_VIEWER},
    {"GET", "/api/v1/exposure", MAY_VIEWER},
    {"GET", "/api/v1/forecast", MAY_VIEWER},

    /* the house: site, waters, heaters, line */
    {"GET", "/api/v1/places", MAY_VIEWER},
    {"GET", "/api/v1/site", MAY_VIEWER},
    {"PUT", "/api/v1/site", MAY_OWNER},
    {"GET", "/api/v1/waters", MAY_VIEWER},
    {"POST", "/api/v1/waters", MAY_OWNER},
    {"GET", "/api/v1/waters/{id}", MAY_VIEWER},
    {"PUT", "/api/v1/waters/{id}", MAY_OWNER},
    {"GET", "/api/v1/waters/{id}/fill", MAY_VIEWER},
    {"PUT", "/api/v1/waters/{id}/fill", MAY_TECHNICIAN},
    {"GET", "/api/v1/waters/{id}/wanted", MAY_VIEWER},
    {"PUT", "/api/v1/waters/{id}/wanted", MAY_TECHNICIAN},
    {"GET", "/api/v1/heaters", MAY_VIEWER},
    {"POST", "/api/v1/heaters", MAY_OWNER},
    {"GET", "/api/v1/heaters/{id}", MAY_VIEWER},
    {"PUT", "/api/v1/heaters/{id}", MAY_OWNER},
    {"GET", "/api/v1/heaters/{id}/versions", MAY_VIEWER},
    {"GET", "/api/v1/heaters/{id}/tariff", MAY_VIEWER},
    {"PUT", "/api/v1/heaters/{id}/tariff", MAY_OWNER},

    {"GET", "/api/v1/line", MAY_VIEWER},
    {"PUT", "/api/v1/line", MAY_OWNER},
    {"POST", "/api/v1/line/trial", MAY_VIEWER},

    /* facts */
    {"GET", "/api/v1/readings", MAY_VIEWER},
    {"POST", "/api/v1/readings", MAY_TECHNICIAN | MAY_READINGS},
    {"GET", "/api/v1/readings/{id}", MAY_VIEWER},
    {"POST", "/api/v1/readings/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/readings/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/doses", MAY_VIEWER},
    {"POST", "/api/v1/doses", MAY_TECHNICIAN},
    {"GET", "/api/v1/doses/{id}", MAY_VIEWER},
    {"POST", "/api/v1/doses/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/doses/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/runs", MAY_VIEWER},
    {"POST", "/api/v1/runs", MAY_TECHNICIAN},
    {"GET", "/api/v1/runs/{id}", MAY_VIEWER},
    {"POST", "/api/v1/runs/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/runs/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/heater-states", MAY_VIEWER},
    {"POST", "/api/v1/heater-states", MAY_TECHNICIAN},
    {"GET", "/api/v1/heater-states/{id}", MAY_VIEWER},
    {"POST", "/api/v1/heater-states/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/heater-states/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/quantities", MAY_VIEWER},
    {"GET", "/api/v1/series", MAY_VIEWER},

    /* heat */
    {"GET", "/api/v1/warm-by", MAY_VIEWER},
    {"GET", "/api/v1/warm-ups", MAY_VIEWER},
    {"POST", "/api/v1/warm-ups", MAY_TECHNICIAN},
    {"GET", "/api/v1/warm-ups/{id}", MAY_VIEWER},
    {"POST", "/api/v1/warm-ups/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/warm-ups/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/meter-changes", MAY_VIEWER},
    {"POST", "/api/v1/meter-changes", MAY_TECHNICIAN},
    {"GET", "/api/v1/meter-changes/{id}", MAY_VIEWER},
    {"POST", "/api/v1/meter-changes/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/meter-changes/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/efficiency", MAY_VIEWER},
    {"GET", "/api/v1/metal", MAY_VIEWER},
    {"POST", "/api/v1/heater-checks", MAY_VIEWER},

    /* exchange */
    {"GET", "/api/v1/export", MAY_VIEWER},
    {"POST", "/api/v1/import", MAY_OWNER},
    {"GET", "/api/v1/import/progress", MAY_OWNER},
    {"POST", "/api/v1/import/cancel", MAY_OWNER},
    {"POST", "/api/v1/import/{id}/withdrawal", MAY_OWNER},

    /* treatment */
    {"GET", "/api/v1/shed", MAY_VIEWER},
    {"POST", "/api/v1/shed", MAY_TECHNICIAN},
    {"GET", "/api/v1/shed/{id}", MAY_VIEWER},
    {"PUT", "/api/v1/shed/{id}", MAY_TECHNICIAN},
    {"GET", "/api/v1/treatment", MAY_VIEWER},
    {"POST", "/api/v1/treatment/trial", MAY_VIEWER},
    {"POST", "/api/v1/drift/trial", MAY_VIEWER},
    {"POST", "/api/v1/volume/trial", MAY_VIEWER},

    /* super-chlorination */
    {"GET", "/api/v1/super-chlorination", MAY_VIEWER},
    {"POST", "/api/v1/super-chlorination", MAY_TECHNICIAN},
    {"GET", "/api/v1/super-chlorination/{id}", MAY_VIEWER},
    {"POST", "/api/v1/super-chlorination/{id}/step", MAY_TECHNICIAN},
    {"POST", "/api/v1/super-chlorination/{id}/abandonment", MAY_TECHNICIAN},
    {"GET", "/api/v1/super-chlorinations", MAY_VIEWER},

    /* care */
    {"GET", "/api/v1/care", MAY_VIEWER},
    {"POST", "/api/v1/care-tasks", MAY_TECHNICIAN},
    {"GET", "/api/v1/care-tasks/{id}", MAY_VIEWER},
    {"PUT", "/api/v1/care-tasks/{id}", MAY_TECHNICIAN},
    {"GET", "/api/v1/visits", MAY_VIEWER},
    {"POST", "/api/v1/visits", MAY_TECHNICIAN},
    {"GET", "/api/v1/visits/{id}", MAY_VIEWER},
    {"POST", "/api/v1/visits/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/visits/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/heaters/{id}/plate", MAY_VIEWER},
    {"PUT", "/api/v1/heaters/{id}/plate", MAY_TECHNICIAN},
    {"GET", "/api/v1/flue-tests", MAY_VIEWER},
    {"POST", "/api/v1/flue-tests", MAY_TECHNICIAN},
    {"GET", "/api/v1/flue-tests/{id}", MAY_VIEWER},
    {"POST", "/api/v1/flue-tests/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/flue-tests/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/flue", MAY_VIEWER},
    {"GET", "/api/v1/symptoms", MAY_VIEWER},
    /* whoever smells gas may say so */
    {"POST", "/api/v1/symptoms", MAY_VIEWER},
    {"GET", "/api/v1/symptoms/{id}", MAY_VIEWER},
    {"POST", "/api/v1/symptoms/{id}/correction", MAY_TECHNICIAN},
    {"POST", "/api/v1/symptoms/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/symptom-kinds", MAY_VIEWER},
    {"GET", "/api/v1/photos", MAY_VIEWER},
    {"POST", "/api/v1/photos", MAY_TECHNICIAN},
    {"GET", "/api/v1/photos/{id}", MAY_VIEWER},
    {"GET", "/api/v1/photos/{id}/image", MAY_VIEWER},
    {"POST", "/api/v1/photos/{id}/withdrawal", MAY_TECHNICIAN},
    {"GET", "/api/v1/record", MAY_VIEWER},
    /* the token in the address decides; without a good one there is nothing */
    {"GET", "/calendar/{token}.ics", MAY_ANYBODY},
    {"GET", "/api/v1/waters/{id}/season", MAY_VIEWER},
    {"PUT", "/api/v1/waters/{id}/season", MAY_TECHNICIAN},

    {"GET", "/api/v1/clock", MAY_VIEWER},
    {"POST", "/api/v1/clock/confirmation", MAY_TECHNICIAN},

    /* people */
    {"POST", "/api/v1/claim", MAY_CLAIM},
    {"GET", "/api/v1/session", MAY_ANYBODY},
    {"POST", "/api/v1/session", MAY_LOG_IN},
    {"POST", "/api/v1/session/end", MAY_VIEWER},
    {"POST", "/api/v1/session/proof", MAY_OWNER},
    {"GET", "/api/v1/sessions", MAY_OWNER},
    {"POST", "/api/v1/sessions/{id}/revocation", MAY_OWNER_PROVED},
    {"GET", "/api/v1/people", MAY_OWNER},
    {"POST", "/api/v1/people", MAY_OWNER_PROVED},
    {"GET", "/api/v1/people/{id}", MAY_OWNER},
    {"PUT", "/api/v1/people/{id}", MAY_OWNER_PROVED},
    {"POST", "/api/v1/people/{id}/pin", MAY_OWNER_PROVED},
    {"POST", "/api/v1/people/{id}/passphrase", MAY_OWNER_PROVED},
    {"GET", "/api/v1/tokens", MAY_OWNER},
    {"POST", "/api/v1/tokens", MAY_OWNER_PROVED},
    {"POST", "/api/v1/tokens/{id}/issue", MAY_OWNER_PROVED},
    {"POST", "/api/v1/tokens/{id}/revocation", MAY_OWNER_PROVED},
    {"GET", "/api/v1/door", MAY_OWNER},
    {"PUT", "/api/v1/door", MAY_OWNER_PROVED},
    {"GET", "/api/v1/journal", MAY_OWNER},
    {"GET", "/api/v1/backups", MAY_OWNER},
    {"POST", "/api/v1/backups", MAY_OWNER},
    {"GET", "/api/v1/backups/{id}/file", MAY_OWNER_PROVED},
    {"POST", "/api/v1/backups/{id}/restoration", MAY_OWNER_PROVED},

    {0},
};

static const struct right *find(const char *method, const char *pattern, int *out_count)
{
    const struct right *found = NULL;

    *out_count = 0;
    for (const struct right *row = rights; row->method != NULL; row++)
        if (strcmp(row->method, method) == 0 && strcmp(row->pattern, pattern) == 0) {
            found = row;
            ++*out_count;
        }
    return found;
}

unsigned rights_of(const struct route *route)
{
    int count;
    const struct right *row = find(route->method, route->pattern, &count);

    return count == 1 ? row->may : 0;
}

static bool is_route(const struct right *row)
{
    for (const struct route *route = routes; route->method != NULL; route++)
        if (strcmp(row->method, route->method) == 0 &&
            strcmp(row->pattern, route->pattern) == 0)
            return true;
    return false;
}

bool rights_are_whole(char *out_fault, size_t size)
{
    for (const struct route *route = routes; route->method != NULL; route++)
        if (rights_of(route) == 0) {
            snprintf(out_fault, size, "%s %s must have one row in rights.c",
                     route->method, route->pattern);
            return false;
        }
    for (const struct right *row = rights; row->method != NULL; row++)
        if (!is_route(row)) {
            snprintf(out_fault, size, "rights.c has a row for %s %s, which is no route",
                     row->method, row->pattern);
            return false;
        }
    return true;
}
