/*
 * The line: faults, notes, flow.
 *
 * Expected faults are common practice: chlorine goes in after the heater; feeders and
 * salt cells never before it; tablets never in a basket; the rest as the headers say.
 * Feed with the pump stopped: CDC, MMWR 66(19), 2017.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "tests/lib/line_build.h"

static struct coil_line line;
static struct coil_line_report report;
static struct coil_line_problem problem;

static const enum coil_part_kind GOOD[] = {
    COIL_PART_SKIMMER,     COIL_PART_PIPE,        COIL_PART_STRAINER, COIL_PART_PUMP,
    COIL_PART_FILTER,      COIL_PART_FLOW_SWITCH, COIL_PART_HEATER,   COIL_PART_PIPE,
    COIL_PART_CHECK_VALVE, COIL_PART_SALT_CELL,   COIL_PART_PIPE,     COIL_PART_RETURN,
    (enum coil_part_kind)0};

static void find(void)
{
    enum coil_status status = coil_line_find(&line, 28, &report, &problem);

    ck_assert_msg(status == COIL_OK, "%s at part %d edge %d position %d",
                  coil_line_problem_key(problem.code), problem.part, problem.edge,
                  problem.position);
}

static const struct coil_line_fault *fault(enum coil_line_fault_code code)
{
    for (int i = 0; i < report.fault_count; i++)
        if (report.faults[i].code == code)
            return &report.faults[i];
    return NULL;
}

static const struct coil_line_note *note(enum coil_line_note_code code)
{
    for (int i = 0; i < report.note_count; i++)
        if (report.notes[i].code == code)
            return &report.notes[i];
    return NULL;
}

/* Every step of a path is an edge of the line, taken along the flow. */
static void check_path(const uint8_t *path, int length, int from, int to)
{
    ck_assert_int_ge(length, 1);
    ck_assert_int_eq(path[0], from);
    ck_assert_int_eq(path[length - 1], to);
    for (int i = 0; i + 1 < length; i++) {
        int joined = 0;

        for (int e = 0; e < line.edge_count; e++)
            joined |= line.edges[e].from == path[i] && line.edges[e].to == path[i + 1];
        ck_assert_msg(joined, "no edge from %d to %d", path[i], path[i + 1]);
    }
}

static void only(enum coil_line_fault_code code)
{
    ck_assert_msg(report.fault_count == 1 && report.faults[0].code == code,
                  "%d faults, first %s", report.fault_count,
                  report.fault_count ? coil_line_fault_key(report.faults[0].code)
                                     : "-");
}

START_TEST(a_good_line_has_no_fault_and_says_what_it_assumed)
{
    line_begin(&line);
    line_chain(&line, GOOD);
    find();
    ck_assert_int_eq(report.fault_total, 0);
    ck_assert(report.all_is_well);
    ck_assert_int_eq(report.water_side, COIL_RUN);
    ck_assert_int_eq(report.burner_side, COIL_RUN);
    ck_assert(report.assumptions & 1u << COIL_ASSUME_POOL_MIXED);
    ck_assert(report.assumptions & 1u << COIL_ASSUME_CHECK_VALVES_TIGHT);
    ck_assert(report.assumptions & 1u << COIL_ASSUME_NO_MINIMUM_FLOW);
    ck_assert(report.assumptions & 1u << COIL_ASSUME_NO_FEED);
    ck_assert(!(report.assumptions & 1u << COIL_ASSUME_VALVES_TIGHT));
    /* No valve anywhere: nothing can go around the heater. */
    ck_assert_ptr_nonnull(note(COIL_NOTE_NO_WAY_AROUND_HEATER));
    ck_assert_int_eq(report.note_count, 1);
}
END_TEST

/* Every kind of chlorine source, put right behind the filter. */
START_TEST(any_chlorine_source_before_the_heater_is_found_with_its_path)
{
    static const enum coil_part_kind kinds[] = {
        COIL_PART_EROSION_FEEDER,     COIL_PART_SALT_CELL,
        COIL_PART_CHLORINE_INJECTION, COIL_PART_SKIMMER_TABLETS,
        COIL_PART_STRAINER_TABLETS,   COIL_PART_FLOATING_DISPENSER};
    enum coil_part_kind chain[] = {
        COIL_PART_SKIMMER, COIL_PART_PUMP, COIL_PART_FILTER, kinds[_i], COIL_PART_PIPE,
        COIL_PART_HEATER,  COIL_PART_PIPE, COIL_PART_RETURN, 0};
    const struct coil_line_fault *f;

    line_begin(&line);
    line_chain(&line, chain);
    line.parts[5].is_interlocked = true;
    find();
    f = fault(COIL_FAULT_CHLORINE_BEFORE_HEATER);
    ck_assert_ptr_nonnull(f);
    ck_assert_int_eq(f->part, 3);
    ck_assert_int_eq(f->other, 5);
    ck_assert_int_eq(f->severity, COIL_LINE_STOP);
    ck_assert_int_eq(f->side, COIL_WATER_SIDE);
    ck_assert_int_eq(f->change, COIL_CHANGE_MOVE_AFTER_HEATER);
    ck_assert_int_eq(f->change_after, 6);
    ck_assert(f->change_needs_check_valve);
    ck_assert_uint_eq(f->positions, 1);
    ck_assert_int_eq(f->path_length, 3);
    check_path(f->path, f->path_length, 3, 5);
    ck_assert(!report.all_is_well);
    ck_assert_int_eq(report.water_side, COIL_HOLD);
    ck_assert_int_eq(report.burner_side, COIL_RUN);
}
END_TEST

