/*
 * The line: what is refused, with the field, part, edge or position that is at fault.
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

static void refused(enum coil_status status, enum coil_line_problem_code code,
                    const char *field)
{
    memset(&report, 7, sizeof report);
    ck_assert_int_eq(coil_line_find(&line, 28, &report, &problem), status);
    ck_assert_msg(problem.code == code, "got %s", coil_line_problem_key(problem.code));
    ck_assert_str_eq(problem.field, field);
    ck_assert_int_eq(((unsigned char *)&report)[0], 7); /* nothing filled in */
}

static void good(void)
{
    line_begin(&line);
    line_chain(&line, GOOD);
}

START_TEST(numbers_that_cannot_be_are_refused_with_part_and_field)
{
    good();
    line.parts[1].length_m = 0;
    refused(COIL_ERR_DOMAIN, COIL_LINE_PIPE_LENGTH, "length_m");
    ck_assert_int_eq(problem.part, 1);
    line.parts[1].length_m = NAN;
    refused(COIL_ERR_NOT_FINITE, COIL_LINE_PIPE_LENGTH, "length_m");
    good();
    line.parts[7].size = COIL_PIPE_SIZE_NONE;
    refused(COIL_ERR_UNKNOWN, COIL_LINE_PIPE_SIZE, "size");
    ck_assert_int_eq(problem.part, 7);
    good();
    line.parts[3].flow_l_per_s = 0;
    refused(COIL_ERR_DOMAIN, COIL_LINE_PUMP_FLOW, "flow_l_per_s");
    good();
    line.parts[4].volume_l = -1;
    refused(COIL_ERR_DOMAIN, COIL_LINE_VOLUME, "volume_l");
    good();
    line.parts[6].min_flow_l_per_s = 2;
    line.parts[6].max_flow_l_per_s = 1;
    refused(COIL_ERR_DOMAIN, COIL_LINE_MAX_FLOW, "max_flow_l_per_s");
    good();
    line.edges[2].share = -1;
    refused(COIL_ERR_DOMAIN, COIL_LINE_EDGE_SHARE, "share");
    ck_assert_int_eq(problem.edge, 2);
    good();
    line.positions[0].flow_fraction = 0;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FLOW_FRACTION, "flow_fraction");
    ck_assert_int_eq(coil_line_find(&line, 28, &report, &problem), COIL_ERR_DOMAIN);
    good();
    ck_assert_int_eq(coil_line_find(&line, NAN, &report, &problem),
                     COIL_ERR_NOT_FINITE);
    ck_assert_str_eq(problem.field, "water_temp_c");
}
END_TEST

START_TEST(feeds_that_cannot_be_are_refused)
{
    struct coil_feed *feed = &line.parts[9].feed;

    good();
    feed->basis = COIL_FEED_RATE;
    feed->rate_g_per_h = -1;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_RATE, "rate_g_per_h");
    ck_assert_int_eq(problem.part, 9);
    feed->rate_g_per_h = NAN;
    refused(COIL_ERR_NOT_FINITE, COIL_LINE_FEED_RATE, "rate_g_per_h");
    feed->rate_g_per_h = 0;
    find();
    feed->basis = COIL_FEED_CURRENT;
    feed->current_a = -5;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_CURRENT, "current_a");
    feed->current_a = 5;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_CELLS, "cell_count");
    feed->cell_count = 5;
    feed->efficiency_fraction = 1.1;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_EFFICIENCY, "efficiency_fraction");
    feed->basis = COIL_FEED_WEIGHED; /* a cell has no tablets */
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_BASIS, "basis");
    line.parts[9].kind = COIL_PART_EROSION_FEEDER;
    feed->before_g = 100;
    feed->after_g = 200;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_AFTER, "after_g");
    feed->after_g = 50;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_INTERVAL, "interval_s");
    feed->interval_s = 3600;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_STRENGTH, "strength_percent");
    feed->strength_percent = 90;
    feed->product = COIL_HYDROCHLORIC_ACID;
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_PRODUCT, "product");
    feed->product = COIL_TRICHLOR;
    find();
    good();
    line.parts[4].feed.basis = COIL_FEED_RATE; /* a filter feeds nothing */
    refused(COIL_ERR_DOMAIN, COIL_LINE_FEED_BASIS, "basis");
}
END_TEST

