#include "import_header.h"

#include <stdio.h>
#include <string.h>

#include "import_dates.h"
#include "import_names.h"
#include "utf8.h"

#define DETAIL_SIZE 200
#define TEXT_SIZE 128
#define UNIT_WORDS_MAX 4

/* One heading, taken apart. */
struct heading {
    char name[TEXT_SIZE];    /* folded words, one blank between */
    char bracket[TEXT_SIZE]; /* what stood in brackets, folded; "" for none */
    char unit[TEXT_SIZE];    /* a unit that was found; "" for none */
};

/* Marks become blanks, runs of blanks one. */
static void tidy(char *text)
{
    char *to = text;

    for (const char *at = text; *at != '\0'; at++) {
        char byte = strchr("_-.,:;*#()[]\"'\t\r\n", *at) != NULL ? ' ' : *at;

        if (byte != ' ' || (to > text && to[-1] != ' '))
            *to++ = byte;
    }
    if (to > text && to[-1] == ' ')
        to--;
    *to = '\0';
}

/* Takes "(…)" or "[…]" out of the name. */
static void take_bracket(struct heading *heading)
{
    char *open = strpbrk(heading->name, "([");
    char *close = open == NULL ? NULL : strpbrk(open, ")]");

    if (close == NULL)
        return;
    *close = '\0';
    snprintf(heading->bracket, sizeof heading->bracket, "%s", open + 1);
    *open = '\0';
    memmove(open + 1, close + 1, strlen(close + 1) + 1);
    *open = ' ';
}

/* Start of the last n words, NULL when no word would be left before them. */
static char *last_words(char *text, int n)
{
    char *at = text + strlen(text);

    while (n > 0) {
        if (at == text)
            return NULL;
        at--;
        if (*at == ' ')
            n--;
    }
    return at + 1;
}

/* Takes a unit off the end of the name: "salt g per l", "temp f". */
static void take_last_unit(struct heading *heading)
{
    for (int n = UNIT_WORDS_MAX; n > 0; n--) {
        char *words = last_words(heading->name, n);

        if (words == NULL || !import_unit_is_known(words, strlen(words)))
            continue;
        snprintf(heading->unit, sizeof heading->unit, "%s", words);
        words[-1] = '\0';
        return;
    }
}

/* Drops words that say nothing about which value it is. */
static void drop_fillers(char *text)
{
    static const char *const fillers[] = {
        "pool",   "level", "reading", "value", "wert", "valor", "nivel",
        "result", "test",  "in",      "as",    "als",  "en",    "measured"};
    char kept[TEXT_SIZE] = "";
    char *rest = NULL;
    char copy[TEXT_SIZE];
    size_t used = 0;

    snprintf(copy, sizeof copy, "%s", text);
    for (char *word = strtok_r(copy, " ", &rest); word != NULL;
         word = strtok_r(NULL, " ", &rest)) {
        bool is_filler = false;

        for (size_t i = 0; i < sizeof fillers / sizeof fillers[0]; i++)
            is_filler = is_filler || strcmp(word, fillers[i]) == 0;
        if (!is_filler)
            used += (size_t)snprintf(kept + used, sizeof kept - used, "%s%s",
                                     used == 0 ? "" : " ", word);
    }
    if (used > 0)
        memcpy(text, kept, used + 1);
}

static const struct import_name *find_name(char *text)
{
    const struct import_name *found;

    tidy(text);
    found = import_name_find(text);
    if (found != NULL)
        return found;
    drop_fillers(text);
    return import_name_find(text);
}

/* "Chlorine (free)": the brackets hold a word of the name. */
static const struct import_name *find_with_bracket(const struct heading *heading)
{
    char text[2 * TEXT_SIZE];

    snprintf(text, sizeof text, "%s %s", heading->name, heading->bracket);
    return strlen(text) < TEXT_SIZE ? find_name(text) : NULL;
}

static bool is_of_time(const struct import_name *name)
{
    return name->role == IMPORT_DATE || name->role == IMPORT_TIME ||
           name->role == IMPORT_INSTANT;
}

/* Takes the heading apart and finds what it names; NULL when nobody knows. */
static const struct import_name *understand(const char *text, size_t length,
                                            struct heading *heading)
{
    const struct import_name *name;