/* The smallest change is one: what it proposes takes the fault away. */
START_TEST(moving_the_source_as_proposed_mends_it)
{
    static const enum coil_part_kind bad[] = {
        COIL_PART_SKIMMER, COIL_PART_PUMP,        COIL_PART_EROSION_FEEDER,
        COIL_PART_FILTER,  COIL_PART_FLOW_SWITCH, COIL_PART_HEATER,
        COIL_PART_PIPE,    COIL_PART_CHECK_VALVE, COIL_PART_PIPE,
        COIL_PART_RETURN,  (enum coil_part_kind)0};
    const struct coil_line_fault *f;
    int after;

    line_begin(&line);
    line_chain(&line, bad);
    find();
    only(COIL_FAULT_CHLORINE_BEFORE_HEATER);
    f = &report.faults[0];
    ck_assert_int_eq(f->change_after, 7);
    ck_assert(!f->change_needs_check_valve);
    after = f->change_after;
    /* 1 -> 2 -> 3 becomes 1 -> 3; 7 -> 8 becomes 7 -> 2 -> 8. Edge e is e -> e + 1. */
    line.edges[1].to = 3;
    line.edges[2].from = 2;
    line.edges[2].to = 8;
    line.edges[7].to = 2;
    ck_assert_int_eq(line.edges[7].from, after);
    find();
    ck_assert_int_eq(report.fault_total, 0);
}
END_TEST

START_TEST(a_source_goes_behind_the_last_check_valve)
{
    static const enum coil_part_kind bad[] = {
        COIL_PART_SKIMMER,     COIL_PART_PUMP,        COIL_PART_SALT_CELL,
        COIL_PART_HEATER,      COIL_PART_CHECK_VALVE, COIL_PART_PIPE,
        COIL_PART_CHECK_VALVE, COIL_PART_RETURN,      (enum coil_part_kind)0};

    line_begin(&line);
    line_chain(&line, bad);
    find();
    only(COIL_FAULT_CHLORINE_BEFORE_HEATER);
    ck_assert_int_eq(report.faults[0].change_after, 6);
}
END_TEST

START_TEST(one_fault_tells_all_positions_that_show_it)
{
    line_begin(&line);
    line_chain(&line, GOOD);
    line.parts[4].kind = COIL_PART_SALT_CELL;
    line_position(&line, COIL_POSITION_SPA);
    line_position(&line, COIL_POSITION_CLEANING);
    find();
    only(COIL_FAULT_CHLORINE_BEFORE_HEATER);
    ck_assert_uint_eq(report.faults[0].positions, 7);
}
END_TEST

/* A filter's tank lies between: near by pipe, far by water. */
START_TEST(a_filter_keeps_acid_and_chlorine_apart)
{
    static const enum coil_part_kind chain[] = {
        COIL_PART_SKIMMER, COIL_PART_PUMP,      COIL_PART_ACID_INJECTION,
        COIL_PART_FILTER,  COIL_PART_SALT_CELL, COIL_PART_FLOW_SWITCH,
        COIL_PART_HEATER,  COIL_PART_RETURN,    (enum coil_part_kind)0};

    line_begin(&line);
    line_chain(&line, chain);
    find();
    ck_assert_ptr_null(fault(COIL_FAULT_ACID_NEAR_CHLORINE));
    line.parts[3].kind = COIL_PART_TEE;
    find();
    ck_assert_ptr_nonnull(fault(COIL_FAULT_ACID_NEAR_CHLORINE));
}
END_TEST

START_TEST(the_pool_breaks_the_loop)
{
    /* The salt cell's water comes back to the heater, but through the pool. */
    line_begin(&line);
    line_chain(&line, GOOD);
    find();
    ck_assert_ptr_null(fault(COIL_FAULT_CHLORINE_BEFORE_HEATER));
    /* A spillway and a floating dispenser are the pool's, too. */
    line_part(&line, COIL_PART_FLOATING_DISPENSER);
    line_join(&line, 10, line_part(&line, COIL_PART_SPA_SPILLWAY));
    find();
    ck_assert_int_eq(report.fault_total, 0);
}
END_TEST

