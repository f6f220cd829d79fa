/* Every sentence of a super-chlorination, and which steps it has. */
#ifndef SUPER_WORDS_H
#define SUPER_WORDS_H

#include <stddef.h>

#include "super_plan.h"

struct super_step {
    const char *key;
    enum db_plan_state phase; /* in which it can be ticked */
    enum db_plan_state after; /* state once every step of the phase is ticked */
    int bypass;               /* 1: only with a bypass, -1: only without, 0: always */
    const char *text;
};

/* NULL past the end; in the order in which they are done. */
const struct super_step *super_step_at(size_t index);
const char *super_state_key(enum db_plan_state state);
const char *super_state_words(enum db_plan_state state);
const char *super_way_key(enum super_way way);
const char *super_way_words(enum super_way way);
const char *super_way_remains(enum super_way way);
/* How the heater comes back once a test has confirmed it. */
const char *const *super_return_steps(bool has_bypass); /* ends with NULL */
/* Why it may not help; bits of enum coil_breakpoint_note. NULL past the last. */
const char *super_note_words(unsigned notes, int index);

#endif
