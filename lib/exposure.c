#include "exposure.h"

#include <math.h>

#define HOUR_S 3600.0

const char coil_exposure_weights_words[] =
    "Weights are a convention: acidity in times the limit, chlorine in times the "
    "ceiling, both as their product. No corrosion rate is published for this.";

/* How the water is in the heater. */
enum contact { CONTACT_NONE, CONTACT_FLOWING, CONTACT_STANDING };

/* Likely value and edges of both, NaN when not known. */
struct values {
    struct coil_band ph;
    struct coil_band chlorine;
};

struct walk {
    const struct coil_exposure_input *in;
    struct coil_exposure_event *events;
    size_t capacity;
    size_t heater_next; /* first change and first runs that are not over yet */
    size_t pump_next;
    size_t burner_next;
    size_t limit_next;
    struct coil_limit_span limits; /* of the piece */
    struct coil_exposure_total total;
    struct coil_exposure_event event; /* the one that lasts or has just ended */
    bool has_event;
    struct values standing; /* of the water that stands in the heater */
    enum contact contact;
    bool has_contact; /* false before the first piece */
};

double coil_exposure_severity(double ph, double free_chlorine_mg_per_l, double ph_low,
                              double free_chlorine_high_mg_per_l,
                              enum coil_exposure_cause *out_cause)
{
    bool is_acid = ph < ph_low; /* false for NaN */
    bool is_strong = free_chlorine_mg_per_l > free_chlorine_high_mg_per_l;
    double acidity = is_acid ? pow(10.0, ph_low - ph) : 1.0;
    double strength =
        is_strong ? free_chlorine_mg_per_l / free_chlorine_high_mg_per_l : 1.0;

    if (!is_acid && !is_strong)
        return 0.0;
    *out_cause = !is_strong ? COIL_EXPOSURE_LOW_PH
                 : !is_acid ? COIL_EXPOSURE_HIGH_CHLORINE
                            : COIL_EXPOSURE_BOTH;
    return acidity * strength;
}

/* ---- the water at an instant ---- */

static struct coil_band mix(bool known, const struct coil_band *a,
                            const struct coil_band *b, double u)
{
    if (!known)
        return (struct coil_band){NAN, NAN, NAN};
    return (struct coil_band){a->low + u * (b->low - a->low),
                              a->likely + u * (b->likely - a->likely),
                              a->high + u * (b->high - a->high)};
}

/* Between points i and i + 1. */
static struct values values_at(const struct coil_exposure_input *in, size_t i,
                               double time_s)
{
    const struct coil_forecast_point *a = &in->points[i];
    const struct coil_forecast_point *b = &in->points[i + 1];
    double span_s = in->times_s[i + 1] - in->times_s[i];
    double u = span_s > 0.0 ? (time_s - in->times_s[i]) / span_s : 0.0;

    return (struct values){mix(a->has_ph && b->has_ph, &a->ph, &b->ph, u),
                           mix(a->has_free_chlorine && b->has_free_chlorine,
                               &a->free_chlorine_mg_per_l, &b->free_chlorine_mg_per_l,
                               u)};
}

/* ---- heater and pump at an instant, and when they change next ---- */

/* time_s never goes back from one call to the next. */
static enum coil_heater_state state_at(struct walk *walk, double time_s,
                                       double *out_until_s)
{
    const struct coil_exposure_input *in = walk->in;

    while (walk->heater_next < in->heater_count &&
           in->heater[walk->heater_next].from_s <= time_s)
        walk->heater_next++;
    *out_until_s = walk->heater_next < in->heater_count
                       ? in->heater[walk->heater_next].from_s
                       : (double)INFINITY;
    return walk->heater_next == 0 ? COIL_HEATER_IN_LINE
                                  : in->heater[walk->heater_next - 1].state;
}

/* Is one of the spans running? next is the caller's place among them. */
static bool runs_at(const struct coil_pump_span *spans, size_t count, size_t *next,
                    double time_s, double *out_until_s)
{
    const struct coil_pump_span *span;

    *out_until_s = INFINITY;
    while (*next < count && spans[*next].until_s <= time_s)
        (*next)++;
    if (*next == count)
        return false;
    span = &spans[*next];
    *out_until_s = span->from_s > time_s ? span->from_s : span->until_s;
    return span->from_s <= time_s;
}

/* The limits in force; they end where the next ones begin. */
static void take_limits(struct walk *walk, double time_s, double *out_until_s)
{
    const struct coil_exposure_input *in = walk->in;

    while (walk->limit_next < in->limit_count &&
           in->limits[walk->limit_next].from_s <= time_s)
        walk->limit_next++;
    walk->limits = in->limits[walk->limit_next > 0 ? walk->limit_next - 1 : 0];
    *out_until_s = walk->limit_next < in->limit_count
                       ? in->limits[walk->limit_next].from_s
                       : (double)INFINITY;
}