START_TEST(acid_and_ozone_before_the_heater_are_told_apart)
{
    static const enum coil_part_kind chain[] = {
        COIL_PART_SKIMMER,    COIL_PART_PUMP,        COIL_PART_ACID_INJECTION,
        COIL_PART_OZONE_UNIT, COIL_PART_FLOW_SWITCH, COIL_PART_HEATER,
        COIL_PART_RETURN,     (enum coil_part_kind)0};

    line_begin(&line);
    line_chain(&line, chain);
    find();
    ck_assert_int_eq(report.fault_count, 2);
    ck_assert_int_eq(report.faults[0].code, COIL_FAULT_ACID_BEFORE_HEATER);
    ck_assert_int_eq(report.faults[0].severity, COIL_LINE_STOP);
    ck_assert_int_eq(report.faults[1].code, COIL_FAULT_OZONE_BEFORE_HEATER);
    ck_assert_int_eq(report.faults[1].severity, COIL_LINE_RISK);
    check_path(report.faults[0].path, report.faults[0].path_length, 2, 5);
}
END_TEST

START_TEST(tablets_in_a_basket_are_a_fault_even_where_no_heater_is_reached)
{
    int tablets;

    line_begin(&line);
    line_chain(&line, GOOD);
    tablets = line_part(&line, COIL_PART_SKIMMER_TABLETS);
    line_join(&line, tablets, 0); /* in the skimmer: before its pipe */
    find();
    ck_assert_int_eq(report.fault_count, 2);
    ck_assert_int_eq(report.faults[0].code, COIL_FAULT_CHLORINE_BEFORE_HEATER);
    check_path(report.faults[0].path, report.faults[0].path_length, tablets, 6);
    ck_assert_int_eq(report.faults[1].code, COIL_FAULT_TABLETS_IN_BASKET);
    ck_assert_int_eq(report.faults[1].change, COIL_CHANGE_TAKE_TABLETS_OUT);
}
END_TEST

START_TEST(a_feeder_after_the_heater_needs_a_check_valve_between)
{
    static const enum coil_part_kind chain[] = {
        COIL_PART_SKIMMER,        COIL_PART_PUMP,   COIL_PART_FLOW_SWITCH,
        COIL_PART_HEATER,         COIL_PART_PIPE,   COIL_PART_TEE,
        COIL_PART_EROSION_FEEDER, COIL_PART_RETURN, (enum coil_part_kind)0};
    const struct coil_line_fault *f;

    line_begin(&line);
    line_chain(&line, chain);
    find();
    only(COIL_FAULT_NO_CHECK_VALVE);
    f = &report.faults[0];
    ck_assert_int_eq(f->severity, COIL_LINE_RISK);
    ck_assert_int_eq(f->part, 6);
    ck_assert_int_eq(f->change_after, 5); /* right before the feeder */
    ck_assert_int_eq(f->path[0], 6);      /* it drifts against the flow */
    ck_assert_int_eq(f->path[f->path_length - 1], 3);
    ck_assert_int_eq(report.water_side, COIL_RUN); /* a caution, no hold */
    line.parts[5].kind = COIL_PART_CHECK_VALVE;
    find();
    ck_assert(report.all_is_well);
}
END_TEST

/* The check valve on the heater's own branch does not help when the bypass is open. */
START_TEST(concentrate_drifts_back_through_an_open_bypass)
{
    int skimmer, pump, split, heater, check, join, feeder, bypass;

    line_begin(&line);
    skimmer = line_part(&line, COIL_PART_SKIMMER);
    pump = line_part(&line, COIL_PART_PUMP);
    split = line_part(&line, COIL_PART_TEE);
    heater = line_part(&line, COIL_PART_HEATER);
    check = line_part(&line, COIL_PART_CHECK_VALVE);
    join = line_part(&line, COIL_PART_TEE);
    bypass = line_part(&line, COIL_PART_TWO_WAY_VALVE);
    feeder = line_part(&line, COIL_PART_SALT_CELL);
    line_join(&line, skimmer, pump);
    line_join(&line, pump, split);
    line_join(&line, split, heater);
    line_join(&line, heater, check);
    line_join(&line, check, join);
    line_join(&line, split, bypass);
    line_join(&line, bypass, join);
    line_join(&line, join, feeder);
    line_join(&line, feeder, line_part(&line, COIL_PART_RETURN));
    find();
    only(COIL_FAULT_NO_CHECK_VALVE);
    line.positions[0].setting[bypass] = COIL_SET_CLOSED;
    find();
    ck_assert(report.all_is_well);
    /* but it could */
    ck_assert_ptr_nonnull(note(COIL_NOTE_FEED_COULD_DRIFT_BACK));
    ck_assert_int_eq(note(COIL_NOTE_FEED_COULD_DRIFT_BACK)->part, feeder);
}
END_TEST

/* Hypochlorite and acid fed while the pump stood, gas on restart (MMWR 66(19), 2017).
 */
