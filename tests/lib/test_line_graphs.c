/*
 * Properties of the line on random graphs. What is expected comes from line_random.h's
 * own reading of the graph.
 */
#include <check.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "tests/lib/line_random.h"

static struct coil_line other;
static struct coil_line_report second;

static int count_before(const struct coil_line_report *r)
{
    int count = 0;

    for (int i = 0; i < r->fault_count; i++)
        count += r->faults[i].code == COIL_FAULT_CHLORINE_BEFORE_HEATER;
    return count;
}

/* Puts a new part of a kind into the middle of an edge; returns its index. */
static int insert(struct coil_line *l, int edge, enum coil_part_kind kind)
{
    int part = line_part(l, kind);
    struct coil_edge *e = &l->edges[edge];

    line_join_ports(l, part, COIL_PORT_COMMON, e->to, e->to_port);
    e->to = part;
    e->to_port = COIL_PORT_COMMON;
    return part;
}

/* ---- properties ---- */

/* The faults are exactly the sources from which our own reading reaches the heater. */
START_TEST(before_heater_faults_are_those_of_plain_reachability)
{
    state = 0x9e3779b97f4a7c15u + (unsigned)_i;
    for (int n = 0; n < 40; n++) {
        char up[COIL_LINE_PARTS_MAX] = {0};

        random_line(5 + (int)dice(50), 12, (int)dice(30));
        random_settings(&line.positions[0]);
        find(&line, &report);
        up[heater_of(&line)] = 1;
        spread(&line, line.positions[0].setting, 1, up);
        for (int p = 0; p < line.part_count; p++) {
            ck_assert_int_eq(has_fault(&report, COIL_FAULT_CHLORINE_BEFORE_HEATER, p),
                             is_chlorine(&line, p) && up[p]);
            ck_assert_int_eq(has_fault(&report, COIL_FAULT_ACID_BEFORE_HEATER, p),
                             is_feed(&line, p) && !is_chlorine(&line, p) && up[p]);
        }
    }
}
END_TEST

/* Every path is made of open edges, starts at the source and ends at the heater. */
START_TEST(every_before_heater_path_can_be_walked)
{
    state = 0xd1b54a32d192ed03u + (unsigned)_i;
    for (int n = 0; n < 40; n++) {
        random_line(5 + (int)dice(60), 10, (int)dice(30));
        random_settings(&line.positions[0]);
        find(&line, &report);
        for (int i = 0; i < report.fault_count; i++) {
            const struct coil_line_fault *f = &report.faults[i];

            if (f->code > COIL_FAULT_ACID_BEFORE_HEATER)
                continue;
            ck_assert_int_eq(f->path[0], f->part);
            ck_assert_int_eq(f->path[f->path_length - 1], heater_of(&line));
            for (int k = 0; k + 1 < f->path_length; k++) {
                int joined = 0;

                for (int e = 0; e < line.edge_count; e++)
                    joined |= line.edges[e].from == f->path[k] &&
                              line.edges[e].to == f->path[k + 1] &&
                              is_open(&line, line.positions[0].setting, e);
                ck_assert(joined);
            }
        }
    }
}
END_TEST

START_TEST(a_source_after_the_heater_behind_a_check_valve_adds_no_before_heater_fault)
{
    int tried = 0;

    state = 0x2545f4914f6cdd1du + (unsigned)_i;
    for (int n = 0; n < 60; n++) {
        char down[COIL_LINE_PARTS_MAX] = {0};
        int before, edge = -1;

        random_line(5 + (int)dice(50), 8, (int)dice(20));
        find(&line, &report);
        before = count_before(&report);
        down[heater_of(&line)] = 1;
        spread(&line, line.positions[0].setting, 0, down);
        for (int e = 0; e < line.edge_count; e++)
            if (down[line.edges[e].from] && (edge < 0 || dice(2)))
                edge = e;
        if (edge < 0)
            continue;
        tried++;
        insert(&line, edge, COIL_PART_CHECK_VALVE);
        insert(&line, line.edge_count - 1, COIL_PART_EROSION_FEEDER);
        find(&line, &report);
        ck_assert_int_eq(count_before(&report), before);
        ck_assert(!has_fault(&report, COIL_FAULT_CHLORINE_BEFORE_HEATER,
                             line.part_count - 1));
    }
    ck_assert_int_gt(tried, 30);
}
END_TEST

