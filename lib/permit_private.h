/*
 * What permit.c and permit_rules.c share: the standing of a deciding value and the table
 * of rules. Nobody else includes this.
 */
#ifndef COIL_PERMIT_PRIVATE_H
#define COIL_PERMIT_PRIVATE_H

#include "permit.h"

/* Why the newest trustworthy value no longer counts. */
enum coil_end {
    COIL_ENDS_BY_AGE,
    COIL_ENDS_AT_WALL,
    COIL_ENDS_BY_DOSE,
    COIL_ENDS_BY_FORECAST
};

/* Where a deciding value stands. */
struct coil_standing {
    enum coil_quantity quantity;
    bool is_needed; /* biguanide needs no chlorine */
    bool is_known;  /* a trustworthy value exists */
    struct coil_measure value; /* the newest trustworthy one */
    bool is_below;  /* outside a wall of the heater */
    bool is_above;
    int64_t valid_until_s;
    enum coil_end ends;
    int64_t dose_at_s; /* of COIL_ENDS_BY_DOSE */
    bool is_doubted; /* something newer exists that cannot be trusted */
    struct coil_measure doubted;
};

struct coil_context {
    const struct coil_permit_facts *facts;
    struct coil_standing ph;
    struct coil_standing sanitiser;
};

struct coil_rule {
    const char *name;
    enum coil_side side;
    void (*judge)(const struct coil_context *context, const struct coil_rule *rule,
                  struct coil_verdict *verdict);
};

extern const struct coil_rule coil_rules[]; /* ends with name NULL */

#endif