/* How things stand in one piece of time, up to the first change of anything. */
struct piece {
    enum contact contact;
    bool fires;
    double until_s;
};

static struct piece piece_at(struct walk *walk, double time_s)
{
    const struct coil_exposure_input *in = walk->in;
    double heater_s, pump_s = INFINITY, burner_s, limits_s;
    enum coil_heater_state state = state_at(walk, time_s, &heater_s);
    bool pumps = !in->has_pump || runs_at(in->pump, in->pump_count, &walk->pump_next,
                                          time_s, &pump_s);
    bool fires = runs_at(in->burner, in->burner_count, &walk->burner_next, time_s,
                         &burner_s);
    struct piece piece = {.contact = CONTACT_NONE};

    take_limits(walk, time_s, &limits_s);
    piece.until_s = fmin(fmin(heater_s, pump_s), fmin(burner_s, limits_s));
    piece.fires = fires && state == COIL_HEATER_IN_LINE;
    if (state == COIL_HEATER_OFF_LINE_STANDING)
        piece.contact = CONTACT_STANDING;
    else if (state == COIL_HEATER_IN_LINE)
        piece.contact = pumps ? CONTACT_FLOWING : CONTACT_STANDING;
    return piece;
}

/* ---- events ---- */

static void end_event(struct walk *walk)
{
    if (!walk->has_event)
        return;
    if (walk->total.event_count < walk->capacity)
        walk->events[walk->total.event_count] = walk->event;
    walk->total.event_count++;
    walk->has_event = false;
}

static void add_to_event(struct walk *walk, double from_s, double until_s,
                         enum coil_exposure_cause cause, double severity,
                         const struct values *values)
{
    struct coil_exposure_event *event = &walk->event;
    double hours = (until_s - from_s) / HOUR_S;

    if (walk->has_event && from_s - event->until_s > COIL_EXPOSURE_GAP_S)
        end_event(walk);
    if (!walk->has_event) {
        *event = (struct coil_exposure_event){.from_s = from_s};
        walk->has_event = true;
    }
    event->until_s = until_s;
    event->hours += hours;
    event->weighted_h += hours * severity;
    event->has_low_ph = event->has_low_ph || cause != COIL_EXPOSURE_HIGH_CHLORINE;
    event->has_high_chlorine =
        event->has_high_chlorine || cause != COIL_EXPOSURE_LOW_PH;
    event->has_both = event->has_both || cause == COIL_EXPOSURE_BOTH;
    if (cause == COIL_EXPOSURE_BOTH && severity >= COIL_EXPOSURE_SEVERE) {
        event->severe_from_s = event->is_severe ? event->severe_from_s : from_s;
        event->severe_until_s = until_s;
        event->is_severe = true;
    }
    if (severity <= event->worst_severity)
        return;
    event->worst_severity = severity;
    event->worst_s = 0.5 * (from_s + until_s);
    event->worst_ph = values->ph.likely;
    event->worst_free_chlorine_mg_per_l = values->chlorine.likely;
    event->is_standing = walk->contact == CONTACT_STANDING;
}

/* ---- one piece of time in which nothing changes ---- */

/* Whether a limit that there is can be judged. */
static bool is_known(const struct coil_limit_span *limits, const struct values *values)
{
    return (isnan(limits->ph_low) || !isnan(values->ph.likely)) &&
           (isnan(limits->free_chlorine_high_mg_per_l) ||
            !isnan(values->chlorine.likely));
}

static void count_piece(struct walk *walk, double from_s, double until_s,
                        const struct values *values)
{
    const double ph_low = walk->limits.ph_low;
    const double ceiling = walk->limits.free_chlorine_high_mg_per_l;
    double hours = (until_s - from_s) / HOUR_S;
    enum coil_exposure_cause cause = COIL_EXPOSURE_LOW_PH;
    double severity = coil_exposure_severity(values->ph.likely, values->chlorine.likely,
                                             ph_low, ceiling, &cause);

    *(is_known(&walk->limits, values) ? &walk->total.in_heater_h
                                      : &walk->total.unknown_h) += hours;
    if (severity > 0.0) {
        walk->total.cause[cause].likely += hours;
        walk->total.cause[cause].weighted += hours * severity;
        *(walk->contact == CONTACT_STANDING ? &walk->total.standing_h
                                            : &walk->total.flowing_h) += hours;
        add_to_event(walk, from_s, until_s, cause, severity, values);
    }
    if (coil_exposure_severity(values->ph.high, values->chlorine.low, ph_low, ceiling,
                               &cause) > 0.0)
        walk->total.cause[cause].at_least += hours;
    if (coil_exposure_severity(values->ph.low, values->chlorine.high, ph_low, ceiling,
                               &cause) > 0.0)
        walk->total.cause[cause].at_most += hours;
}

