/*
 * Recurrence rules as text, the way iCalendar writes them [rfc-5545]:
 * "FREQ=MONTHLY;INTERVAL=2;BYDAY=1MO". Takes what recurrence.h takes.
 */
#ifndef COIL_RECURRENCE_TEXT_H
#define COIL_RECURRENCE_TEXT_H

#include "recurrence.h"

#define COIL_RULE_TEXT_SIZE 512 /* room for any rule that is written */

/*
 * Reads a rule. start_day stays as it is in *rule; all else is set from the text.
 *
 * text  parts in any order, each at most once, FREQ needed, letters in capitals; dates of
 *       UNTIL as 20271231, or as 20271231T235959Z of which only the date counts
 * rule  untouched unless COIL_OK is returned
 *
 * Returns COIL_OK, or COIL_ERR_DOMAIN for what is not understood or fails
 * coil_rule_check.
 */
enum coil_status coil_rule_read(const char *text, struct coil_rule *rule);

/* Writes a rule that passed the check; reading it again gives the same rule. size
 * COIL_RULE_TEXT_SIZE is always enough; a shorter one cuts. */
void coil_rule_write(const struct coil_rule *rule, char *out, int size);

/* "20270401", for DTSTART and UNTIL. */
void coil_day_write(int32_t day, char out[9]);

#endif
