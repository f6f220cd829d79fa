/*
 * A heater's efficiency from its logged warm-ups: each one judged, the seasons, the
 * slow-loss alarm, what a loss costs. lib/warmup.h over the store. Knows no JSON.
 */
#ifndef HEATER_EFFICIENCY_H
#define HEATER_EFFICIENCY_H

#include "db.h"
#include "heat_plan.h"
#include "lib/warmup.h"

#define WARM_UP_MAX_S (7 * 86400)
#define EFFICIENCY_STATED_LOSS 0.03 /* a year, of which the power is stated */

enum warm_up_lack { WARM_UP_LACKS_NOTHING, WARM_UP_LACKS_VOLUME, WARM_UP_LACKS_INPUT };

/* What one warm-up says. */
struct warm_up_said {
    int64_t id, at;
    int season; /* the year; the one that begins in July in the south */
    enum warm_up_lack lacks; /* then result says nothing */
    bool weather_is_assumed;
    struct coil_warm_up_result result;
};

struct heater_efficiency {
    struct warm_up_said *said; /* oldest first */
    size_t count;
    bool is_cut;         /* more than COIL_EFFICIENCY_POINTS_MAX: the oldest are left out */
    int64_t series_from; /* newest change of meter or thermometer; 0: none */
    size_t usable;       /* in the trend */
    bool has_trend;      /* at least one season counts */
    struct coil_efficiency_trend trend;
    struct coil_loss_alarm_rule rule;
    double power;  /* for EFFICIENCY_STATED_LOSS; NAN with fewer than 2 seasons */
    double u_common; /* mean of the usable ones */
    double now, u_now; /* last season that counts, half width of 90 %; NAN: none */
    double fuel_j_per_year; /* last 365 days, as far as logged; 0: nothing logged */
    double lost_j_per_year; /* of it, by a loss the alarm calls real; 0 else */
    struct coil_tariff tariff;
    bool has_price;
    char currency[9];
};

/* DB_NOT_FOUND: no such heater. Release with heater_efficiency_finish. */
enum db_status heater_efficiency_make(struct db *db, int64_t heater_id, int64_t now_s,
                                      struct heater_efficiency *out);
void heater_efficiency_finish(struct heater_efficiency *efficiency);

/* Judges a warm-up before it is stored: id and at of its fact are not needed. */
enum db_status heater_efficiency_judge(struct db *db, const struct db_warm_up *warm_up,
                                       struct warm_up_said *out);

#endif
