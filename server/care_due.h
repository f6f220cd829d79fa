/*
 * What care is due: a site's day, a heater's season and burner hours, and each task's
 * next turn by lib/schedule.h.
 */
#ifndef CARE_DUE_H
#define CARE_DUE_H

#include "app.h"
#include "db_care.h"
#include "zone.h"

/* What all tasks of one heater share. */
struct care_heater {
    struct db_heater heater;
    struct zone *zone; /* owned; UTC before the site is set up */
    int64_t now_s;
    int32_t today;
    enum coil_hemisphere hemisphere;
    bool hemisphere_is_assumed; /* the site's place is not known */
    struct db_season own_season; /* version 0: nobody said */
    struct coil_season season;
    double burner_h, burner_h_per_day; /* of the last year */
};

enum db_status care_heater_read(struct app *app, struct db *db, int64_t heater_id,
                                struct care_heater *out);
void care_heater_finish(struct care_heater *care); /* a zeroed one is fine */

/* The site's day of an instant; and the season of a water, also when nobody said. */
int32_t care_day(const struct zone *zone, int64_t at);
struct coil_season care_season(const struct db_water *water,
                               const struct db_season *own,
                               enum coil_hemisphere hemisphere);

struct care_due {
    struct coil_task_due due;
    bool is_moved;
    bool has_rule; /* it repeats by rule; else hours or events decide */
    struct coil_rule rule;
    bool has_last;
    struct db_care_visit last;
    int32_t last_day;
    int64_t event_at; /* 0: none yet */
};

/* out is large: keep it off small stacks. */
enum db_status care_due_of(struct db *db, const struct care_heater *care,
                           const struct db_care_task *task, struct care_due *out);

/* Is the yearly cleaning of a heater overdue, and by how many days? Kept while nothing
 * changes, ten minutes at most. Safe from any thread. */
enum db_status care_cleaning_overdue(struct app *app, struct db *db, int64_t heater_id,
                                     bool *out_is_overdue, int32_t *out_days);

#endif
