/* What is in the line's pipes: flow, chlorine and pH at the heater, what stands. */
#include <math.h>

#include "api_line.h"
#include "forecast_json.h"
#include "lib/pipe_feed.h"

#define MG_STEP 0.01
#define WEAK_STEP 0.0001 /* of what is far below 1 mg/L */
#define PH_STEP 0.01
#define FLOW_STEP 0.001

static void add_null(cJSON *object, const char *name)
{
    cJSON_AddNullToObject(object, name);
}

static void add_water(cJSON *answer, const struct line_water *water)
{
    cJSON *one;

    if (!water->is_known) {
        add_null(answer, "water");
        return;
    }
    one = cJSON_AddObjectToObject(answer, "water");
    cJSON_AddNumberToObject(one, "at", (double)water->at);
    forecast_add_number(one, "ph", water->ph, 0.001);
    forecast_add_number(one, "free_chlorine_mg_per_l", water->free_chlorine_mg_per_l,
                        0.001);
    if (water->has_temp)
        forecast_add_number(one, "water_temp_c", water->water_temp_c, 0.01);
    else
        add_null(one, "water_temp_c");
}

/* ---- flow ---- */

static void add_pipe(cJSON *object, const struct coil_part *part, double flow_l_per_s,
                     double temp_c)
{
    struct coil_pipe_state state;
    bool is_pipe = coil_part_role(part->kind) == COIL_ROLE_PIPE &&
                   coil_pipe_state(part->material, part->size, part->length_m,
                                   flow_l_per_s, temp_c, &state) >= 0;
    bool is_copper = is_pipe && part->material == COIL_PIPE_COPPER;

    forecast_add_number(object, "velocity_m_per_s",
                        is_pipe ? state.velocity_m_per_s : (double)NAN, FLOW_STEP);
    forecast_add_number(object, "reynolds", is_pipe ? state.reynolds : (double)NAN, 1);
    forecast_add_number(object, "pressure_loss_pa",
                        is_pipe ? state.pressure_loss_pa : (double)NAN, 0.1);
    forecast_add_number(object, "copper_limit_m_per_s",
                        is_copper ? state.copper_limit_m_per_s : (double)NAN,
                        FLOW_STEP);
}

static cJSON *flow_json(const struct coil_line *line, int position, double temp_c)
{
    cJSON *object = cJSON_CreateObject(), *array;
    struct coil_line_flow flow;
    bool is_computed = coil_line_flow(line, position, &flow) == COIL_OK;

    cJSON_AddStringToObject(object, "position",
                            coil_position_kind_key(line->positions[position].kind));
    cJSON_AddBoolToObject(object, "computed", is_computed);
    array = cJSON_AddArrayToObject(object, "parts");
    for (int i = 0; is_computed && i < line->part_count; i++) {
        cJSON *one = cJSON_CreateObject();
        double volume_l = coil_part_volume_l(&line->parts[i]);

        cJSON_AddNumberToObject(one, "id", line->parts[i].id);
        forecast_add_number(one, "flow_l_per_s", flow.part_l_per_s[i], FLOW_STEP);
        forecast_add_number(one, "volume_l", volume_l > 0 ? volume_l : (double)NAN,
                            0.001);
        add_pipe(one, &line->parts[i], flow.part_l_per_s[i], temp_c);
        cJSON_AddItemToArray(array, one);
    }
    return object;
}

/* ---- while feeding ---- */

static enum coil_status feed_in(const struct line_question *question, int position,
                                struct coil_line_feed *out)
{
    return coil_line_feed(&question->document->line, position,
                          &question->water->constants, &question->water->pool, out);
}

