/*
 * A super-chlorination as this pool's water, sun and history make it: how much, when the
 * heater may come back, and what each way would do to a heater that cannot be taken off
 * line. Computes; stores nothing and says nothing.
 */
#ifndef SUPER_PLAN_H
#define SUPER_PLAN_H

#include "app.h"
#include "db.h"
#include "lib/breakpoint.h"
#include "lib/forecast.h"
#include "lib/treatment.h"

#define SUPER_PRODUCTS_MAX 8
#define SUPER_COURSE_MAX 340
#define SUPER_WAYS 6
/* The pump mixes at least this long (h): a turnover, or about so long where the flow is
 * not known; common practice, no source. */
#define SUPER_PUMP_H 8.0

struct super_product {
    enum coil_product product;
    int64_t shed_id; /* 0: to buy */
    double strength_percent;
    double amount; /* g or mL */
    double amount_left;
};

/* Ways for a heater that stays in line, and what each leaves over. */
enum super_way {
    SUPER_NOW,
    SUPER_NOON,
    SUPER_EVENING,
    SUPER_PORTIONS,
    SUPER_OTHER_PUMP,
    SUPER_REMOVED
};

struct super_exposure {
    double hours;      /* with water outside the band in the heater */
    double weighted_h; /* a convention: exposure.h */
    double worst_severity;
};

enum super_lack {
    SUPER_LACK_NONE = 0,
    SUPER_LACK_PH = 1,
    SUPER_LACK_FREE = 2,
    SUPER_LACK_COMBINED = 4,
    SUPER_LACK_VOLUME = 8
};

struct super_plan {
    /* what is known */
    struct coil_permit_facts facts;
    struct db_water water;
    struct db_heater heater;
    struct db_site site;
    int64_t now_s;
    double ceiling_mg_per_l; /* NaN: the heater has none */
    double ph_low;
    double ph, combined_mg_per_l, free_mg_per_l, volume_m3, cyanuric_mg_per_l, temp_c;
    unsigned lacks;

    /* the plan; valid while lacks is 0 */
    bool has_plan;
    struct coil_breakpoint breakpoint;
    struct super_product products[SUPER_PRODUCTS_MAX];
    size_t product_count;
    double ph_spent; /* once the dose is spent, by the first product; NaN: unknown */

    /* the way back: of a dose now, or of what was dosed */
    bool is_dosed;
    int64_t dosed_at; /* 0: not yet */
    struct coil_return_times back, back_neutralised;
    double neutraliser_drop_mg_per_l; /* from peak to ceiling; NaN: none needed */
    double course_s[SUPER_COURSE_MAX];
    struct coil_forecast_point course[SUPER_COURSE_MAX];
    size_t course_count;

    /* without a bypass */
    struct super_exposure ways[SUPER_WAYS];
    enum super_way least;
};

/* All of it for a pair; dosed_at: when a running plan's dose went in, 0 for none yet. */
enum db_status super_plan_make(struct app *app, struct db *db, int64_t heater_id,
                               int64_t water_id, int64_t dosed_at,
                               struct super_plan *out);

#endif
