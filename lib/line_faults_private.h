/*
 * What the line_faults*.c files share. Nobody else includes this.
 */
#ifndef COIL_LINE_FAULTS_PRIVATE_H
#define COIL_LINE_FAULTS_PRIVATE_H

#include "line_private.h"

/* What is known of one position before faults are looked for. */
struct coil_at_position {
    struct coil_open open;
    struct coil_reach to_heater;   /* along the flow, up to the heater */
    struct coil_reach from_heater; /* along the flow, from the heater on */
    struct coil_reach drift;       /* through standing water, up to the heater */
    struct coil_reach from_pool;   /* from the suctions on */
    struct coil_reach to_pool;     /* up to the returns */
    bool has_flow;                 /* false: a loop */
    struct coil_line_flow flow;
};

struct coil_finder {
    struct coil_view view;
    const struct coil_line *line;
    double water_temp_c;
    struct coil_at_position at[COIL_LINE_POSITIONS_MAX];
    struct coil_line_report *report;
};

/* The fault of this part, marked as seen in position. *out_new tells whether the caller
 * has to fill path and numbers. NULL when there is no more room. */
struct coil_line_fault *coil_mark(struct coil_finder *finder,
                                  enum coil_line_fault_code code, int part,
                                  int position, bool *out_new);
/* A fault that is shown by one part alone. */
void coil_mark_part(struct coil_finder *finder, enum coil_line_fault_code code,
                    int part, int position);
/* The same with a value and the limit that it passes. */
void coil_mark_value(struct coil_finder *finder, enum coil_line_fault_code code,
                     int part, int position, double value, double limit);

/* One for each fault, in line_faults_feed.c and line_faults_water.c. */
void coil_find_chlorine_before(struct coil_finder *finder);
void coil_find_acid_before(struct coil_finder *finder);
void coil_find_basket_tablets(struct coil_finder *finder);
void coil_find_acid_and_chlorine_stopped(struct coil_finder *finder);
void coil_find_off_line_passed(struct coil_finder *finder);
void coil_find_firing_without_flow(struct coil_finder *finder);
void coil_find_below_minimum(struct coil_finder *finder);
void coil_find_not_interlocked(struct coil_finder *finder);
void coil_find_no_check_valve(struct coil_finder *finder);
void coil_find_acid_near_chlorine(struct coil_finder *finder);
void coil_find_no_flow_proof(struct coil_finder *finder);
void coil_find_off_line_one_sided(struct coil_finder *finder);
void coil_find_pump_shut(struct coil_finder *finder);
void coil_find_heater_before_filter(struct coil_finder *finder);
void coil_find_above_maximum(struct coil_finder *finder);
void coil_find_fast_copper(struct coil_finder *finder);
void coil_find_ozone_before(struct coil_finder *finder);
void coil_find_shared_flow_proof(struct coil_finder *finder);
void coil_find_dead_legs(struct coil_finder *finder);
void coil_find_unreachable(struct coil_finder *finder);

#endif