START_TEST(a_source_moved_to_where_the_heater_is_reached_always_adds_one)
{
    static const enum coil_part_kind kinds[] = {
        COIL_PART_EROSION_FEEDER, COIL_PART_SALT_CELL, COIL_PART_CHLORINE_INJECTION,
        COIL_PART_STRAINER_TABLETS};
    int tried = 0;

    state = 0x6a09e667f3bcc909u + (unsigned)_i;
    for (int n = 0; n < 60; n++) {
        char up[COIL_LINE_PARTS_MAX] = {0};
        int before, edge = -1, source;

        random_line(5 + (int)dice(50), 8, (int)dice(20));
        random_settings(&line.positions[0]);
        find(&line, &report);
        before = count_before(&report);
        up[heater_of(&line)] = 1;
        spread(&line, line.positions[0].setting, 1, up);
        for (int e = 0; e < line.edge_count; e++)
            if (up[line.edges[e].to] && is_open(&line, line.positions[0].setting, e) &&
                (edge < 0 || dice(2)))
                edge = e;
        if (edge < 0)
            continue;
        tried++;
        source = insert(&line, edge, kinds[dice(4)]);
        find(&line, &report);
        ck_assert_int_eq(count_before(&report), before + 1);
        ck_assert(has_fault(&report, COIL_FAULT_CHLORINE_BEFORE_HEATER, source));
        ck_assert_int_eq(report.water_side, COIL_HOLD);
    }
    ck_assert_int_gt(tried, 30);
}
END_TEST

/* Moving a source as its fault proposes takes that fault away. */
START_TEST(the_proposed_place_is_never_before_the_heater)
{
    int tried = 0;

    state = 0xbb67ae8584caa73bu + (unsigned)_i;
    for (int n = 0; n < 60; n++) {
        int after = -1, edge = -1;

        random_line(5 + (int)dice(50), 0, (int)dice(20));
        find(&line, &report);
        for (int i = 0; i < report.fault_count; i++)
            if (report.faults[i].code == COIL_FAULT_CHLORINE_BEFORE_HEATER)
                after = report.faults[i].change_after;
        for (int e = 0; e < line.edge_count; e++)
            if (line.edges[e].from == after)
                edge = e;
        if (edge < 0)
            continue;
        tried++;
        insert(&line, edge, COIL_PART_SALT_CELL);
        find(&line, &report);
        ck_assert(!has_fault(&report, COIL_FAULT_CHLORINE_BEFORE_HEATER,
                             line.part_count - 1));
    }
    ck_assert_int_gt(tried, 10);
}
END_TEST

/* The same line with parts and edges listed in another order; to[i] is the new index.
 */
static void shuffle(int *to)
{
    int edges[COIL_LINE_EDGES_MAX];

    for (int i = 0; i < line.part_count; i++)
        to[i] = i;
    for (int i = line.part_count - 1; i > 0; i--) {
        int k = (int)dice((unsigned)i + 1), kept = to[i];

        to[i] = to[k];
        to[k] = kept;
    }
    for (int i = 0; i < line.edge_count; i++)
        edges[i] = i;
    for (int i = line.edge_count - 1; i > 0; i--) {
        int k = (int)dice((unsigned)i + 1), kept = edges[i];

        edges[i] = edges[k];
        edges[k] = kept;
    }
    other = line;
    for (int i = 0; i < line.part_count; i++) {
        other.parts[to[i]] = line.parts[i];
        for (int s = 0; s < line.position_count; s++)
            other.positions[s].setting[to[i]] = line.positions[s].setting[i];
    }
    for (int i = 0; i < line.edge_count; i++) {
        other.edges[i] = line.edges[edges[i]];
        other.edges[i].from = to[other.edges[i].from];
        other.edges[i].to = to[other.edges[i].to];
    }
}

static int moved(const int *to, int part)
{
    return part < 0 ? part : to[part];
}

