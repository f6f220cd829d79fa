/*
 * Units as people write them in headings and cells, and what each does to a value.
 */
#ifndef IMPORT_UNITS_H
#define IMPORT_UNITS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "lib/quantity.h"
#include "lib/units.h"

/* How a column's numbers become the quantity's own unit. */
struct import_scale {
    const struct coil_unit *from, *to; /* NULL: value = number * factor */
    int64_t factor;                    /* 1: as it is */
};

enum import_unit_fit {
    IMPORT_UNIT_NONE,  /* no unit that we know */
    IMPORT_UNIT_UNFIT, /* a unit, but not one of this quantity */
    IMPORT_UNIT_FITS
};

/* text is any spelling ("mg/L", "ppm as CaCO3", "deg F"); needs no end. out_scale is
 * filled when it fits. */
enum import_unit_fit import_unit_find(const char *text, size_t length,
                                      enum coil_quantity quantity,
                                      struct import_scale *out_scale);
/* Whether text is a unit of anything. */
bool import_unit_is_known(const char *text, size_t length);

/* Units that fit the quantity, one for each n from 0, as pages offer them; NULL after
 * the last. */
const char *import_unit_choice(enum coil_quantity quantity, size_t n);

/* The scale of a column without a unit: the quantity's own. */
struct import_scale import_unit_own(void);

/* False when the value has no meaning (below absolute zero, too large). */
bool import_unit_convert(const struct import_scale *scale, int64_t value_e6,
                         int64_t *out_value_e6);

#endif
