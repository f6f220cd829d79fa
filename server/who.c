#include "who.h"

#define CORRECTION_S 86400

static unsigned own_rights(const struct who *who)
{
    switch (who->role) {
    case WHO_OWNER:
        return MAY_OWNER | MAY_TECHNICIAN | MAY_VIEWER | MAY_FAMILY;
    case WHO_TECHNICIAN:
        return MAY_TECHNICIAN | MAY_VIEWER | MAY_FAMILY;
    case WHO_VIEWER:
        return MAY_VIEWER | MAY_FAMILY;
    case WHO_INSTRUMENT:
        switch (who->scope) {
        case SCOPE_READINGS:
            return MAY_READINGS;
        case SCOPE_STATUS:
            return MAY_STATUS;
        case SCOPE_METRICS:
            return MAY_METRICS;
        case SCOPE_CALENDAR:
            return MAY_CALENDAR;
        case SCOPE_NONE:
            break;
        }
        break;
    case WHO_NOBODY:
        return who->family_sees_permit && !who->is_dead ? MAY_FAMILY : 0;
    }
    return 0;
}

static bool is_proved(const struct who *who, int64_t now)
{
    return who->role == WHO_OWNER && now >= who->proved_at &&
           now - who->proved_at <= WHO_PROVED_S;
}

enum who_verdict who_may(const struct who *who, unsigned rights, int64_t now)
{
    if (rights & MAY_ANYBODY)
        return WHO_LET_IN;
    if (rights & MAY_CLAIM)
        return who->door == DOOR_CLAIMED ? WHO_HIDDEN : WHO_LET_IN;
    if (rights & MAY_LOG_IN)
        return who->door == DOOR_CLAIMED ? WHO_LET_IN : WHO_HIDDEN;
    if (who->door == DOOR_OPEN)
        return WHO_LET_IN;
    if (who->door == DOOR_UNCLAIMED)
        return WHO_LOG_IN;
    if (rights & own_rights(who))
        return WHO_LET_IN;
    if (rights & MAY_OWNER_PROVED && who->role == WHO_OWNER)
        return is_proved(who, now) ? WHO_LET_IN : WHO_PROVE_AGAIN;
    return who->role == WHO_NOBODY ? WHO_LOG_IN : WHO_FORBIDDEN;
}

bool who_may_correct(const struct who *who, int64_t actor_id, int64_t recorded_at,
                     int64_t now)
{
    if (who->door == DOOR_OPEN || who->role == WHO_OWNER)
        return true;
    return who->role == WHO_TECHNICIAN && actor_id == who->actor_id &&
           now >= recorded_at && now - recorded_at <= CORRECTION_S;
}