START_TEST(the_cdc_case_of_feed_with_the_pump_stopped_is_found)
{
    static const enum coil_part_kind chain[] = {
        COIL_PART_MAIN_DRAIN,     COIL_PART_PUMP,        COIL_PART_FILTER,
        COIL_PART_FLOW_SWITCH,    COIL_PART_HEATER,      COIL_PART_CHECK_VALVE,
        COIL_PART_ACID_INJECTION, COIL_PART_PIPE,        COIL_PART_CHLORINE_INJECTION,
        COIL_PART_RETURN,         (enum coil_part_kind)0};
    const struct coil_line_fault *f;

    line_begin(&line);
    line_chain(&line, chain);
    find();
    ck_assert(report.all_is_well); /* both interlocked, 2 m apart, after the heater */
    line.parts[6].is_interlocked = false;
    line.parts[8].is_interlocked = false;
    find();
    ck_assert_int_eq(report.fault_count, 3);
    f = fault(COIL_FAULT_ACID_AND_CHLORINE_STOPPED);
    ck_assert_ptr_nonnull(f);
    ck_assert_int_eq(f->severity, COIL_LINE_STOP);
    ck_assert_int_eq(f->part, 6);
    ck_assert_int_eq(f->other, 8);
    check_path(f->path, f->path_length, 6, 8);
    ck_assert_int_eq(report.faults[1].code, COIL_FAULT_FEED_NOT_INTERLOCKED);
    ck_assert_int_eq(report.faults[1].part, 6);
    ck_assert_int_eq(report.faults[2].part, 8);
    ck_assert_int_eq(report.faults[2].change, COIL_CHANGE_ADD_INTERLOCK);
    /* One interlock breaks the pair. */
    line.parts[6].is_interlocked = true;
    find();
    only(COIL_FAULT_FEED_NOT_INTERLOCKED);
    ck_assert_int_eq(report.water_side, COIL_RUN);
}
END_TEST

START_TEST(acid_close_to_chlorine_is_measured_along_the_pipe)
{
    static const enum coil_part_kind chain[] = {
        COIL_PART_SKIMMER,     COIL_PART_PUMP,
        COIL_PART_FLOW_SWITCH, COIL_PART_HEATER,
        COIL_PART_CHECK_VALVE, COIL_PART_ACID_INJECTION,
        COIL_PART_PIPE,        COIL_PART_CHLORINE_INJECTION,
        COIL_PART_RETURN,      (enum coil_part_kind)0};

    line_begin(&line);
    line_chain(&line, chain);
    line.parts[6].length_m = 1.0;
    find();
    ck_assert(report.all_is_well);
    line.parts[6].length_m = 0.4;
    find();
    only(COIL_FAULT_ACID_NEAR_CHLORINE);
    ck_assert_double_eq_tol(report.faults[0].value, 0.4, 1e-12);
    ck_assert_double_eq(report.faults[0].limit, COIL_LINE_NEAR_M);
    ck_assert_int_eq(report.faults[0].other, 7);
}
END_TEST

START_TEST(flow_proof_must_be_on_the_heaters_own_water)
{
    int pump, flow_switch, split, heater, join, bypass;

    line_begin(&line);
    pump = line_part(&line, COIL_PART_PUMP);
    flow_switch = line_part(&line, COIL_PART_FLOW_SWITCH);
    split = line_part(&line, COIL_PART_TEE);
    heater = line_part(&line, COIL_PART_HEATER);
    join = line_part(&line, COIL_PART_TEE);
    bypass = line_part(&line, COIL_PART_TWO_WAY_VALVE);
    line.parts[heater].is_interlocked = false;
    line_join(&line, line_part(&line, COIL_PART_SKIMMER), pump);
    line_join(&line, pump, flow_switch);
    line_join(&line, flow_switch, split);
    line_join(&line, split, heater);
    line_join(&line, heater, join);
    line_join(&line, split, bypass);
    line_join(&line, bypass, join);
    line_join(&line, join, line_part(&line, COIL_PART_RETURN));
    find();
    only(COIL_FAULT_FLOW_PROOF_SHARED);
    line.parts[flow_switch].kind = COIL_PART_TEE;
    find();
    only(COIL_FAULT_NO_FLOW_PROOF);
    ck_assert_int_eq(report.faults[0].side, COIL_BURNER_SIDE);
    line.parts[heater].is_interlocked = true; /* its own proof */
    find();
    ck_assert(report.all_is_well);
    /* A switch on the heater's branch sees its water only. */
    line.parts[heater].is_interlocked = false;
    line.edges[3].to = line_part(&line, COIL_PART_FLOW_SWITCH);
    line_join(&line, line.edges[3].to, heater);
    find();
    ck_assert(report.all_is_well);
}
END_TEST

START_TEST(heater_before_filter_is_found)
{
    static const enum coil_part_kind chain[] = {
        COIL_PART_SKIMMER, COIL_PART_PUMP,   COIL_PART_HEATER,
        COIL_PART_FILTER,  COIL_PART_RETURN, (enum coil_part_kind)0};

    line_begin(&line);
    line_chain(&line, chain);
    find();
    only(COIL_FAULT_HEATER_BEFORE_FILTER);
    check_path(report.faults[0].path, report.faults[0].path_length, 2, 3);
    ck_assert_int_eq(report.faults[0].change_after, 3);
}
END_TEST