START_TEST(the_fault_set_does_not_depend_on_the_order_of_parts)
{
    int to[COIL_LINE_PARTS_MAX];
    int seen = 0;

    state = 0x3c6ef372fe94f82bu + (unsigned)_i;
    for (int n = 0; n < 30; n++) {
        random_line(5 + (int)dice(60), 12, (int)dice(40));
        random_settings(&line.positions[0]);
        random_settings(&line.positions[line_position(&line, COIL_POSITION_SPA)]);
        random_settings(
            &line.positions[line_position(&line, COIL_POSITION_HEATER_OFF_LINE)]);
        line.parts[heater_of(&line)].min_flow_l_per_s = 0.8;
        shuffle(to);
        find(&line, &report);
        find(&other, &second);
        seen += report.fault_count;
        ck_assert_int_eq(report.fault_total, second.fault_total);
        ck_assert_int_eq(report.fault_count, second.fault_count);
        ck_assert_uint_eq(report.assumptions, second.assumptions);
        ck_assert_int_eq(report.water_side, second.water_side);
        ck_assert_int_eq(report.burner_side, second.burner_side);
        for (int i = 0; i < report.fault_count; i++) {
            const struct coil_line_fault *a = &report.faults[i], *b = &second.faults[i];

            ck_assert_int_eq(a->code, b->code);
            ck_assert_int_eq(moved(to, a->part), b->part);
            ck_assert_int_eq(moved(to, a->other), b->other);
            ck_assert_int_eq(moved(to, a->change_after), b->change_after);
            ck_assert_int_eq(a->change, b->change);
            ck_assert_uint_eq(a->positions, b->positions);
            ck_assert_double_eq_tol(a->value, b->value, 1e-12);
            ck_assert_int_eq(a->path_length, b->path_length);
            for (int k = 0; k < a->path_length; k++)
                ck_assert_int_eq(to[a->path[k]], b->path[k]);
        }
        ck_assert_int_eq(report.note_count, second.note_count);
        for (int i = 0; i < report.note_count; i++) {
            ck_assert_int_eq(report.notes[i].code, second.notes[i].code);
            ck_assert_int_eq(moved(to, report.notes[i].part), second.notes[i].part);
        }
    }
    ck_assert_int_gt(seen, 100);
}
END_TEST

/* ---- flow and mass ---- */

START_TEST(flow_and_chlorine_are_conserved_through_every_split_and_merge)
{
    int moving = 0;

    state = 0xa54ff53a5f1d36f1u + (unsigned)_i;
    for (int n = 0; n < 60; n++) {
        static double rate[COIL_LINE_PARTS_MAX];
        struct coil_line_flow flow;
        struct coil_line_carry carry;
        double fed = 0, taken = 0, given = 0, largest = 1e-300;

        random_line(5 + (int)dice(60), 10, (int)dice(60));
        random_settings(&line.positions[0]);
        for (int p = 0; p < line.part_count; p++) {
            rate[p] = is_chlorine(&line, p) ? 0.1 + dice(1000) * 0.37 : 0;
            fed += rate[p];
        }
        ck_assert_int_eq(coil_line_flow(&line, 0, &flow), COIL_OK);
        ck_assert_int_eq(coil_line_carry(&line, 0, &flow, rate, &carry), COIL_OK);
        ck_assert_double_eq_tol(carry.delivered + carry.held, fed, 1e-9 * fed + 1e-300);
        for (int p = 0; p < line.part_count; p++) {
            double in = 0, out = 0, load_in = 0, load_out = 0;
            double load = carry.part_in[p] + rate[p];

            for (int e = 0; e < line.edge_count; e++) {
                if (line.edges[e].to == p)
                    in += flow.edge_l_per_s[e], load_in += carry.edge[e];
                if (line.edges[e].from == p)
                    out += flow.edge_l_per_s[e], load_out += carry.edge[e];
                if (!is_open(&line, line.positions[0].setting, e)) {
                    ck_assert_double_eq(flow.edge_l_per_s[e], 0);
                    ck_assert_double_eq(carry.edge[e], 0);
                }
            }
            if (role(p) == COIL_ROLE_SUCTION)
                taken += out, in = out;
            if (role(p) == COIL_ROLE_OUTLET)
                given += in, out = in;
            ck_assert_double_eq_tol(in, out, 1e-12);
            ck_assert_double_eq_tol(in, flow.part_l_per_s[p], 1e-12);
            ck_assert_double_eq_tol(carry.part_in[p], load_in, 1e-9 * load + 1e-300);
            /* What moves is passed on whole; what stands keeps its load. */
            if (role(p) != COIL_ROLE_OUTLET && flow.part_l_per_s[p] > 0)
                ck_assert_double_eq_tol(load_out, load, 1e-9 * load + 1e-300);
            largest = fmax(largest, flow.part_l_per_s[p]);
        }
        ck_assert_double_eq_tol(taken, given, 1e-12 * largest);
        moving += taken > 0;
    }
    ck_assert_int_gt(moving, 15);
}
END_TEST

