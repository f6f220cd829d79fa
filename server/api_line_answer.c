/* What is wrong with a line, in words, with the path that shows it and what mends it.
 */
#include <math.h>
#include <stdio.h>

#include "api_line.h"
#include "forecast_json.h"

static const char *const sides[] = {"water", "burner"};

/* Unit of a fault's value and limit; "" where it has none. */
static const char *unit_of(enum coil_line_fault_code code)
{
    switch ((int)code) {
    case COIL_FAULT_BELOW_MINIMUM_FLOW:
    case COIL_FAULT_ABOVE_MAXIMUM_FLOW:
        return "L/s";
    case COIL_FAULT_COPPER_TOO_FAST:
        return "m/s";
    case COIL_FAULT_ACID_NEAR_CHLORINE:
        return "m";
    default:
        return "";
    }
}

static void add_part(cJSON *object, const char *name, const struct coil_line *line,
                     int part)
{
    api_add_id_or_null(object, name, part < 0 ? 0 : line->parts[part].id);
}

static void add_path(cJSON *object, const struct coil_line *line, const uint8_t *path,
                     int length)
{
    cJSON *array = cJSON_AddArrayToObject(object, "path");

    for (int i = 0; i < length; i++)
        cJSON_AddItemToArray(array, cJSON_CreateNumber(line->parts[path[i]].id));
}

static void add_positions(cJSON *object, const struct coil_line *line, unsigned bits)
{
    cJSON *array = cJSON_AddArrayToObject(object, "positions");

    for (int i = 0; i < line->position_count; i++)
        if (bits & (1U << i))
            cJSON_AddItemToArray(array, cJSON_CreateString(coil_position_kind_key(
                                            line->positions[i].kind)));
}

static void add_change(cJSON *object, const struct coil_line *line,
                       const struct coil_line_fault *fault)
{
    cJSON *one = cJSON_AddObjectToObject(object, "change");
    char text[300];

    cJSON_AddStringToObject(one, "code", coil_line_change_key(fault->change));
    add_part(one, "after", line, fault->change_after);
    cJSON_AddBoolToObject(one, "needs_check_valve", fault->change_needs_check_valve);
    snprintf(text, sizeof text, "%s%s%s", line_change_text(fault->change),
             fault->change_needs_check_valve ? " " : "",
             fault->change_needs_check_valve
                 ? line_change_text(COIL_CHANGE_ADD_CHECK_VALVE)
                 : "");
    cJSON_AddStringToObject(one, "text", text);
}

static cJSON *fault_json(const struct coil_line *line,
                         const struct coil_line_fault *fault)
{
    const char *unit = unit_of(fault->code);
    cJSON *object = cJSON_CreateObject();

    cJSON_AddStringToObject(object, "code", coil_line_fault_key(fault->code));
    cJSON_AddStringToObject(object, "severity",
                            coil_line_severity_key(fault->severity));
    cJSON_AddStringToObject(object, "side", sides[fault->side]);
    add_part(object, "part", line, fault->part);
    add_part(object, "other", line, fault->other);
    add_positions(object, line, fault->positions);
    forecast_add_number(object, "value", unit[0] != '\0' ? fault->value : (double)NAN,
                        0.001);
    forecast_add_number(object, "limit", unit[0] != '\0' ? fault->limit : (double)NAN,
                        0.001);
    cJSON_AddStringToObject(object, "unit", unit);
    add_path(object, line, fault->path, fault->path_length);
    cJSON_AddStringToObject(object, "text", line_fault_text(fault->code));
    cJSON_AddStringToObject(object, "why", line_fault_why(fault->code));
    add_change(object, line, fault);
    return object;
}

static cJSON *note_json(const struct coil_line *line, const struct coil_line_note *note)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddStringToObject(object, "code", coil_line_note_key(note->code));
    add_part(object, "part", line, note->part);
    add_path(object, line, note->path, note->path_length);
    cJSON_AddStringToObject(object, "text", line_note_text(note->code));
    return object;
}

static void add_assumption(cJSON *array, const char *code, const char *text)
{
    cJSON *one = cJSON_CreateObject();

    cJSON_AddStringToObject(one, "code", code);
    cJSON_AddStringToObject(one, "text", text);
    cJSON_AddItemToArray(array, one);
}

static void add_assumptions(cJSON *answer, const struct line_water *water,
                            unsigned assumptions)
{
    cJSON *array = cJSON_AddArrayToObject(answer, "assumptions");

    for (int i = 0; i < COIL_ASSUME_COUNT; i++)
        if (assumptions & (1U << i))
            add_assumption(array,
                           coil_line_assumption_key((enum coil_line_assumption)i),
                           line_assumption_text((enum coil_line_assumption)i));
    if (!water->has_temp)
        add_assumption(array, "water_temp_not_tested", line_temp_text());
    if (water->is_known && !water->has_cyanuric_acid)
        add_assumption(array, "cyanuric_acid_not_tested", line_cyanuric_text());
}

static void add_cautions(cJSON *answer)
{
    cJSON *array = cJSON_AddArrayToObject(answer, "cautions");

    for (int i = 0; line_caution_at(i) != NULL; i++)
        cJSON_AddItemToArray(array, cJSON_CreateString(line_caution_at(i)));
}

cJSON *line_answer_json(const struct line_question *question,
                        const struct coil_line_report *report)
{
    const struct coil_line *line = &question->document->line;
    cJSON *answer = cJSON_CreateObject(), *array;

    cJSON_AddBoolToObject(answer, "all_is_well", report->all_is_well);
    cJSON_AddStringToObject(answer, "water_side", coil_permit_key(report->water_side));
    cJSON_AddStringToObject(answer, "burner_side",
                            coil_permit_key(report->burner_side));
    array = cJSON_AddArrayToObject(answer, "faults");
    for (int i = 0; i < report->fault_count; i++)
        cJSON_AddItemToArray(array, fault_json(line, &report->faults[i]));
    cJSON_AddNumberToObject(answer, "fault_total", report->fault_total);
    array = cJSON_AddArrayToObject(answer, "notes");
    for (int i = 0; i < report->note_count; i++)
        cJSON_AddItemToArray(array, note_json(line, &report->notes[i]));
    cJSON_AddNumberToObject(answer, "note_total", report->note_total);
    cJSON_AddStringToObject(answer, "notes_method", line_notes_method());
    add_assumptions(answer, question->water, report->assumptions);
    line_numbers_add(answer, question);
    add_cautions(answer);
    return answer;
}