static cJSON *feed_json(const struct line_question *question, int position)
{
    const struct coil_line *line = &question->document->line;
    cJSON *object = cJSON_CreateObject();
    struct coil_line_feed feed;
    bool ok = feed_in(question, position, &feed) >= 0;
    bool flows = ok && feed.has_water;
    bool is_known = flows && question->water->is_known;
    bool has_ph = is_known && feed.water.has_ph;

    cJSON_AddStringToObject(object, "position",
                            coil_position_kind_key(line->positions[position].kind));
    cJSON_AddBoolToObject(object, "computed", ok);
    forecast_add_number(object, "heater_flow_l_per_s",
                        ok ? feed.heater_flow_l_per_s : (double)NAN, FLOW_STEP);
    forecast_add_number(object, "fed_g_per_h", ok ? feed.fed_g_per_h : (double)NAN,
                        MG_STEP);
    forecast_add_number(object, "to_heater_g_per_h",
                        ok ? feed.to_heater_g_per_h : (double)NAN, MG_STEP);
    forecast_add_number(object, "held_g_per_h", ok ? feed.held_g_per_h : (double)NAN,
                        MG_STEP);
    forecast_add_number(object, "added_mg_per_l",
                        flows ? feed.added_mg_per_l : (double)NAN, MG_STEP);
    forecast_add_number(object, "chlorine_mg_per_l",
                        is_known ? feed.water.chlorine_mg_per_l : (double)NAN, MG_STEP);
    forecast_add_number(object, "hocl_mg_per_l",
                        has_ph ? feed.water.hocl_mg_per_l : (double)NAN, WEAK_STEP);
    forecast_add_number(object, "ph", has_ph ? feed.water.ph : (double)NAN, PH_STEP);
    cJSON_AddBoolToObject(object, "extrapolated", has_ph && feed.water.is_extrapolated);
    cJSON_AddNumberToObject(object, "unknown_feeders", ok ? feed.unknown_count : 0);
    return object;
}

/* ---- after the pump stopped ---- */

static int position_of(const struct coil_line *line, enum coil_position_kind kind)
{
    for (int i = 0; i < line->position_count; i++)
        if (line->positions[i].kind == kind)
            return i;
    return -1;
}

static void add_slug(cJSON *object, const char *name, const struct coil_slug *slug,
                     bool is_there, const struct line_question *question)
{
    const struct coil_feed_water *water = &slug->still.water;
    cJSON *one;

    if (!is_there) {
        add_null(object, name);
        return;
    }
    one = cJSON_AddObjectToObject(object, name);
    forecast_add_number(one, "peak_mg_per_l", slug->peak_mg_per_l, 0.1);
    forecast_add_number(one, "chlorine_g", slug->chlorine_g, 0.1);
    forecast_add_number(one, "seconds", slug->seconds > 0 ? slug->seconds : (double)NAN,
                        0.1);
    forecast_add_number(
        one, "ph", question->water->is_known && water->has_ph ? water->ph : (double)NAN,
        PH_STEP);
    cJSON_AddBoolToObject(one, "saturated", slug->still.is_saturated);
    cJSON_AddBoolToObject(one, "extrapolated", water->is_extrapolated);
}

/* All the water that goes around the heater while it is off line; 0: no such position.
 */
static double flush_flow(const struct coil_line *line)
{
    int position = position_of(line, COIL_POSITION_HEATER_OFF_LINE);
    struct coil_line_flow flow;
    double sum = 0.0;

    if (position < 0 || coil_line_flow(line, position, &flow) != COIL_OK)
        return 0.0;
    for (int i = 0; i < line->part_count; i++)
        if (coil_part_role(line->parts[i].kind) == COIL_ROLE_OUTLET)
            sum += flow.part_l_per_s[i];
    return sum;
}

/* The longer of the two ends; NaN when it cannot be told, as with a feeder of unknown
 * amount, or the heater must stay out. */
static double flush_s(const struct line_question *question, int position,
                      const struct coil_line_still *still, bool *out_stay_out)
{
    const struct line_water *water = question->water;
    const struct coil_limit *limits = question->heater->limits;
    const struct coil_feed_limits feed_limits = {
        .chlorine_mg_per_l = limits[COIL_LIMIT_FREE_CHLORINE_HIGH].value,
        .ph_low = limits[COIL_LIMIT_PH_LOW].value,
    };
    const struct coil_slug *ends[] = {&still->spread, &still->close};
    struct coil_line_feed feed;
    double longest = NAN, flow = flush_flow(&question->document->line);
    bool is_fed = feed_in(question, position, &feed) >= 0 && feed.has_water;
    bool is_told = still->unknown_count == 0 && (!is_fed || feed.unknown_count == 0);

    *out_stay_out = false;
    for (int i = 0; water->is_known && flow > 0 && i < (still->has_close ? 2 : 1);
         i++) {
        double seconds = NAN;
        enum coil_status status = coil_flush_seconds(
            &water->constants, &water->pool, &ends[i]->still, flow,
            is_fed ? &feed.water.closed : NULL, &feed_limits, &seconds);

        *out_stay_out = *out_stay_out || status == COIL_ERR_NO_SOLUTION;
        is_told = is_told && status == COIL_OK;
        longest = fmax(longest, seconds);
    }
    return is_told ? longest : (double)NAN;
}