/* Twice the feed is twice the load everywhere. */
START_TEST(carrying_is_linear)
{
    static double rate[COIL_LINE_PARTS_MAX];
    struct coil_line_flow flow;
    struct coil_line_carry one, two;

    state = 0x510e527fade682d1u + (unsigned)_i;
    random_line(40, 6, 30);
    for (int p = 0; p < line.part_count; p++)
        rate[p] = is_feed(&line, p) ? 1 + dice(9) : 0;
    ck_assert_int_eq(coil_line_flow(&line, 0, &flow), COIL_OK);
    ck_assert_int_eq(coil_line_carry(&line, 0, &flow, rate, &one), COIL_OK);
    for (int p = 0; p < line.part_count; p++)
        rate[p] *= 2;
    ck_assert_int_eq(coil_line_carry(&line, 0, &flow, rate, &two), COIL_OK);
    for (int p = 0; p < line.part_count; p++)
        ck_assert_double_eq_tol(two.part_in[p], 2 * one.part_in[p],
                                1e-12 * two.part_in[p] + 1e-300);
    rate[0] = -1;
    ck_assert_int_eq(coil_line_carry(&line, 0, &flow, rate, &two), COIL_ERR_DOMAIN);
    rate[0] = NAN;
    ck_assert_int_eq(coil_line_carry(&line, 0, &flow, rate, &two), COIL_ERR_NOT_FINITE);
}
END_TEST

/* 30 valves and 200 parts: far too many to try, and still quick. */
START_TEST(the_largest_line_is_judged_at_once)
{
    state = 0x428a2f98d728ae22u;
    random_line(COIL_LINE_PARTS_MAX - 6, COIL_LINE_VALVES_MAX, 200);
    while (line.part_count < COIL_LINE_PARTS_MAX)
        line_part(&line, COIL_PART_FLOATING_DISPENSER);
    while (line.position_count < COIL_LINE_POSITIONS_MAX)
        random_settings(&line.positions[line_position(&line, COIL_POSITION_SPA)]);
    find(&line, &report); /* within the 4 s that its test case has */
    ck_assert_int_gt(report.fault_count, 0);
}
END_TEST

/* A feed can be broken in every way that numbers allow; nothing crashes, nothing is
 * judged that was not checked. */
START_TEST(broken_lines_are_refused_or_judged_but_never_crash)
{
    int refused = 0;

    state = 0x7137449123ef65cdu + (unsigned)_i;
    for (int n = 0; n < 300; n++) {
        random_line(5 + (int)dice(20), 6, (int)dice(10));
        for (int i = 0; i < 3; i++) {
            int p = (int)dice((unsigned)line.part_count);
            int e = (int)dice((unsigned)line.edge_count);

            switch (dice(7)) {
            case 0:
                line.parts[p].kind = (enum coil_part_kind)dice(40);
                break;
            case 1:
                line.edges[e].to = (int)dice(230) - 5;
                break;
            case 2:
                line.edges[e].from = (int)dice((unsigned)line.part_count);
                break;
            case 3:
                line.edges[e].from_port = (enum coil_port)dice(5);
                break;
            case 4:
                line.positions[0].setting[p] = (unsigned char)dice(6);
                break;
            case 5:
                line.parts[p].volume_l = dice(2) ? -1 : NAN;
                break;
            default:
                line.parts[p].id = (int)dice(20);
            }
        }
        refused += coil_line_find(&line, 28, &report, &problem) != COIL_OK;
        ck_assert_ptr_nonnull(problem.field);
    }
    ck_assert_int_gt(refused, 100);
    ck_assert_int_lt(refused, 300);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("line_graphs");
    TCase *tcase = tcase_create("line_graphs");
    TCase *quick = tcase_create("line_graphs_quick");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 60);
    tcase_add_loop_test(tcase, before_heater_faults_are_those_of_plain_reachability, 0,
                        5);
    tcase_add_loop_test(tcase, every_before_heater_path_can_be_walked, 0, 5);
    tcase_add_loop_test(
        tcase,
        a_source_after_the_heater_behind_a_check_valve_adds_no_before_heater_fault, 0,
        5);
    tcase_add_loop_test(
        tcase, a_source_moved_to_where_the_heater_is_reached_always_adds_one, 0, 5);
    tcase_add_loop_test(tcase, the_proposed_place_is_never_before_the_heater, 0, 5);
    tcase_add_loop_test(tcase, the_fault_set_does_not_depend_on_the_order_of_parts, 0,
                        5);
    tcase_add_loop_test(
        tcase, flow_and_chlorine_are_conserved_through_every_split_and_merge, 0, 5);
    tcase_add_loop_test(tcase, carrying_is_linear, 0, 10);
    tcase_set_timeout(quick, 4);
    tcase_add_test(quick, the_largest_line_is_judged_at_once);
    tcase_add_loop_test(tcase, broken_lines_are_refused_or_judged_but_never_crash, 0,
                        5);
    suite_add_tcase(suite, tcase);
    suite_add_tcase(suite, quick);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
