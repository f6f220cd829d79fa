/* A line from JSON: the body of a call, or the document that was stored. */
#include <stdio.h>
#include <string.h>

#include "api_line.h"

static const char *const materials[] = {"plastic", "copper", NULL};
static const char *const bases[] = {"unknown", "rate", "current", "weighed", NULL};
static const char *const ports[] = {"common", "a", "b", NULL};
static const char *const settings[] = {"closed", "a", "b", "off", NULL};

/* ---- faults ---- */

static void add_problem(struct form *form, const char *member,
                        enum coil_line_problem_code code)
{
    char field[64];

    snprintf(field, sizeof field, "%.47s%.16s", form->prefix, member);
    problem_add(form->problem, coil_line_problem_key(code), field, "%s",
                line_problem_text(code));
}

/* The n-th object of an array as a form of its own; false with a fault. */
static bool open_item(struct form *parent, const char *member, int index,
                      const cJSON *item, struct form *out)
{
    char field[40];

    snprintf(field, sizeof field, "%.20s%.10s.%d", parent->prefix, member,
             index % 10000);
    if (!cJSON_IsObject(item)) {
        problem_add(parent->problem, "wrong_type", field, "This must be an object.");
        return false;
    }
    memset(out, 0, sizeof *out);
    out->problem = parent->problem;
    out->object = item;
    snprintf(out->prefix, sizeof out->prefix, "%s.", field);
    return true;
}

/* An array of at most max items, or NULL with a fault. */
static const cJSON *read_array(struct form *form, const char *member, int max,
                               enum coil_line_problem_code too_many)
{
    const cJSON *array = form_member(form, member);

    if (array == NULL || cJSON_IsNull(array))
        problem_add(form->problem, "member_missing", member, "%s is missing.", member);
    else if (!cJSON_IsArray(array))
        problem_add(form->problem, "wrong_type", member, "%s must be a list.", member);
    else if (cJSON_GetArraySize(array) > max)
        add_problem(form, member, too_many);
    else
        return array;
    return NULL;
}

/* ---- parts ---- */

static void read_product(struct form *form, struct coil_feed *feed)
{
    char key[48] = "";

    if (form_text(form, "product", FORM_OPTIONAL, key, sizeof key) &&
        coil_product_from_key(key, &feed->product) != COIL_OK)
        add_problem(form, "product", COIL_LINE_FEED_PRODUCT);
}

static void read_feed(struct form *part_form, struct coil_part *part)
{
    struct coil_feed *feed = &part->feed;
    struct form form;
    int basis = COIL_FEED_UNKNOWN;

    if (!form_nested(part_form, "feed", FORM_OPTIONAL, &form))
        return;
    form_choice(&form, "basis", bases, FORM_REQUIRED, &basis);
    feed->basis = (enum coil_feed_basis)basis;
    if (part->kind != COIL_PART_SALT_CELL)
        read_product(&form, feed);
    if (basis == COIL_FEED_RATE) {
        form_number(&form, "rate_g_per_h", FORM_REQUIRED, &feed->rate_g_per_h);
    } else if (basis == COIL_FEED_CURRENT) {
        form_number(&form, "current_a", FORM_REQUIRED, &feed->current_a);
        form_number(&form, "cell_count", FORM_REQUIRED, &feed->cell_count);
        form_number(&form, "efficiency_fraction", FORM_REQUIRED,
                    &feed->efficiency_fraction);
    } else if (basis == COIL_FEED_WEIGHED) {
        form_number(&form, "before_g", FORM_REQUIRED, &feed->before_g);
        form_number(&form, "after_g", FORM_REQUIRED, &feed->after_g);
        form_number(&form, "interval_s", FORM_REQUIRED, &feed->interval_s);
        form_number(&form, "strength_percent", FORM_REQUIRED, &feed->strength_percent);
    }
    form_close(&form);
}

static void read_pipe(struct form *form, struct coil_part *part)
{
    char size[8] = "";
    int material = COIL_PIPE_PLASTIC;

    form_choice(form, "material", materials, FORM_OPTIONAL, &material);
    part->material = (enum coil_pipe_material)material;
    if (form_text(form, "size", FORM_REQUIRED, size, sizeof size) &&
        coil_pipe_size_from_key(size, &part->size) != COIL_OK)
        add_problem(form, "size", COIL_LINE_PIPE_SIZE);
    form_number(form, "length_m", FORM_REQUIRED, &part->length_m);
}