static void add_standing_numbers(cJSON *one, const struct line_question *question,
                                 int position, const struct coil_line_still *still)
{
    bool has_slug = still->source_count > still->unknown_count, stay_out = false;
    double seconds =
        has_slug ? flush_s(question, position, still, &stay_out) : (double)NAN;

    cJSON_AddNumberToObject(one, "sources", still->source_count);
    cJSON_AddNumberToObject(one, "unknown_feeders", still->unknown_count);
    forecast_add_number(one, "standing_l",
                        still->standing_l > 0 ? still->standing_l : (double)NAN, 0.1);
    forecast_add_number(one, "heater_flow_l_per_s", still->heater_flow_l_per_s,
                        FLOW_STEP);
    add_slug(one, "spread", &still->spread, has_slug, question);
    add_slug(one, "close", &still->close, has_slug && still->has_close, question);
    forecast_add_number(one, "flush_s", seconds, 1);
    cJSON_AddBoolToObject(one, "stay_out", stay_out);
}

static void add_standing_unknown(cJSON *one)
{
    static const char *const names[] = {
        "sources", "unknown_feeders", "standing_l", "heater_flow_l_per_s",
        "spread",  "close",           "flush_s"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        add_null(one, names[i]);
    cJSON_AddBoolToObject(one, "stay_out", false);
}

int line_usual_position(const struct coil_line *line)
{
    int normal = position_of(line, COIL_POSITION_NORMAL);

    return normal < 0 ? 0 : normal;
}

/* What stands when the pump stops, and restarts, in one position. */
struct standing {
    int position;
    enum coil_status status;
    struct coil_line_still still;
};

static bool is_nothing(const struct standing *s)
{
    return s->status >= 0 && s->still.source_count == 0;
}

/* What is not known counts as worse than what is. */
static bool is_worse(const struct standing *a, const struct standing *b)
{
    if (is_nothing(a) || is_nothing(b))
        return !is_nothing(a) && is_nothing(b);
    if ((a->status < 0) != (b->status < 0))
        return a->status < 0;
    return a->status >= 0 && a->still.spread.chlorine_g > b->still.spread.chlorine_g;
}

/* The usual position unless another is worse. */
static void find_worst(const struct line_question *question, struct standing *out)
{
    const struct coil_line *line = &question->document->line;
    int usual = line_usual_position(line);

    for (int i = 0; i < line->position_count; i++) {
        struct standing one = {.position = i == 0 ? usual : i == usual ? 0 : i};

        one.status = coil_line_still(line, one.position, one.position, question->hours,
                                     &question->water->constants,
                                     &question->water->pool, &one.still);
        if (i == 0 || is_worse(&one, out))
            *out = one;
    }
}

static void add_standing(cJSON *answer, const struct line_question *question)
{
    const struct coil_line *line = &question->document->line;
    struct standing worst;
    bool is_computed;
    cJSON *one;

    find_worst(question, &worst);
    if (is_nothing(&worst)) {
        add_null(answer, "standing");
        return;
    }
    is_computed = worst.status >= 0;
    one = cJSON_AddObjectToObject(answer, "standing");
    cJSON_AddBoolToObject(one, "computed", is_computed);
    cJSON_AddStringToObject(one, "why_not",
                            is_computed                       ? ""
                            : worst.status == COIL_ERR_DOMAIN ? "volume_not_known"
                                                              : "not_computable");
    cJSON_AddStringToObject(
        one, "position", coil_position_kind_key(line->positions[worst.position].kind));
    cJSON_AddNumberToObject(one, "hours", question->hours);
    if (is_computed)
        add_standing_numbers(one, question, worst.position, &worst.still);
    else
        add_standing_unknown(one);
}

void line_numbers_add(cJSON *answer, const struct line_question *question)
{
    const struct coil_line *line = &question->document->line;
    cJSON *array;

    add_water(answer, question->water);
    array = cJSON_AddArrayToObject(answer, "flow");
    for (int i = 0; i < line->position_count; i++)
        cJSON_AddItemToArray(array, flow_json(line, i, question->water->water_temp_c));
    array = cJSON_AddArrayToObject(answer, "feed");
    for (int i = 0; i < line->position_count; i++)
        cJSON_AddItemToArray(array, feed_json(question, i));
    add_standing(answer, question);
}
