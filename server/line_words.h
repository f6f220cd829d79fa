/*
 * The line in words: one plain sentence for every code that lib/line.h gives out. All
 * English text of the line stands in line_words.c.
 */
#ifndef LINE_WORDS_H
#define LINE_WORDS_H

#include "lib/line.h"

/* Each lives as long as the program; "" for a foreign code. */
const char *line_fault_text(enum coil_line_fault_code code); /* what is wrong */
const char *line_fault_why(enum coil_line_fault_code code);  /* why it matters */
const char *line_change_text(enum coil_line_change change);  /* what to do */
const char *line_note_text(enum coil_line_note_code code);
const char *line_problem_text(enum coil_line_problem_code code);
const char *line_assumption_text(enum coil_line_assumption assumption);
const char *line_part_words(enum coil_part_kind kind); /* "salt cell" */
/* What is taken for values that nobody tested, and how notes are found. */
const char *line_temp_text(void);
const char *line_cyanuric_text(void);
const char *line_notes_method(void);
const char *line_exposure_text(void);
const char *line_position_words(enum coil_position_kind kind); /* "heater off line" */

/* The cautions that stand on every printed line; NULL past the end. */
const char *line_caution_at(int index);

#endif
