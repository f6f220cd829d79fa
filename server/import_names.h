/*
 * Names of columns and of methods of test as people write them.
 */
#ifndef IMPORT_NAMES_H
#define IMPORT_NAMES_H

#include "import.h"

struct import_name {
    const char *name; /* folded words */
    enum import_role role;
    enum coil_quantity quantity; /* of IMPORT_VALUE */
};

/* NULL when nobody knows the name. Entries live as long as the program. */
const struct import_name *import_name_find(const char *folded);
/* A quantity's own key as the whole name ("free_chlorine_mg_per_l"), NULL else. */
const struct import_name *import_name_find_key(const char *folded);

/* "Drop test", "photometer", "Teststreifen", a method's key. False when not known. */
bool import_method_find(const char *text, size_t length, enum coil_method *out_method);

#endif