START_TEST(graphs_that_are_no_line_are_refused)
{
    good();
    line.parts[6].kind = COIL_PART_TEE;
    refused(COIL_ERR_DOMAIN, COIL_LINE_NO_HEATER, "parts");
    good();
    line.parts[4].kind = COIL_PART_HEATER;
    refused(COIL_ERR_DOMAIN, COIL_LINE_TWO_HEATERS, "kind");
    ck_assert_int_eq(problem.part, 6);
    good();
    line.parts[3].kind = COIL_PART_TEE;
    refused(COIL_ERR_DOMAIN, COIL_LINE_NO_PUMP, "parts");
    good();
    line.parts[0].kind = COIL_PART_TEE;
    refused(COIL_ERR_DOMAIN, COIL_LINE_NO_SUCTION, "parts");
    good();
    line.parts[11].kind = COIL_PART_TEE;
    refused(COIL_ERR_DOMAIN, COIL_LINE_NO_RETURN, "parts");
    good();
    line.edges[3].to = 3;
    refused(COIL_ERR_DOMAIN, COIL_LINE_EDGE_SELF, "to");
    ck_assert_int_eq(problem.edge, 3);
    good();
    line.edges[3].from = 12;
    refused(COIL_ERR_DOMAIN, COIL_LINE_EDGE_FROM, "from");
    line.edges[3].from = 3;
    line.edges[3].to = -1;
    refused(COIL_ERR_DOMAIN, COIL_LINE_EDGE_TO, "to");
    good();
    line_join(&line, 2, 3);
    refused(COIL_ERR_DOMAIN, COIL_LINE_EDGE_TWICE, "to");
    good();
    line.parts[5].id = line.parts[2].id;
    refused(COIL_ERR_DOMAIN, COIL_LINE_ID_TWICE, "id");
    line.parts[5].id = 0;
    refused(COIL_ERR_DOMAIN, COIL_LINE_ID_INVALID, "id");
    good();
    line.parts[2].kind = (enum coil_part_kind)77;
    refused(COIL_ERR_UNKNOWN, COIL_LINE_KIND_UNKNOWN, "kind");
    good();
    line_join(&line, 10, 0);
    refused(COIL_ERR_DOMAIN, COIL_LINE_INTO_SUCTION, "to");
    good();
    line_join(&line, 11, 2);
    refused(COIL_ERR_DOMAIN, COIL_LINE_OUT_OF_RETURN, "from");
}
END_TEST

START_TEST(a_loop_without_a_pump_is_refused_with_its_path)
{
    good();
    line_join(&line, 7, 4); /* 4 5 6 7 and back */
    refused(COIL_ERR_DOMAIN, COIL_LINE_LOOP, "edges");
    ck_assert_int_eq(problem.path_length, 4);
    for (int i = 0; i < 4; i++) {
        int joined = 0;

        for (int e = 0; e < line.edge_count; e++)
            joined |= line.edges[e].from == problem.path[i] &&
                      line.edges[e].to == problem.path[(i + 1) % 4];
        ck_assert(joined);
    }
}
END_TEST

START_TEST(valves_must_be_joined_as_valves_are)
{
    good();
    line_join(&line, 8, 10); /* a second way out of a check valve */
    refused(COIL_ERR_DOMAIN, COIL_LINE_VALVE_EDGES, "edges");
    ck_assert_int_eq(problem.part, 8);
    good();
    line.parts[7].kind = COIL_PART_TWO_WAY_VALVE;
    find();
    line_join(&line, 2, 7); /* a second way in */
    refused(COIL_ERR_DOMAIN, COIL_LINE_VALVE_EDGES, "edges");
    ck_assert_int_eq(problem.part, 7);
}
END_TEST

