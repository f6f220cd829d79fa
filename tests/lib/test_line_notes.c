/*
 * The notes of random lines against trying every valve position, up to 14 valves.
 */
#include <check.h>
#include <stdlib.h>
#include <string.h>

#include "tests/lib/line_random.h"

struct possible {
    char source[COIL_LINE_PARTS_MAX]; /* a source reaches the heater */
    char drift[COIL_LINE_PARTS_MAX];
    char pump_shut[COIL_LINE_PARTS_MAX];
    int shut_in, around, around_both;
};

static void look_at_position(const unsigned char *setting, struct possible *out)
{
    char up[COIL_LINE_PARTS_MAX] = {0}, down[COIL_LINE_PARTS_MAX] = {0};
    char from[COIL_LINE_PARTS_MAX] = {0}, to[COIL_LINE_PARTS_MAX] = {0};
    int heater = heater_of(&line), in, on, pumped = 0;

    up[heater] = down[heater] = 1;
    spread(&line, setting, 1, up);
    spread(&line, setting, 0, down);
    for (int p = 0; p < line.part_count; p++) {
        from[p] = role(p) == COIL_ROLE_SUCTION;
        to[p] = role(p) == COIL_ROLE_OUTLET;
    }
    spread(&line, setting, 0, from);
    spread(&line, setting, 1, to);
    in = from[heater];
    on = to[heater];
    for (int p = 0; p < line.part_count; p++) {
        char drift[COIL_LINE_PARTS_MAX];

        if (line.parts[p].kind == COIL_PART_PUMP) {
            pumped |= from[p] && to[p];
            out->pump_shut[p] |= !to[p];
        }
        if (!is_feed(&line, p))
            continue;
        out->source[p] |= up[p];
        if (!out->drift[p]) {
            spread_drift(&line, setting, p, drift);
            out->drift[p] |= drift[heater];
        }
    }
    out->shut_in |= !in && !on;
    out->around |= pumped && !(in && on);
    out->around_both |= pumped && !in && !on;
}

/* All 2^14 positions at most: a two-way valve has two, a three-way valve four. */
static void look_at_all(struct possible *out)
{
    unsigned char setting[COIL_LINE_PARTS_MAX] = {0};

    memset(out, 0, sizeof *out);
    for (;;) {
        int p = 0;

        look_at_position(setting, out);
        for (; p < line.part_count; p++) {
            int last = line.parts[p].kind == COIL_PART_TWO_WAY_VALVE     ? 1
                       : line.parts[p].kind == COIL_PART_THREE_WAY_VALVE ? 3
                                                                         : 0;

            if (setting[p] < last) {
                setting[p]++;
                break;
            }
            setting[p] = 0;
        }
        if (p == line.part_count)
            return;
    }
}

static int valve_bits(void)
{
    int bits = 0;

    for (int p = 0; p < line.part_count; p++)
        bits += line.parts[p].kind == COIL_PART_TWO_WAY_VALVE     ? 1
                : line.parts[p].kind == COIL_PART_THREE_WAY_VALVE ? 2
                                                                  : 0;
    return bits;
}

static void compare_notes(int *seen)
{
    struct possible possible;
    int heater = heater_of(&line);

    /* One declared position, all shut: nearly everything is left to the notes. */
    for (int p = 0; p < line.part_count; p++)
        line.positions[0].setting[p] =
            role(p) == COIL_ROLE_VALVE ? COIL_SET_CLOSED : COIL_SET_OPEN;
    find(&line, &report);
    ck_assert_int_eq(report.note_total, report.note_count);
    look_at_all(&possible);
    for (int p = 0; p < line.part_count; p++) {
        int told = has_note(&report, COIL_NOTE_SOURCE_COULD_REACH_HEATER, p) ||
                   has_fault(&report, COIL_FAULT_CHLORINE_BEFORE_HEATER, p) ||
                   has_fault(&report, COIL_FAULT_ACID_BEFORE_HEATER, p);
        int drifts = has_note(&report, COIL_NOTE_FEED_COULD_DRIFT_BACK, p) ||
                     has_fault(&report, COIL_FAULT_NO_CHECK_VALVE, p);

        ck_assert_int_eq(told, possible.source[p]);
        if (!possible.source[p])
            ck_assert_int_eq(drifts, possible.drift[p]);
        ck_assert_int_eq(has_note(&report, COIL_NOTE_PUMP_COULD_BE_SHUT, p),
                         possible.pump_shut[p]);
        seen[0] += has_note(&report, COIL_NOTE_SOURCE_COULD_REACH_HEATER, p);
        seen[1] += has_note(&report, COIL_NOTE_FEED_COULD_DRIFT_BACK, p);
    }
    ck_assert_int_eq(has_note(&report, COIL_NOTE_HEATER_COULD_BE_SHUT_IN, heater),
                     possible.shut_in);
    ck_assert_int_eq(has_note(&report, COIL_NOTE_NO_WAY_AROUND_HEATER, heater),
                     !possible.around);
    ck_assert_int_eq(has_note(&report, COIL_NOTE_ISOLATES_ONE_SIDE_ONLY, heater),
                     possible.around && !possible.around_both);
    ck_assert_int_eq(has_note(&report, COIL_NOTE_OFF_LINE_NOT_DECLARED, heater),
                     possible.around_both);
    seen[2] += possible.shut_in;
    seen[3] += !possible.around;
    seen[4] += possible.around && !possible.around_both;
    seen[5] += possible.around_both;
}

START_TEST(notes_agree_with_trying_every_position)
{
    int seen[6] = {0};

    state = 0x1f83d9abfb41bd6bu + (unsigned)_i;
    for (int n = 0; n < 120; n++) {
        do
            random_line(5 + (int)dice(14), 6, (int)dice(14));
        while (valve_bits() > 8);
        compare_notes(seen);
    }
    for (int i = 0; i < 6; i++)
        ck_assert_msg(seen[i] > 0, "case %d never came up", i);
}
END_TEST

START_TEST(notes_agree_with_trying_every_position_of_fourteen_valves)
{
    int seen[6] = {0}, done = 0;

    state = 0x5be0cd19137e2179u + (unsigned)_i;
    for (int n = 0; done < 2; n++) {
        ck_assert_int_lt(n, 100000);
        random_line(26, 14, 10);
        if (valve_bits() != 14)
            continue;
        done++;
        compare_notes(seen);
    }
    /* Two-way valves only: as many valves as there are bits. */
    for (;;) {
        random_line(30, 0, 10);
        for (int p = 0, left = 14; p < line.part_count && left > 0; p++)
            if ((role(p) == COIL_ROLE_OTHER || role(p) == COIL_ROLE_PIPE) &&
                p != heater_of(&line) && edges_at(p, 0) <= 1 && edges_at(p, 1) <= 1) {
                line.parts[p].kind = COIL_PART_TWO_WAY_VALVE;
                left--;
            }
        if (valve_bits() == 14)
            break;
    }
    compare_notes(seen);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("line_notes");
    TCase *tcase = tcase_create("line_notes");
    SRunner *runner;
    int failed;

    tcase_set_timeout(tcase, 60);
    tcase_add_loop_test(tcase, notes_agree_with_trying_every_position, 0, 5);
    tcase_add_loop_test(
        tcase, notes_agree_with_trying_every_position_of_fourteen_valves, 0, 3);
    suite_add_tcase(suite, tcase);
    runner = srunner_create(suite);
    srunner_run_all(runner, CK_ENV);
    failed = srunner_ntests_failed(runner);
    srunner_free(runner);
    return failed == 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
