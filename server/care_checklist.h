/* The checklist of a visit: what a technician looks at, with results and numbers. */
#ifndef CARE_CHECKLIST_H
#define CARE_CHECKLIST_H

#include "form.h"

/* Keys in order, NULL at the end. */
extern const char *const care_checklist_items[];

/*
 * Member "checklist" of a visit's form: an object with any of the items, each
 * {"result":"good|put_right|bad|not_checked","value":…,"unit":…,"note":…}. Writes what
 * was read as JSON text, "{}" for none. Numbers of gas_pressure and leak_test are pascal;
 * others name their unit.
 */
void care_checklist_read(struct form *form, char *out, size_t size);

/* Whether that text says for an item that it was left bad. */
bool care_checklist_is_bad(const char *text, const char *item);

#endif
