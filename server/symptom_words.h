/*
 * What people notice at a heater: what it may come from, what to look at, and when to
 * stop and call. Directions to look in, never a diagnosis.
 */
#ifndef SYMPTOM_WORDS_H
#define SYMPTOM_WORDS_H

#include "db_flue.h"

enum symptom_rank {
    SYMPTOM_LOOK,  /* may wait for the next visit */
    SYMPTOM_STOP,  /* heater off, then call */
    SYMPTOM_LEAVE  /* out of the house first */
};

#define SYMPTOM_LINES 5

struct symptom_words {
    const char *key; /* stable */
    const char *name;
    enum symptom_rank rank;
    bool holds_burner; /* until a technician's later test */
    const char *causes[SYMPTOM_LINES]; /* NULL after the last */
    const char *checks[SYMPTOM_LINES];
    const char *stop;
};

/* Never NULL for a kind there is. */
const struct symptom_words *symptom_words(enum db_symptom_kind kind);

#endif
