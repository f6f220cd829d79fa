/* The line as a document: read from JSON, written as JSON, and what is to be said of
 * it. */
#ifndef API_LINE_H
#define API_LINE_H

#include "api_common.h"
#include "line_water.h"
#include "line_words.h"
#include "lib/line.h"

/* A line and what its owner calls the parts. About 55 kB: better not on a stack. */
struct line_document {
    struct coil_line line;
    char names[COIL_LINE_PARTS_MAX][DB_NAME_SIZE];
};

/* Reads parts, edges and positions of a form's object and judges whether they are a
 * line (lib/line.h). What is wrong is added to the form's problem, all faults of form
 * at once, then the first of the line. */
void line_document_read(struct form *form, struct line_document *out);

/* A stored document; false when it cannot be read. */
bool line_document_parse(const char *text, struct line_document *out);

/* Index of the normal position, or of the first. */
int line_usual_position(const struct coil_line *line);

/* Adds "parts", "edges", "positions" as line_document_read takes them. */
void line_document_add(cJSON *object, const struct line_document *document);

/* What an answer is made from. */
struct line_question {
    const struct line_document *document;
    const struct line_water *water;
    const struct db_heater *heater; /* its limits */
    double hours;                   /* that the pump stands */
};

/* "answer" of docs/api.md. Report of the same line; NULL without memory. */
cJSON *line_answer_json(const struct line_question *question,
                        const struct coil_line_report *report);

/* The parts of the answer that are numbers: adds "water", "flow", "feed", "standing".
 */
void line_numbers_add(cJSON *answer, const struct line_question *question);

#endif
