/*
 * The permit in words: one short sentence for each finding, what to do next, and the
 * ordered list of steps. All English text of the permit stands in permit_words.c.
 */
#ifndef PERMIT_WORDS_H
#define PERMIT_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "lib/permit.h"

#define PERMIT_TEXT_SIZE 240
#define PERMIT_STEPS_MAX 8

struct permit_words {
    char text[PERMIT_TEXT_SIZE]; /* why */
    const char *next;            /* the one thing to do next; lives for ever; may be "" */
};

/* Where no time can be told; a day is a convention. */
#define PERMIT_BACK_UNKNOWN                                                            \
    "When the heater may come back cannot be said yet. Keep it off, and test again "   \
    "within a day."

/* us_units: temperatures in °F. */
void permit_words(const struct coil_finding *finding,
                  const struct coil_permit_facts *facts, bool us_units,
                  struct permit_words *out);

/* "almost three times", "twice", "one and a half times"; factor > 1. size >= 48. */
void permit_times(double factor, char *out, size_t size);

/* Fills out with at most PERMIT_STEPS_MAX steps in order; returns how many. */
size_t permit_steps(const struct coil_verdict *verdict,
                    const struct coil_permit_facts *facts,
                    const char *out[PERMIT_STEPS_MAX]);

/* The sentence beneath the headline. size >= PERMIT_TEXT_SIZE. */
void permit_headline(const struct coil_verdict *verdict,
                     const struct coil_permit_facts *facts, bool us_units, char *out,
                     size_t size);

#endif