START_TEST(three_way_valves_need_their_ports)
{
    int branch;

    good();
    line.parts[7].kind = COIL_PART_THREE_WAY_VALVE;
    refused(COIL_ERR_DOMAIN, COIL_LINE_THREE_WAY_PORTS, "edges");
    ck_assert_int_eq(problem.part, 7);
    line.edges[7].from_port = COIL_PORT_A;
    find();
    branch = line_part(&line, COIL_PART_PIPE);
    line_join_ports(&line, 7, COIL_PORT_B, branch, COIL_PORT_COMMON);
    line_join(&line, branch, 11);
    find();
    line.edges[6].to_port = COIL_PORT_A; /* A would be inlet and outlet */
    refused(COIL_ERR_DOMAIN, COIL_LINE_THREE_WAY_PORTS, "edges");
    good();
    line.edges[4].to_port = COIL_PORT_A; /* no three-way valve there */
    refused(COIL_ERR_DOMAIN, COIL_LINE_EDGE_TO_PORT, "to_port");
}
END_TEST

START_TEST(positions_are_checked)
{
    good();
    line.positions[0].setting[4] = COIL_SET_CLOSED; /* a filter cannot be shut */
    refused(COIL_ERR_DOMAIN, COIL_LINE_SETTING, "setting");
    ck_assert_int_eq(problem.part, 4);
    ck_assert_int_eq(problem.position, 0);
    good();
    line.positions[0].kind = (enum coil_position_kind)0;
    refused(COIL_ERR_UNKNOWN, COIL_LINE_POSITION_KIND, "kind");
    line.positions[0].kind = COIL_POSITION_HEATER_OFF_LINE;
    refused(COIL_ERR_DOMAIN, COIL_LINE_BURNER_OFF_LINE, "burner_may_fire");
    line.position_count = 0;
    refused(COIL_ERR_DOMAIN, COIL_LINE_NO_POSITION, "positions");
    line.position_count = COIL_LINE_POSITIONS_MAX + 1;
    refused(COIL_ERR_DOMAIN, COIL_LINE_TOO_MANY_POSITIONS, "positions");
}
END_TEST

START_TEST(sizes_end_at_200_parts_and_30_valves)
{
    good();
    while (line.part_count < COIL_LINE_PARTS_MAX)
        line_part(&line, COIL_PART_FLOATING_DISPENSER);
    find();
    ck_assert(report.all_is_well);
    line.part_count++;
    refused(COIL_ERR_DOMAIN, COIL_LINE_TOO_MANY_PARTS, "parts");
    line.part_count = 0;
    refused(COIL_ERR_DOMAIN, COIL_LINE_NO_PARTS, "parts");
    good();
    line.edge_count = COIL_LINE_EDGES_MAX + 1;
    refused(COIL_ERR_DOMAIN, COIL_LINE_TOO_MANY_EDGES, "edges");
    good();
    for (int i = 0; i < COIL_LINE_VALVES_MAX; i++)
        line_part(&line, COIL_PART_TWO_WAY_VALVE);
    find();
    line_part(&line, COIL_PART_THREE_WAY_VALVE);
    refused(COIL_ERR_DOMAIN, COIL_LINE_TOO_MANY_VALVES, "parts");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("line_check");
    TCase *tcase = tcase_create("line_check");
    SRunner *runner;
    int failed;

    tcase_add_test(tcase, numbers_that_cannot_be_are_refused_with_part_and_field);
    tcase_add_test(tcase, feeds_that_cannot_be_are_refused);
    tcase_add_test(tcase, graphs_that_are_no_line_are_refused);
    tcase_add_test(tcase, a_loop_without_a_pump_is_refused_with_its_path);
    tcase_add_test(tcase, valves_must_be_joined_as_valves_are);
    tcase_add_test(tcase, three_way_valves_need_their_ports);
    tcase_add_test(tcase, positions_are_checked);
    tcase_add_test(tcase, sizes_end_at_200_parts_and_30_valves);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
