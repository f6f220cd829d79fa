/* A line as JSON: the document that is stored and that a GET gives back. */
#include "api_line.h"

static const char *const materials[] = {"plastic", "copper"};
static const char *const bases[] = {"unknown", "rate", "current", "weighed"};
static const char *const ports[] = {"common", "a", "b"};

/* 0 stands for "not known" in lib/line.h. */
static void add_or_null(cJSON *object, const char *name, double value)
{
    if (value == 0.0)
        cJSON_AddNullToObject(object, name);
    else
        cJSON_AddNumberToObject(object, name, value);
}

static void add_feed(cJSON *object, const struct coil_part *part)
{
    const struct coil_feed *feed = &part->feed;
    const struct coil_product_info *product = coil_product_info(feed->product);
    cJSON *one = cJSON_AddObjectToObject(object, "feed");

    if (part->kind != COIL_PART_SALT_CELL && product != NULL)
        cJSON_AddStringToObject(one, "product", product->key);
    else if (part->kind != COIL_PART_SALT_CELL)
        cJSON_AddNullToObject(one, "product");
    cJSON_AddStringToObject(one, "basis", bases[feed->basis]);
    if (feed->basis == COIL_FEED_RATE) {
        cJSON_AddNumberToObject(one, "rate_g_per_h", feed->rate_g_per_h);
    } else if (feed->basis == COIL_FEED_CURRENT) {
        cJSON_AddNumberToObject(one, "current_a", feed->current_a);
        cJSON_AddNumberToObject(one, "cell_count", feed->cell_count);
        cJSON_AddNumberToObject(one, "efficiency_fraction", feed->efficiency_fraction);
    } else if (feed->basis == COIL_FEED_WEIGHED) {
        cJSON_AddNumberToObject(one, "before_g", feed->before_g);
        cJSON_AddNumberToObject(one, "after_g", feed->after_g);
        cJSON_AddNumberToObject(one, "interval_s", feed->interval_s);
        cJSON_AddNumberToObject(one, "strength_percent", feed->strength_percent);
    }
}

/* The members that line_document_read asks for, by kind. */
static void add_own_members(cJSON *object, const struct coil_part *part)
{
    enum coil_source source = coil_part_source(part->kind);

    if (coil_part_role(part->kind) == COIL_ROLE_PIPE) {
        cJSON_AddStringToObject(object, "material", materials[part->material]);
        cJSON_AddStringToObject(object, "size", coil_pipe_size_key(part->size));
        cJSON_AddNumberToObject(object, "length_m", part->length_m);
        return;
    }
    add_or_null(object, "volume_l", part->volume_l);
    if (part->kind == COIL_PART_PUMP)
        cJSON_AddNumberToObject(object, "flow_l_per_s", part->flow_l_per_s);
    if (part->kind == COIL_PART_HEATER) {
        add_or_null(object, "min_flow_l_per_s", part->min_flow_l_per_s);
        add_or_null(object, "max_flow_l_per_s", part->max_flow_l_per_s);
    }
    if (part->kind == COIL_PART_HEATER || source != COIL_SOURCE_NONE)
        cJSON_AddBoolToObject(object, "interlocked", part->is_interlocked);
    if (source == COIL_SOURCE_CHLORINE || source == COIL_SOURCE_ACID)
        add_feed(object, part);
}

static cJSON *part_json(const struct coil_part *part, const char *name)
{
    cJSON *object = cJSON_CreateObject();

    cJSON_AddNumberToObject(object, "id", part->id);
    cJSON_AddStringToObject(object, "kind", coil_part_kind_key(part->kind));
    cJSON_AddStringToObject(object, "name", name);
    add_own_members(object, part);
    return object;
}

static cJSON *edge_json(const struct coil_line *line, const struct coil_edge *edge)
{
    const struct coil_part *from = &line->parts[edge->from];
    const struct coil_part *to = &line->parts[edge->to];
    cJSON *object = cJSON_CreateObject();

    cJSON_AddNumberToObject(object, "from", from->id);
    cJSON_AddNumberToObject(object, "to", to->id);
    if (from->kind == COIL_PART_THREE_WAY_VALVE)
        cJSON_AddStringToObject(object, "from_port", ports[edge->from_port]);
    if (to->kind == COIL_PART_THREE_WAY_VALVE)
        cJSON_AddStringToObject(object, "to_port", ports[edge->to_port]);
    add_or_null(object, "share", edge->share);
    return object;
}

static const char *setting_word(const struct coil_part *part, unsigned char setting)
{
    if (setting == COIL_SET_CLOSED)
        return part->kind == COIL_PART_PUMP ? "off" : "closed";
    return setting == COIL_SET_A ? "a" : "b";
}

static cJSON *position_json(const struct coil_line *line,
                            const struct coil_line_position *position)
{
    cJSON *object = cJSON_CreateObject(), *set;

    cJSON_AddStringToObject(object, "kind", coil_position_kind_key(position->kind));
    cJSON_AddBoolToObject(object, "burner_may_fire", position->burner_may_fire);
    cJSON_AddNumberToObject(object, "flow_fraction", position->flow_fraction);
    set = cJSON_AddArrayToObject(object, "set");
    for (int i = 0; i < line->part_count; i++) {
        cJSON *one;

        if (position->setting[i] == COIL_SET_OPEN)
            continue;
        one = cJSON_CreateObject();
        cJSON_AddNumberToObject(one, "part", line->parts[i].id);
        cJSON_AddStringToObject(one, "to",
                                setting_word(&line->parts[i], position->setting[i]));
        cJSON_AddItemToArray(set, one);
    }
    return object;
}

void line_document_add(cJSON *object, const struct line_document *document)
{
    const struct coil_line *line = &document->line;
    cJSON *array = cJSON_AddArrayToObject(object, "parts");

    for (int i = 0; i < line->part_count; i++)
        cJSON_AddItemToArray(array, part_json(&line->parts[i], document->names[i]));
    array = cJSON_AddArrayToObject(object, "edges");
    for (int i = 0; i < line->edge_count; i++)
        cJSON_AddItemToArray(array, edge_json(line, &line->edges[i]));
    array = cJSON_AddArrayToObject(object, "positions");
    for (int i = 0; i < line->position_count; i++)
        cJSON_AddItemToArray(array, position_json(line, &line->positions[i]));
}