/* Between points i and i + 1, the burner firing. */
static void count_fired(struct walk *walk, size_t i, double from_s, double until_s)
{
    const struct coil_exposure_input *in = walk->in;
    const struct coil_band *a, *b;
    double hours = (until_s - from_s) / HOUR_S;
    double u = (0.5 * (from_s + until_s) - in->times_s[i]) /
               (in->times_s[i + 1] - in->times_s[i]);
    struct coil_band index;

    if (in->hot_index == NULL)
        return;
    a = &in->hot_index[i];
    b = &in->hot_index[i + 1];
    index = mix(true, a, b, u); /* NaN at one end: not known between them */
    if (isnan(index.likely)) {
        walk->total.fired_unknown_h += hours;
        return;
    }
    walk->total.fired_h += hours;
    walk->total.scaling.likely += index.likely > COIL_SCALE_INDEX ? hours : 0.0;
    walk->total.scaling.at_least += index.low > COIL_SCALE_INDEX ? hours : 0.0;
    walk->total.scaling.at_most += index.high > COIL_SCALE_INDEX ? hours : 0.0;
}

/* From one instant of the course to the next, cut where anything else changes. */
static void walk_step(struct walk *walk, size_t i)
{
    double from_s = walk->in->times_s[i];
    double end_s = walk->in->times_s[i + 1];

    while (from_s < end_s) {
        struct piece piece = piece_at(walk, from_s);
        enum contact contact = piece.contact;
        double until_s = fmin(end_s, piece.until_s);
        struct values values = values_at(walk->in, i, 0.5 * (from_s + until_s));

        if (contact == CONTACT_STANDING &&
            (!walk->has_contact || walk->contact != CONTACT_STANDING))
            walk->standing = values_at(walk->in, i, from_s);
        walk->contact = contact;
        walk->has_contact = true;
        if (contact != CONTACT_NONE)
            count_piece(walk, from_s, until_s,
                        contact == CONTACT_STANDING ? &walk->standing : &values);
        if (piece.fires)
            count_fired(walk, i, from_s, until_s);
        from_s = until_s;
    }
}

static enum coil_status check_limits(const struct coil_exposure_input *in)
{
    bool has_limit = false;

    for (size_t i = 0; i < in->limit_count; i++) {
        const struct coil_limit_span *limits = &in->limits[i];

        if (limits->free_chlorine_high_mg_per_l <= 0.0 ||
            (i > 0 && !(limits->from_s >= in->limits[i - 1].from_s)))
            return COIL_ERR_DOMAIN;
        has_limit = has_limit || !isnan(limits->ph_low) ||
                    !isnan(limits->free_chlorine_high_mg_per_l);
    }
    return has_limit ? COIL_OK : COIL_ERR_DOMAIN;
}

static bool is_in_order(const struct coil_pump_span *spans, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!(spans[i].until_s >= spans[i].from_s) ||
            (i > 0 && !(spans[i].from_s >= spans[i - 1].until_s)))
            return false;
    return true;
}

static enum coil_status check(const struct coil_exposure_input *in)
{
    if (in->count < 2)
        return COIL_ERR_DOMAIN;
    for (size_t i = 0; i < in->count; i++) {
        if (!isfinite(in->times_s[i]))
            return COIL_ERR_NOT_FINITE;
        if (i > 0 && in->times_s[i] < in->times_s[i - 1])
            return COIL_ERR_DOMAIN;
    }
    for (size_t i = 1; i < in->heater_count; i++)
        if (!(in->heater[i].from_s >= in->heater[i - 1].from_s))
            return COIL_ERR_DOMAIN;
    if (!is_in_order(in->pump, in->pump_count) ||
        !is_in_order(in->burner, in->burner_count))
        return COIL_ERR_DOMAIN;
    return check_limits(in);
}

enum coil_status coil_exposure_sum(const struct coil_exposure_input *input,
                                   struct coil_exposure_event *out_events,
                                   size_t capacity, struct coil_exposure_total *out)
{
    struct walk walk = {.in = input, .events = out_events, .capacity = capacity};
    enum coil_status status = check(input);

    if (status != COIL_OK)
        return status;
    for (size_t i = 0; i + 1 < input->count; i++)
        walk_step(&walk, i);
    if (walk.has_event)
        walk.event.is_open = walk.event.until_s >= input->times_s[input->count - 1];
    end_event(&walk);
    *out = walk.total;
    return COIL_OK;
}