/* A heater between two valves with a bypass; returns the index of the first part. */
static void put_bypass(int *out_in, int *out_out, int *out_bypass, int *out_heater)
{
    int pump, split, join;

    line_begin(&line);
    pump = line_part(&line, COIL_PART_PUMP);
    split = line_part(&line, COIL_PART_TEE);
    *out_in = line_part(&line, COIL_PART_TWO_WAY_VALVE);
    *out_heater = line_part(&line, COIL_PART_HEATER);
    *out_out = line_part(&line, COIL_PART_TWO_WAY_VALVE);
    *out_bypass = line_part(&line, COIL_PART_TWO_WAY_VALVE);
    join = line_part(&line, COIL_PART_TEE);
    line_join(&line, line_part(&line, COIL_PART_SKIMMER), pump);
    line_join(&line, pump, split);
    line_join(&line, split, *out_in);
    line_join(&line, *out_in, *out_heater);
    line_join(&line, *out_heater, *out_out);
    line_join(&line, *out_out, join);
    line_join(&line, split, *out_bypass);
    line_join(&line, *out_bypass, join);
    line_join(&line, join, line_part(&line, COIL_PART_RETURN));
    line.positions[0].setting[*out_bypass] = COIL_SET_CLOSED;
}

START_TEST(the_off_line_position_must_shut_the_heater_on_both_sides)
{
    int in, out, bypass, heater, off;

    put_bypass(&in, &out, &bypass, &heater);
    find();
    ck_assert(report.all_is_well);
    ck_assert_ptr_nonnull(note(COIL_NOTE_OFF_LINE_NOT_DECLARED));
    ck_assert_ptr_nonnull(note(COIL_NOTE_HEATER_COULD_BE_SHUT_IN));
    ck_assert_ptr_nonnull(note(COIL_NOTE_PUMP_COULD_BE_SHUT));
    ck_assert_ptr_null(note(COIL_NOTE_NO_WAY_AROUND_HEATER));
    ck_assert_ptr_null(note(COIL_NOTE_ISOLATES_ONE_SIDE_ONLY));

    off = line_position(&line, COIL_POSITION_HEATER_OFF_LINE);
    find(); /* all open: water passes it */
    only(COIL_FAULT_OFF_LINE_PASSED);
    ck_assert_uint_eq(report.faults[0].positions, 1u << off);
    ck_assert_int_eq(report.faults[0].change, COIL_CHANGE_SHUT_VALVE);
    check_path(report.faults[0].path, report.faults[0].path_length, 7, 8);
    line.positions[off].setting[in] = COIL_SET_CLOSED;
    find(); /* one side open */
    only(COIL_FAULT_OFF_LINE_ONE_SIDED);
    check_path(report.faults[0].path, report.faults[0].path_length, heater, 8);
    line.positions[off].setting[out] = COIL_SET_CLOSED;
    find();
    ck_assert(report.all_is_well);
    ck_assert_ptr_null(note(COIL_NOTE_OFF_LINE_NOT_DECLARED));
    /* Bypass shut as well: the pump has no way. */
    line.positions[off].setting[bypass] = COIL_SET_CLOSED;
    find();
    only(COIL_FAULT_PUMP_SHUT);
    ck_assert_uint_eq(report.faults[0].positions, 1u << off);
}
END_TEST

START_TEST(a_bypass_with_a_valve_on_one_side_isolates_that_side_only)
{
    int in, out, bypass, heater;

    put_bypass(&in, &out, &bypass, &heater);
    line.parts[out].kind = COIL_PART_TEE;
    find();
    ck_assert_ptr_nonnull(note(COIL_NOTE_ISOLATES_ONE_SIDE_ONLY));
    line.parts[in].kind = COIL_PART_TEE;
    find();
    ck_assert_ptr_nonnull(note(COIL_NOTE_NO_WAY_AROUND_HEATER));
}
END_TEST

START_TEST(firing_with_the_heater_shut_holds_the_burner)
{
    int in, out, bypass, heater;

    put_bypass(&in, &out, &bypass, &heater);
    line.positions[0].setting[bypass] = COIL_SET_OPEN;
    line.positions[0].setting[in] = COIL_SET_CLOSED;
    line.positions[0].setting[out] = COIL_SET_CLOSED;
    find();
    only(COIL_FAULT_FIRING_WITHOUT_FLOW);
    ck_assert_int_eq(report.burner_side, COIL_HOLD);
    ck_assert_int_eq(report.water_side, COIL_RUN);
    line.positions[0].burner_may_fire = false;
    find();
    ck_assert(report.all_is_well);
    /* An idle pump is no flow either. */
    line.positions[0].setting[in] = line.positions[0].setting[out] = COIL_SET_OPEN;
    line.positions[0].setting[0] = COIL_SET_CLOSED;
    line.positions[0].burner_may_fire = true;
    find();
    only(COIL_FAULT_FIRING_WITHOUT_FLOW);
}
END_TEST

