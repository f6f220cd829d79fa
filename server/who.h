/*
 * Who is calling, and what they may do. Rights stand in one table, rights.c: a route
 * without a row there keeps the daemon from starting.
 *
 * Three states of the door:
 *   open       nobody owns this daemon and it listens on this machine only: whoever
 *              sits here may do everything, as the demo does
 *   unclaimed  it listens on the network and has no owner: only the claim page answers
 *   claimed    it has an owner: everybody must say who they are
 */
#ifndef WHO_H
#define WHO_H

#include <stdbool.h>
#include <stdint.h>

#define WHO_NAME_SIZE 64

enum who_role { WHO_NOBODY, WHO_VIEWER, WHO_TECHNICIAN, WHO_OWNER, WHO_INSTRUMENT };

enum who_scope {
    SCOPE_NONE,
    SCOPE_READINGS,
    SCOPE_STATUS,
    SCOPE_METRICS,
    SCOPE_CALENDAR
};

enum door_state { DOOR_OPEN, DOOR_UNCLAIMED, DOOR_CLAIMED };

struct who {
    enum who_role role;
    enum who_scope scope; /* of an instrument */
    enum door_state door;
    bool family_sees_permit;
    bool is_dead; /* brought a session or token that holds no longer */
    int64_t person_id, session_id, token_id, actor_id; /* 0: none */
    int64_t water_id;  /* the only one an instrument may write to */
    int64_t seen_at;   /* of the session */
    int64_t proved_at; /* when the secret was last typed, 0 never */
    char name[WHO_NAME_SIZE];
};

/* Which callers a route lets in. */
enum rights {
    MAY_ANYBODY = 1, /* also before there is an owner */
    MAY_FAMILY = 2,  /* without login, while the owner lets the family see the permit */
    MAY_VIEWER = 4,
    MAY_TECHNICIAN = 8,
    MAY_OWNER = 16,
    MAY_OWNER_PROVED = 32, /* an owner who typed the passphrase within 5 minutes */
    MAY_READINGS = 64,     /* tokens by scope */
    MAY_STATUS = 128,
    MAY_METRICS = 256,
    MAY_CALENDAR = 512,
    MAY_CLAIM = 1024, /* only while there is no owner */
    MAY_LOG_IN = 2048 /* anybody, once there is an owner */
};

#define WHO_PROVED_S 300

enum who_verdict {
    WHO_LET_IN,
    WHO_HIDDEN,     /* 404: the route is not there in this state of the door */
    WHO_LOG_IN,     /* 401 */
    WHO_FORBIDDEN,  /* 403 */
    WHO_PROVE_AGAIN /* 403: type the passphrase again */
};

enum who_verdict who_may(const struct who *who, unsigned rights, int64_t now);

/* Technicians correct their own entries of the last day, owners any. */
bool who_may_correct(const struct who *who, int64_t actor_id, int64_t recorded_at,
                     int64_t now);

#endif
