/* Words of the line: keys of kinds, codes and settings, and what a kind is. */
#include "line.h"

#include <string.h>

struct kind {
    enum coil_part_kind kind;
    const char *key;
    enum coil_role role;
    enum coil_source source;
};

static const struct kind KINDS[] = {
#define X(name, number, key, role, source) {name, key, role, source},
    COIL_PART_LIST(X)
#undef X
};

#define KIND_COUNT ((int)(sizeof KINDS / sizeof *KINDS))

static const struct kind *find_kind(enum coil_part_kind kind)
{
    for (int i = 0; i < KIND_COUNT; i++)
        if (KINDS[i].kind == kind)
            return &KINDS[i];
    return NULL;
}

const char *coil_part_kind_key(enum coil_part_kind kind)
{
    const struct kind *found = find_kind(kind);

    return found != NULL ? found->key : NULL;
}

enum coil_status coil_part_kind_from_key(const char *key, enum coil_part_kind *out_kind)
{
    for (int i = 0; key != NULL && i < KIND_COUNT; i++) {
        if (strcmp(KINDS[i].key, key) == 0) {
            *out_kind = KINDS[i].kind;
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

enum coil_part_kind coil_part_kind_at(int index)
{
    return index >= 0 && index < KIND_COUNT ? KINDS[index].kind
                                            : (enum coil_part_kind)0;
}

enum coil_role coil_part_role(enum coil_part_kind kind)
{
    const struct kind *found = find_kind(kind);

    return found != NULL ? found->role : COIL_ROLE_OTHER;
}

enum coil_source coil_part_source(enum coil_part_kind kind)
{
    const struct kind *found = find_kind(kind);

    return found != NULL ? found->source : COIL_SOURCE_NONE;
}

struct position_kind {
    enum coil_position_kind kind;
    const char *key;
};

static const struct position_kind POSITION_KINDS[] = {
    {COIL_POSITION_NORMAL, "normal"},
    {COIL_POSITION_HEATER_OFF_LINE, "heater_off_line"},
    {COIL_POSITION_SPA, "spa"},
    {COIL_POSITION_CLEANING, "cleaning"},
};

#define POSITION_KIND_COUNT ((int)(sizeof POSITION_KINDS / sizeof *POSITION_KINDS))

const char *coil_position_kind_key(enum coil_position_kind kind)
{
    for (int i = 0; i < POSITION_KIND_COUNT; i++)
        if (POSITION_KINDS[i].kind == kind)
            return POSITION_KINDS[i].key;
    return NULL;
}

enum coil_status coil_position_kind_from_key(const char *key,
                                             enum coil_position_kind *out_kind)
{
    for (int i = 0; key != NULL && i < POSITION_KIND_COUNT; i++) {
        if (strcmp(POSITION_KINDS[i].key, key) == 0) {
            *out_kind = POSITION_KINDS[i].kind;
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

const char *coil_line_problem_key(enum coil_line_problem_code code)
{
    static const char *const keys[] = {
#define X(name, key, field, about) key,
        COIL_LINE_PROBLEM_LIST(X)
#undef X
    };

    return (unsigned)code < COIL_LINE_PROBLEM_COUNT ? keys[code] : NULL;
}

const char *coil_line_change_key(enum coil_line_change change)
{
    static const char *const keys[] = {
#define X(name, key) key,
        COIL_LINE_CHANGE_LIST(X)
#undef X
    };

    return (unsigned)change < COIL_CHANGE_COUNT ? keys[change] : NULL;
}

const char *coil_line_fault_key(enum coil_line_fault_code code)
{
    static const char *const keys[] = {
#define X(name, key, severity, side, change) key,
        COIL_LINE_FAULT_LIST(X)
#undef X
    };

    return (unsigned)code < COIL_LINE_FAULT_COUNT ? keys[code] : NULL;
}

const char *coil_line_note_key(enum coil_line_note_code code)
{
    static const char *const keys[] = {
#define X(name, key) key,
        COIL_LINE_NOTE_LIST(X)
#undef X
    };

    return (unsigned)code < COIL_LINE_NOTE_COUNT ? keys[code] : NULL;
}

const char *coil_line_assumption_key(enum coil_line_assumption assumption)
{
    static const char *const keys[] = {
#define X(name, bit, key) [bit] = key,
        COIL_LINE_ASSUMPTION_LIST(X)
#undef X
    };

    return (unsigned)assumption < COIL_ASSUME_COUNT ? keys[assumption] : NULL;
}

const char *coil_line_severity_key(enum coil_line_severity severity)
{
    static const char *const keys[] = {"stop", "risk", "care"};

    return (unsigned)severity <= COIL_LINE_CARE ? keys[severity] : NULL;
}

double coil_part_volume_l(const struct coil_part *part)
{
    double inside_m = 0.0;

    if (coil_part_role(part->kind) != COIL_ROLE_PIPE)
        return part->volume_l;
    if (coil_pipe_inside_m(part->material, part->size, &inside_m) != COIL_OK)
        return 0.0;
    return coil_pipe_l_per_m(inside_m) * part->length_m;
}