    memset(heading, 0, sizeof *heading);
    import_fold(text, length, heading->name, sizeof heading->name);
    name = import_name_find_key(heading->name);
    if (name != NULL)
        return name;
    take_bracket(heading);
    if (heading->bracket[0] != '\0') {
        if (import_unit_is_known(heading->bracket, strlen(heading->bracket))) {
            memcpy(heading->unit, heading->bracket, sizeof heading->unit);
        } else {
            name = find_with_bracket(heading);
            if (name != NULL)
                return name;
        }
        name = find_name(heading->name);
        /* What else the brackets say matters of a value: "pH (spa)" is not our pH. */
        if (name != NULL && name->role == IMPORT_VALUE && heading->unit[0] == '\0')
            return NULL;
        return name;
    }
    name = find_name(heading->name);
    if (name != NULL)
        return name;
    take_last_unit(heading);
    return heading->unit[0] != '\0' ? find_name(heading->name) : NULL;
}

int import_header_score(const struct csv_row *row)
{
    bool has_time = false;
    bool has_value = false;

    for (size_t i = 0; i < row->count && i < CSV_FIELDS_MAX; i++) {
        struct heading heading;
        const struct import_name *name =
            understand(row->fields[i].text, row->fields[i].length, &heading);

        has_time = has_time || (name != NULL && is_of_time(name));
        has_value = has_value || (name != NULL && name->role == IMPORT_VALUE);
    }
    return has_time + has_value;
}

/* Brackets of a date that say its order: dd/mm/yyyy, TT.MM.JJJJ, dd/mm/aaaa. */
static enum import_dates declared_order(const char *bracket)
{
    if (bracket[0] == '\0' || bracket[strspn(bracket, "dtmyjahs ./-:")] != '\0' ||
        strlen(bracket) < 6)
        return IMPORT_DATES_AUTO;
    if (bracket[0] == 'd' || bracket[0] == 't')
        return IMPORT_DATES_DMY;
    if (bracket[0] == 'm')
        return IMPORT_DATES_MDY;
    return bracket[0] == 'y' || bracket[0] == 'j' || bracket[0] == 'a'
               ? IMPORT_DATES_YMD
               : IMPORT_DATES_AUTO;
}

static void copy_header(const struct csv_field *field, struct import_column *column)
{
    char *end;

    csv_unquote(field, column->header, sizeof column->header);
    utf8_trim_end(column->header);
    end = column->header + strlen(column->header);
    while (end > column->header && end[-1] == ' ')
        *--end = '\0';
}

static int *place_of(struct import_plan *plan, enum import_role role)
{
    switch (role) {
    case IMPORT_DATE:
    case IMPORT_INSTANT:
        return &plan->date;
    case IMPORT_TIME:
        return &plan->time;
    case IMPORT_METHOD:
        return &plan->method;
    case IMPORT_BY:
        return &plan->by;
    case IMPORT_NOTE:
        return &plan->note;
    case IMPORT_DETAILS:
        return &plan->details;
    default:
        return NULL;
    }
}

static enum import_fault refuse_twice(const struct import_dialect *dialect, size_t one,
                                      size_t other, char *out_detail)
{
    snprintf(out_detail, DETAIL_SIZE,
             "Two columns hold the same: \"%.60s\" and \"%.60s\". Leave one out.",
             dialect->columns[one].header, dialect->columns[other].header);
    return IMPORT_COLUMN_TWICE;
}

/* Puts a value column into the plan, in order of the quantities. */
static enum import_fault place_value(struct import_dialect *dialect, size_t index,
                                     enum coil_quantity quantity, const char *unit,
                                     struct import_plan *plan, char *out_detail)
{
    struct import_scale scale = import_unit_own();
    size_t at = plan->value_count;

    for (size_t i = 0; i < plan->value_count; i++)
        if (plan->values[i].quantity == quantity)
            return refuse_twice(dialect, (size_t)plan->values[i].column, index,
                                out_detail);
    if (unit[0] != '\0' &&
        import_unit_find(unit, strlen(unit), quantity, &scale) != IMPORT_UNIT_FITS) {
        snprintf(out_detail, DETAIL_SIZE,
                 "The unit of the column \"%.80s\" does not fit: %s is given in %s.",
                 dialect->columns[index].header, coil_quantity_info(quantity)->words,
                 quantity == COIL_PH ? "no unit" : coil_quantity_info(quantity)->unit);
        return IMPORT_UNIT_WRONG;
    }
    for (; at > 0 && plan->values[at - 1].quantity > quantity; at--)
        plan->values[at] = plan->values[at - 1];
    plan->values[at].column = (int)index;
    plan->values[at].quantity = quantity;
    plan->values[at].scale = scale;
    plan->value_count++;
    return IMPORT_OK;
}