/* 2 L/s; half of it through an open bypass. */
START_TEST(heater_flow_is_held_against_its_plate)
{
    int in, out, bypass, heater, slow;

    put_bypass(&in, &out, &bypass, &heater);
    line.parts[heater].min_flow_l_per_s = 1.5;
    line.parts[heater].max_flow_l_per_s = 2.5;
    find();
    ck_assert(report.all_is_well);
    ck_assert(!(report.assumptions & 1u << COIL_ASSUME_NO_MINIMUM_FLOW));
    line.positions[0].setting[bypass] = COIL_SET_OPEN;
    find();
    only(COIL_FAULT_BELOW_MINIMUM_FLOW);
    ck_assert_double_eq_tol(report.faults[0].value, 1.0, 1e-12);
    ck_assert_double_eq(report.faults[0].limit, 1.5);
    ck_assert(report.assumptions & 1u << COIL_ASSUME_EQUAL_SHARES);
    /* Nine parts of ten by the owner's shares: 1.8 L/s. */
    line.edges[2].share = 9;
    line.edges[6].share = 1;
    find();
    ck_assert(report.all_is_well);
    ck_assert(report.assumptions & 1u << COIL_ASSUME_GIVEN_SHARES);
    slow = line_position(&line, COIL_POSITION_SPA);
    line.positions[slow].flow_fraction = 0.5;
    line.positions[0].flow_fraction = 2.0;
    find();
    ck_assert_int_eq(report.fault_count, 2);
    ck_assert_int_eq(report.faults[0].code, COIL_FAULT_BELOW_MINIMUM_FLOW);
    ck_assert_uint_eq(report.faults[0].positions, 1u << slow);
    ck_assert_int_eq(report.faults[1].code, COIL_FAULT_ABOVE_MAXIMUM_FLOW);
    ck_assert_double_eq_tol(report.faults[1].value, 3.6, 1e-12);
    ck_assert_uint_eq(report.faults[1].positions, 1);
}
END_TEST

START_TEST(fast_water_in_copper_is_found)
{
    line_begin(&line);
    line_chain(&line, GOOD);
    line.parts[7].material = COIL_PIPE_COPPER;
    line.parts[7].size = COIL_PIPE_1_5;
    find();
    only(COIL_FAULT_COPPER_TOO_FAST);
    ck_assert_int_eq(report.faults[0].part, 7);
    ck_assert_double_eq_tol(report.faults[0].value, 1.74, 0.005);
    ck_assert_double_eq_tol(report.faults[0].limit, 1.524, 1e-9);
}
END_TEST

START_TEST(dead_legs_and_unreachable_parts_are_found)
{
    int leg, lost;

    line_begin(&line);
    line_chain(&line, GOOD);
    leg = line_part(&line, COIL_PART_PIPE);
    line_join(&line, 4, leg);
    lost = line_part(&line, COIL_PART_UV_UNIT);
    find();
    ck_assert_int_eq(report.fault_count, 2);
    ck_assert_int_eq(report.faults[0].code, COIL_FAULT_DEAD_LEG);
    ck_assert_int_eq(report.faults[0].part, leg);
    ck_assert_int_eq(report.faults[1].code, COIL_FAULT_UNREACHABLE);
    ck_assert_int_eq(report.faults[1].part, lost);
    ck_assert_int_eq(report.faults[1].severity, COIL_LINE_CARE);
}
END_TEST

/* A metering pump is drawn as a part that ends in the line. */
START_TEST(a_metering_pump_without_inlet_is_no_dead_leg)
{
    int injection;

    line_begin(&line);
    line_chain(&line, GOOD);
    injection = line_part(&line, COIL_PART_CHLORINE_INJECTION);
    line_join(&line, injection, 10);
    find();
    ck_assert(report.all_is_well);
    line.edges[line.edge_count - 1].to = 4;
    find();
    only(COIL_FAULT_CHLORINE_BEFORE_HEATER);
    ck_assert_int_eq(report.faults[0].part, injection);
}
END_TEST

/* ---- three-way valves ---- */