/* Members beside id, kind and name. */
static void read_own_members(struct form *form, struct coil_part *part)
{
    enum coil_source source = coil_part_source(part->kind);

    if (coil_part_role(part->kind) == COIL_ROLE_PIPE) {
        read_pipe(form, part);
        return;
    }
    form_number(form, "volume_l", FORM_OPTIONAL, &part->volume_l);
    if (part->kind == COIL_PART_PUMP)
        form_number(form, "flow_l_per_s", FORM_REQUIRED, &part->flow_l_per_s);
    if (part->kind == COIL_PART_HEATER) {
        form_number(form, "min_flow_l_per_s", FORM_OPTIONAL, &part->min_flow_l_per_s);
        form_number(form, "max_flow_l_per_s", FORM_OPTIONAL, &part->max_flow_l_per_s);
    }
    if (part->kind == COIL_PART_HEATER || source != COIL_SOURCE_NONE)
        form_flag(form, "interlocked", FORM_OPTIONAL, &part->is_interlocked);
    if (source == COIL_SOURCE_CHLORINE || source == COIL_SOURCE_ACID)
        read_feed(form, part);
}

static void read_part(struct form *form, struct coil_part *part, char *name)
{
    char kind[32] = "";
    int64_t id = 0;

    form_integer(form, "id", INT32_MIN, INT32_MAX, FORM_REQUIRED, &id);
    part->id = (int32_t)id;
    form_text(form, "name", FORM_OPTIONAL, name, DB_NAME_SIZE);
    if (!form_text(form, "kind", FORM_REQUIRED, kind, sizeof kind))
        return;
    if (coil_part_kind_from_key(kind, &part->kind) != COIL_OK) {
        add_problem(form, "kind", COIL_LINE_KIND_UNKNOWN);
        return;
    }
    read_own_members(form, part);
    form_close(form);
}

static void read_parts(struct form *form, struct line_document *out)
{
    struct coil_line *line = &out->line;
    const cJSON *array =
        read_array(form, "parts", COIL_LINE_PARTS_MAX, COIL_LINE_TOO_MANY_PARTS);
    const cJSON *item;

    cJSON_ArrayForEach(item, array)
    {
        int index = line->part_count++;
        struct form one;

        if (open_item(form, "parts", index, item, &one))
            read_part(&one, &line->parts[index], out->names[index]);
    }
}

/* ---- edges ---- */

static int index_of(const struct coil_line *line, int64_t id)
{
    for (int i = 0; i < line->part_count; i++)
        if (line->parts[i].id == id)
            return i;
    return -1;
}

static int read_end(struct form *form, const struct coil_line *line, const char *member)
{
    int64_t id = 0;

    form_integer(form, member, INT32_MIN, INT32_MAX, FORM_REQUIRED, &id);
    return index_of(line, id);
}

static void read_edge(struct form *form, const struct coil_line *line,
                      struct coil_edge *edge)
{
    int from_port = COIL_PORT_COMMON, to_port = COIL_PORT_COMMON;

    edge->from = read_end(form, line, "from");
    edge->to = read_end(form, line, "to");
    form_choice(form, "from_port", ports, FORM_OPTIONAL, &from_port);
    form_choice(form, "to_port", ports, FORM_OPTIONAL, &to_port);
    edge->from_port = (enum coil_port)from_port;
    edge->to_port = (enum coil_port)to_port;
    form_number(form, "share", FORM_OPTIONAL, &edge->share);
    form_close(form);
}

static void read_edges(struct form *form, struct coil_line *line)
{
    const cJSON *array =
        read_array(form, "edges", COIL_LINE_EDGES_MAX, COIL_LINE_TOO_MANY_EDGES);
    const cJSON *item;

    cJSON_ArrayForEach(item, array)
    {
        int index = line->edge_count++;
        struct form one;

        if (open_item(form, "edges", index, item, &one))
            read_edge(&one, line, &line->edges[index]);
    }
}

/* ---- positions ---- */

/* What a word sets at a part; COIL_SET_OPEN when it is not for this part. */
static enum coil_setting setting_of(const struct coil_part *part, int word)
{
    static const enum coil_setting valve[] = {COIL_SET_CLOSED, COIL_SET_A, COIL_SET_B,
                                              COIL_SET_OPEN};

    if (part->kind == COIL_PART_THREE_WAY_VALVE)
        return valve[word];
    if (part->kind == COIL_PART_TWO_WAY_VALVE)
        return word == 0 ? COIL_SET_CLOSED : COIL_SET_OPEN;
    return part->kind == COIL_PART_PUMP && word == 3 ? COIL_SET_CLOSED : COIL_SET_OPEN;
}

static void read_setting(struct form *form, const struct coil_line *line,
                         struct coil_line_position *position)
{
    int64_t id = 0;
    int word = 0, part;
    bool has_id = form_integer(form, "part", INT32_MIN, INT32_MAX, FORM_REQUIRED, &id);

    if (form_choice(form, "to", settings, FORM_REQUIRED, &word) && has_id &&
        line->part_count > 0) { /* without parts that is fault enough */
        part = index_of(line, id);
        if (part < 0 || position->setting[part] != COIL_SET_OPEN)
            add_problem(form, "part", COIL_LINE_SETTING);
        else if (setting_of(&line->parts[part], word) == COIL_SET_OPEN)
            add_problem(form, "to", COIL_LINE_SETTING);
        else
            position->setting[part] =
                (unsigned char)setting_of(&line->parts[part], word);
    }
    form_close(form);
}