/* A sure instant makes date and time beside it a repetition for people. */
static void prefer_instant(struct import_dialect *dialect, struct import_plan *plan)
{
    for (size_t i = 0; i < dialect->column_count; i++) {
        struct import_column *column = &dialect->columns[i];

        if (column->role == IMPORT_DATE || column->role == IMPORT_TIME)
            column->role = IMPORT_IGNORED;
    }
    plan->time = -1;
}

static void place_time(struct import_dialect *dialect, size_t index,
                       const struct heading *heading, struct import_plan *plan)
{
    enum import_dates declared = declared_order(heading->bracket);
    size_t length = strlen(heading->name);

    if (declared != IMPORT_DATES_AUTO)
        plan->declared = declared;
    if (strcmp(heading->bracket, "utc") == 0 || strcmp(heading->bracket, "gmt") == 0 ||
        (length > 4 && strcmp(heading->name + length - 4, " utc") == 0))
        plan->date_is_utc = true;
    if (dialect->columns[index].role == IMPORT_INSTANT)
        prefer_instant(dialect, plan);
}

static bool has_role(const struct import_dialect *dialect, size_t end,
                     enum import_role role, size_t *out_index)
{
    for (size_t i = 0; i < end; i++) {
        if (dialect->columns[i].role == role) {
            *out_index = i;
            return true;
        }
    }
    return false;
}

static enum import_fault place(const struct csv_row *row, size_t index,
                               const struct import_options *options,
                               struct import_dialect *dialect, struct import_plan *plan,
                               char *out_detail)
{
    const struct csv_field *field = &row->fields[index];
    struct import_column *column = &dialect->columns[index];
    struct heading heading;
    const struct import_name *name = understand(field->text, field->length, &heading);
    size_t other;
    int *slot;

    memset(column, 0, sizeof *column);
    copy_header(field, column);
    if (name == NULL)
        return IMPORT_OK;
    if ((name->role == IMPORT_DATE || name->role == IMPORT_TIME) &&
        has_role(dialect, index, IMPORT_INSTANT, &other))
        return IMPORT_OK;
    if (has_role(dialect, index, name->role, &other) && name->role != IMPORT_VALUE)
        return refuse_twice(dialect, other, index, out_detail);
    column->role = name->role;
    column->quantity = name->quantity;
    if (name->role == IMPORT_VALUE) {
        const char *chosen = options->units[name->quantity];
        const char *unit = chosen[0] != '\0' ? chosen : heading.unit;

        snprintf(column->unit, sizeof column->unit, "%.15s", unit);
        utf8_trim_end(column->unit);
        return place_value(dialect, index, name->quantity, unit, plan, out_detail);
    }
    slot = place_of(plan, name->role);
    *slot = (int)index;
    if (is_of_time(name))
        place_time(dialect, index, &heading, plan);
    return IMPORT_OK;
}

enum import_fault import_header_read(const struct csv_row *row,
                                     const struct import_options *options,
                                     struct import_dialect *dialect,
                                     struct import_plan *plan, char *out_detail)
{
    *plan = (struct import_plan){
        .date = -1, .time = -1, .method = -1, .by = -1, .note = -1, .details = -1};
    if (row->count > IMPORT_COLUMNS_MAX) {
        snprintf(out_detail, DETAIL_SIZE,
                 "The file has %zu columns; at most %d can be read.", row->count,
                 IMPORT_COLUMNS_MAX);
        return IMPORT_TOO_MANY_COLUMNS;
    }
    dialect->column_count = row->count;
    for (size_t i = 0; i < row->count; i++) {
        enum import_fault fault = place(row, i, options, dialect, plan, out_detail);

        if (fault != IMPORT_OK)
            return fault;
    }
    if (plan->date < 0 && plan->time >= 0) { /* "Time" alone holds both */
        dialect->columns[plan->time].role = IMPORT_DATE;
        plan->date = plan->time;
        plan->time = -1;
    }
    if (plan->date < 0) {
        snprintf(out_detail, DETAIL_SIZE,
                 "No column says when. Name one Date, and one Time if there is one.");
        return IMPORT_NO_TIME_COLUMN;
    }
    if (plan->value_count == 0) {
        snprintf(out_detail, DETAIL_SIZE,
                 "No column holds a value that is known here, such as pH or Free "
                 "chlorine.");
        return IMPORT_NO_VALUE_COLUMN;
    }
    return IMPORT_OK;
}