START_TEST(a_three_way_valve_sends_water_the_way_it_is_set)
{
    int pump, valve, heater, join, cell, off, e_a, e_b;
    struct coil_line_flow flow;

    line_begin(&line);
    pump = line_part(&line, COIL_PART_PUMP);
    valve = line_part(&line, COIL_PART_THREE_WAY_VALVE);
    heater = line_part(&line, COIL_PART_HEATER);
    join = line_part(&line, COIL_PART_CHECK_VALVE);
    cell = line_part(&line, COIL_PART_SALT_CELL);
    line_join(&line, line_part(&line, COIL_PART_SKIMMER), pump);
    line_join(&line, pump, valve);
    e_a = line_join_ports(&line, valve, COIL_PORT_A, heater, COIL_PORT_COMMON);
    line_join(&line, heater, join);
    line_join(&line, join, cell);
    e_b = line_join_ports(&line, valve, COIL_PORT_B, cell, COIL_PORT_COMMON);
    line_join(&line, cell, line_part(&line, COIL_PART_RETURN));
    line.positions[0].setting[valve] = COIL_SET_A;
    off = line_position(&line, COIL_POSITION_HEATER_OFF_LINE);
    line.positions[off].setting[valve] = COIL_SET_B;
    find();
    only(COIL_FAULT_OFF_LINE_ONE_SIDED); /* its outlet has no valve */
    ck_assert_int_eq(coil_line_flow(&line, 0, &flow), COIL_OK);
    ck_assert_double_eq_tol(flow.part_l_per_s[heater], 2, 1e-12);
    ck_assert_double_eq(flow.edge_l_per_s[e_b], 0);
    ck_assert_int_eq(coil_line_flow(&line, off, &flow), COIL_OK);
    ck_assert_double_eq(flow.part_l_per_s[heater], 0);
    ck_assert_double_eq(flow.edge_l_per_s[e_a], 0);
    ck_assert_double_eq_tol(flow.edge_l_per_s[e_b], 2, 1e-12);
    line.positions[0].setting[valve] = COIL_SET_OPEN;
    ck_assert_int_eq(coil_line_flow(&line, 0, &flow), COIL_OK);
    ck_assert_double_eq_tol(flow.part_l_per_s[heater], 1, 1e-12);
    line.positions[0].setting[valve] = COIL_SET_CLOSED;
    find();
    ck_assert_ptr_nonnull(fault(COIL_FAULT_PUMP_SHUT));
    ck_assert_ptr_nonnull(fault(COIL_FAULT_FIRING_WITHOUT_FLOW));
}
END_TEST

/* Two pumps side by side, then a booster behind them. */
START_TEST(pumps_add_up_side_by_side_and_not_in_a_row)
{
    int tee_in, tee_out, one, two, booster, heater;
    struct coil_line_flow flow;

    line_begin(&line);
    tee_in = line_part(&line, COIL_PART_TEE);
    one = line_part(&line, COIL_PART_PUMP);
    two = line_part(&line, COIL_PART_PUMP);
    tee_out = line_part(&line, COIL_PART_TEE);
    booster = line_part(&line, COIL_PART_PUMP);
    heater = line_part(&line, COIL_PART_HEATER);
    line.parts[two].flow_l_per_s = 0.5;
    line.parts[booster].flow_l_per_s = 9;
    line_join(&line, line_part(&line, COIL_PART_SKIMMER), tee_in);
    line_join(&line, line_part(&line, COIL_PART_MAIN_DRAIN), tee_in);
    line_join(&line, tee_in, one);
    line_join(&line, tee_in, two);
    line_join(&line, one, tee_out);
    line_join(&line, two, tee_out);
    line_join(&line, tee_out, booster);
    line_join(&line, booster, heater);
    line_join(&line, heater, line_part(&line, COIL_PART_RETURN));
    ck_assert_int_eq(coil_line_flow(&line, 0, &flow), COIL_OK);
    ck_assert_double_eq_tol(flow.part_l_per_s[heater], 2.5, 1e-12);
    ck_assert_double_eq_tol(flow.edge_l_per_s[0], 1.25, 1e-12);
    ck_assert(flow.assumptions & 1u << COIL_ASSUME_PUMPS_IN_ROW);
    line.positions[0].setting[one] = COIL_SET_CLOSED;
    ck_assert_int_eq(coil_line_flow(&line, 0, &flow), COIL_OK);
    ck_assert_double_eq_tol(flow.part_l_per_s[heater], 0.5, 1e-12);
    ck_assert_int_eq(coil_line_flow(&line, 1, &flow), COIL_ERR_DOMAIN);
}
END_TEST

/* A side loop with a pump of its own is a line; flow in it is not computed. */
START_TEST(a_loop_through_a_pump_is_told_as_an_assumption)
{
    static const enum coil_part_kind chain[] = {
        COIL_PART_SKIMMER, COIL_PART_PUMP,   COIL_PART_TEE,         COIL_PART_HEATER,
        COIL_PART_TEE,     COIL_PART_RETURN, (enum coil_part_kind)0};
    int side;
    struct coil_line_flow flow;

    line_begin(&line);
    line_chain(&line, chain);
    side = line_part(&line, COIL_PART_PUMP);
    line_join(&line, 4, side);
    line_join(&line, side, 2);
    find();
    ck_assert(report.all_is_well);
    ck_assert(report.assumptions & 1u << COIL_ASSUME_LOOP_NO_FLOW);
    ck_assert_int_eq(coil_line_flow(&line, 0, &flow), COIL_ERR_NO_SOLUTION);
}
END_TEST

/* More faults than there is room for; the worst stay. */
START_TEST(more_faults_than_fit_are_counted)
{
    static const enum coil_part_kind bad[] = {
        COIL_PART_SKIMMER, COIL_PART_PUMP,   COIL_PART_SALT_CELL,
        COIL_PART_HEATER,  COIL_PART_RETURN, (enum coil_part_kind)0};

    line_begin(&line);
    line_chain(&line, bad);
    while (line.part_count < COIL_LINE_PARTS_MAX) {
        int part = line_part(&line, COIL_PART_SKIMMER_TABLETS);

        line_join(&line, part, 1);
    }
    find();
    ck_assert_int_eq(report.fault_count, COIL_LINE_FAULTS_MAX);
    /* 195 tablets and a cell before the heater, 195 tablets in baskets. */
    ck_assert_int_eq(report.fault_total, 196 + 195);
    ck_assert_int_eq(report.faults[0].code, COIL_FAULT_CHLORINE_BEFORE_HEATER);
    ck_assert_int_eq(report.water_side, COIL_HOLD);
}
END_TEST