static void read_settings(struct form *form, const struct coil_line *line,
                          struct coil_line_position *position)
{
    const cJSON *array = form_member(form, "set"), *item;
    char field[sizeof form->prefix + 8];
    int index = 0;

    snprintf(field, sizeof field, "%sset", form->prefix);
    if (array == NULL || cJSON_IsNull(array))
        return;
    if (!cJSON_IsArray(array)) {
        problem_add(form->problem, "wrong_type", field, "set must be a list.");
        return;
    }
    cJSON_ArrayForEach(item, array)
    {
        struct form one;

        if (open_item(form, "set", index++, item, &one))
            read_setting(&one, line, position);
    }
}

static void read_position(struct form *form, const struct coil_line *line,
                          struct coil_line_position *position)
{
    char kind[24] = "";

    if (form_text(form, "kind", FORM_REQUIRED, kind, sizeof kind) &&
        coil_position_kind_from_key(kind, &position->kind) != COIL_OK)
        add_problem(form, "kind", COIL_LINE_POSITION_KIND);
    position->burner_may_fire = position->kind != COIL_POSITION_HEATER_OFF_LINE;
    position->flow_fraction = 1.0;
    form_flag(form, "burner_may_fire", FORM_OPTIONAL, &position->burner_may_fire);
    form_number(form, "flow_fraction", FORM_OPTIONAL, &position->flow_fraction);
    read_settings(form, line, position);
    form_close(form);
}

static void read_positions(struct form *form, struct coil_line *line)
{
    const cJSON *array = read_array(form, "positions", COIL_LINE_POSITIONS_MAX,
                                    COIL_LINE_TOO_MANY_POSITIONS);
    const cJSON *item;

    cJSON_ArrayForEach(item, array)
    {
        int index = line->position_count++;
        struct form one;

        if (open_item(form, "positions", index, item, &one))
            read_position(&one, line, &line->positions[index]);
    }
}

/* ---- the line ---- */

/* "parts.3.feed.rate_g_per_h", "edges.2.share", "positions.0.set", "parts". */
static void write_field(const struct coil_line_problem *p, char *out, size_t size)
{
    bool is_feed =
        p->code >= COIL_LINE_FEED_PRODUCT && p->code <= COIL_LINE_FEED_STRENGTH;

    if (p->code == COIL_LINE_VALVE_EDGES || p->code == COIL_LINE_THREE_WAY_PORTS)
        snprintf(out, size, "parts.%d", p->part);
    else if (p->code == COIL_LINE_LOOP || p->code == COIL_LINE_TOO_MANY_VALVES)
        snprintf(out, size, "%s", p->field);
    else if (p->position >= 0)
        snprintf(out, size, "positions.%d.%s", p->position,
                 p->code == COIL_LINE_SETTING ? "set" : p->field);
    else if (p->edge >= 0)
        snprintf(out, size, "edges.%d.%s", p->edge, p->field);
    else if (p->part >= 0)
        snprintf(out, size, "parts.%d.%s%s", p->part, is_feed ? "feed." : "", p->field);
    else
        snprintf(out, size, "%s", p->field);
}

/* Ids of a loop in order of flow. */
static void add_path(struct problem *problem, const struct coil_line *line,
                     const struct coil_line_problem *p)
{
    size_t used = 0;

    for (int i = 0; i < p->path_length; i++)
        used += (size_t)snprintf(
            problem->extra_json + used, sizeof problem->extra_json - used, "%s%d",
            i > 0 ? "," : "\"path\":[", (int)line->parts[p->path[i]].id);
    if (used > 0)
        snprintf(problem->extra_json + used, sizeof problem->extra_json - used, "]");
}

void line_document_read(struct form *form, struct line_document *out)
{
    struct coil_line_problem p;
    char field[64];

    memset(out, 0, sizeof *out);
    read_parts(form, out);
    read_edges(form, &out->line);
    read_positions(form, &out->line);
    if (form->problem->count > 0 || coil_line_check(&out->line, &p) == COIL_OK)
        return;
    write_field(&p, field, sizeof field);
    problem_add(form->problem, coil_line_problem_key(p.code), field, "%s",
                line_problem_text(p.code));
    add_path(form->problem, &out->line, &p);
}

bool line_document_parse(const char *text, struct line_document *out)
{
    struct problem problem;
    struct form form = {.problem = &problem};
    enum json_fault fault;
    cJSON *tree = json_parse(text, strlen(text), &fault);

    problem_init(&problem);
    form.object = tree;
    if (tree != NULL)
        line_document_read(&form, out);
    cJSON_Delete(tree);
    return tree != NULL && problem.count == 0;
}