START_TEST(keys_go_there_and_back)
{
    enum coil_part_kind kind = (enum coil_part_kind)0;
    enum coil_position_kind position = (enum coil_position_kind)0;
    int count = 0;

    for (; coil_part_kind_at(count) != 0; count++) {
        ck_assert_int_eq(coil_part_kind_from_key(
                             coil_part_kind_key(coil_part_kind_at(count)), &kind),
                         COIL_OK);
        ck_assert_int_eq(kind, coil_part_kind_at(count));
    }
    ck_assert_int_eq(count, 26);
    ck_assert_ptr_null(coil_part_kind_key((enum coil_part_kind)0));
    ck_assert_int_eq(coil_part_kind_from_key("boiler", &kind), COIL_ERR_UNKNOWN);
    ck_assert_int_eq(coil_part_kind_from_key(NULL, &kind), COIL_ERR_UNKNOWN);
    for (int i = 1; i <= 4; i++) {
        ck_assert_int_eq(
            coil_position_kind_from_key(
                coil_position_kind_key((enum coil_position_kind)i), &position),
            COIL_OK);
        ck_assert_int_eq(position, i);
    }
    ck_assert_int_eq(coil_position_kind_from_key("winter", &position),
                     COIL_ERR_UNKNOWN);
    ck_assert_ptr_null(coil_line_fault_key(COIL_LINE_FAULT_COUNT));
    ck_assert_ptr_null(coil_line_note_key(COIL_LINE_NOTE_COUNT));
    ck_assert_ptr_null(coil_line_change_key(COIL_CHANGE_COUNT));
    ck_assert_ptr_null(coil_line_problem_key(COIL_LINE_PROBLEM_COUNT));
    ck_assert_ptr_null(coil_line_assumption_key(COIL_ASSUME_COUNT));
    ck_assert_str_eq(coil_line_assumption_key(COIL_ASSUME_LOOP_NO_FLOW),
                     "loop_no_flow");
    ck_assert_str_eq(coil_line_severity_key(COIL_LINE_CARE), "care");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("line");
    TCase *tcase = tcase_create("line");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, a_good_line_has_no_fault_and_says_what_it_assumed);
    tcase_add_loop_test(
        tcase, any_chlorine_source_before_the_heater_is_found_with_its_path, 0, 6);
    tcase_add_test(tcase, moving_the_source_as_proposed_mends_it);
    tcase_add_test(tcase, a_source_goes_behind_the_last_check_valve);
    tcase_add_test(tcase, one_fault_tells_all_positions_that_show_it);
    tcase_add_test(tcase, a_filter_keeps_acid_and_chlorine_apart);
    tcase_add_test(tcase, the_pool_breaks_the_loop);
    tcase_add_test(tcase, acid_and_ozone_before_the_heater_are_told_apart);
    tcase_add_test(tcase,
                   tablets_in_a_basket_are_a_fault_even_where_no_heater_is_reached);
    tcase_add_test(tcase, a_feeder_after_the_heater_needs_a_check_valve_between);
    tcase_add_test(tcase, concentrate_drifts_back_through_an_open_bypass);
    tcase_add_test(tcase, the_cdc_case_of_feed_with_the_pump_stopped_is_found);
    tcase_add_test(tcase, acid_close_to_chlorine_is_measured_along_the_pipe);
    tcase_add_test(tcase, flow_proof_must_be_on_the_heaters_own_water);
    tcase_add_test(tcase, heater_before_filter_is_found);
    tcase_add_test(tcase, the_off_line_position_must_shut_the_heater_on_both_sides);
    tcase_add_test(tcase, a_bypass_with_a_valve_on_one_side_isolates_that_side_only);
    tcase_add_test(tcase, firing_with_the_heater_shut_holds_the_burner);
    tcase_add_test(tcase, heater_flow_is_held_against_its_plate);
    tcase_add_test(tcase, fast_water_in_copper_is_found);
    tcase_add_test(tcase, dead_legs_and_unreachable_parts_are_found);
    tcase_add_test(tcase, a_metering_pump_without_inlet_is_no_dead_leg);
    tcase_add_test(tcase, a_three_way_valve_sends_water_the_way_it_is_set);
    tcase_add_test(tcase, pumps_add_up_side_by_side_and_not_in_a_row);
    tcase_add_test(tcase, a_loop_through_a_pump_is_told_as_an_assumption);
    tcase_add_test(tcase, more_faults_than_fit_are_counted);
    tcase_add_test(tcase, keys_go_there_and_back);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
