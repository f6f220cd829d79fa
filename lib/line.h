/*
 * The line: a pool's equipment as a directed graph in the order of flow, and what is
 * wrong with it for the heater.
 *
 * Parts are joined by edges from suction to return. The pool is no part: it breaks
 * every loop, for what leaves a return is in the pool first. Faults are looked for in
 * the valve positions that the owner declares; what other positions would make possible
 * is told as notes. Only codes and numbers come out; sentences are made elsewhere.
 *
 * Everything lies in the caller's memory. A line and a report are large (about 40 kB
 * and 130 kB): better not on a small stack.
 *
 * What is a fault, and how bad: common practice, no source, except [mil-hdbk-1027-4a]
 * (chemicals are fed after the heater), [cdc-mmwr-66-19] (feed with the pump stopped).
 */
#ifndef COIL_LINE_H
#define COIL_LINE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "permit.h"
#include "pipe.h"
#include "product.h"
#include "status.h"

#define COIL_LINE_PARTS_MAX 200
#define COIL_LINE_EDGES_MAX 400
#define COIL_LINE_VALVES_MAX 30
#define COIL_LINE_POSITIONS_MAX 8
#define COIL_LINE_FAULTS_MAX 256
#define COIL_LINE_NOTES_MAX 64

/* Less pipe than this between acid and chlorine is close together (common practice, no
 * source; the number is our choice). */
#define COIL_LINE_NEAR_M 1.0

/* What a part is to the flow. */
enum coil_role {
    COIL_ROLE_SUCTION, /* water comes in from the pool */
    COIL_ROLE_OUTLET,  /* water goes back to the pool */
    COIL_ROLE_POOL,    /* stands in the pool, needs no edge */
    COIL_ROLE_PIPE,    /* has a size and a length */
    COIL_ROLE_VALVE,   /* has a setting */
    COIL_ROLE_PUMP,
    COIL_ROLE_OTHER
};

/* What a part feeds into the water. */
enum coil_source {
    COIL_SOURCE_NONE,
    COIL_SOURCE_CHLORINE,
    COIL_SOURCE_ACID,
    COIL_SOURCE_OZONE
};

/*
 * X(enum name, number, key, role, source)
 * The numbers are written into databases: never reuse or renumber one.
 */
#define COIL_PART_LIST(X)                                                              \
    X(COIL_PART_SKIMMER, 1, "skimmer", COIL_ROLE_SUCTION, COIL_SOURCE_NONE)            \
    X(COIL_PART_MAIN_DRAIN, 2, "main_drain", COIL_ROLE_SUCTION, COIL_SOURCE_NONE)      \
    X(COIL_PART_SUCTION_CLEANER, 3, "suction_cleaner", COIL_ROLE_SUCTION,              \
      COIL_SOURCE_NONE)                                                                \
    X(COIL_PART_PUMP, 4, "pump", COIL_ROLE_PUMP, COIL_SOURCE_NONE)                     \
    X(COIL_PART_STRAINER, 5, "strainer", COIL_ROLE_OTHER, COIL_SOURCE_NONE)            \
    X(COIL_PART_FILTER, 6, "filter", COIL_ROLE_OTHER, COIL_SOURCE_NONE)                \
    X(COIL_PART_HEATER, 7, "heater", COIL_ROLE_OTHER, COIL_SOURCE_NONE)                \
    X(COIL_PART_PIPE, 8, "pipe", COIL_ROLE_PIPE, COIL_SOURCE_NONE)                     \
    X(COIL_PART_BYPASS, 9, "bypass", COIL_ROLE_PIPE, COIL_SOURCE_NONE)                 \
    X(COIL_PART_TEE, 10, "tee", COIL_ROLE_OTHER, COIL_SOURCE_NONE)                     \
    X(COIL_PART_TWO_WAY_VALVE, 11, "two_way_valve", COIL_ROLE_VALVE, COIL_SOURCE_NONE) \
    X(COIL_PART_THREE_WAY_VALVE, 12, "three_way_valve", COIL_ROLE_VALVE,               \
      COIL_SOURCE_NONE)                                                                \
    X(COIL_PART_CHECK_VALVE, 13, "check_valve", COIL_ROLE_OTHER, COIL_SOURCE_NONE)     \
    X(COIL_PART_FLOW_SWITCH, 14, "flow_switch", COIL_ROLE_OTHER, COIL_SOURCE_NONE)     \
    X(COIL_PART_SOLAR_COLLECTOR, 15, "solar_collector", COIL_ROLE_OTHER,               \
      COIL_SOURCE_NONE)                                                                \
    X(COIL_PART_EROSION_FEEDER, 16, "erosion_feeder", COIL_ROLE_OTHER,                 \
      COIL_SOURCE_CHLORINE)                                                            \
    X(COIL_PART_SALT_CELL, 17, "salt_cell", COIL_ROLE_OTHER, COIL_SOURCE_CHLORINE)     \
    X(COIL_PART_SKIMMER_TABLETS, 18, "skimmer_tablets", COIL_ROLE_OTHER,               \
      COIL_SOURCE_CHLORINE)                                                            \
    X(COIL_PART_STRAINER_TABLETS, 19, "strainer_tablets", COIL_ROLE_OTHER,             \
      COIL_SOURCE_CHLORINE)                                                            \
    X(COIL_PART_FLOATING_DISPENSER, 20, "floating_dispenser", COIL_ROLE_POOL,          \
      COIL_SOURCE_CHLORINE)                                                            \
    X(COIL_PART_CHLORINE_INJECTION, 21, "chlorine_injection", COIL_ROLE_OTHER,         \
      COIL_SOURCE_CHLORINE)                                                            \
    X(COIL_PART_ACID_INJECTION, 22, "acid_injection", COIL_ROLE_OTHER,                 \
      COIL_SOURCE_ACID)                                                                \
    X(COIL_PART_OZONE_UNIT, 23, "ozone_unit", COIL_ROLE_OTHER, COIL_SOURCE_OZONE)      \
    X(COIL_PART_UV_UNIT, 24, "uv_unit", COIL_ROLE_OTHER, COIL_SOURCE_NONE)             \
    X(COIL_PART_RETURN, 25, "return", COIL_ROLE_OUTLET, COIL_SOURCE_NONE)              \
    X(COIL_PART_SPA_SPILLWAY, 26, "spa_spillway", COIL_ROLE_OUTLET, COIL_SOURCE_NONE)

enum coil_part_kind {
#define X(name, number, key, role, source) name = number,
    COIL_PART_LIST(X)
#undef X
};

const char *coil_part_kind_key(enum coil_part_kind kind); /* NULL when foreign */
enum coil_status coil_part_kind_from_key(const char *key,
                                         enum coil_part_kind *out_kind);
/* The n-th kind in list order, 0 past the end. */
enum coil_part_kind coil_part_kind_at(int index);
/* COIL_ROLE_OTHER and COIL_SOURCE_NONE for a foreign number. */
enum coil_role coil_part_role(enum coil_part_kind kind);
enum coil_source coil_part_source(enum coil_part_kind kind);

/* How the amount that a part feeds is known. Numbers are written into databases. */
enum coil_feed_basis {
    COIL_FEED_UNKNOWN = 0,
    COIL_FEED_RATE = 1,    /* g/h: available chlorine as Cl2, or pure acid */
    COIL_FEED_CURRENT = 2, /* salt cell: by Faraday */
    COIL_FEED_WEIGHED = 3  /* tablets, weighed before and after */
};

/* What a feeder feeds while it feeds. Fields of another basis are not looked at. */
struct coil_feed {
    enum coil_product product; /* 0: not said. Not looked at for a salt cell */
    enum coil_feed_basis basis;
    double rate_g_per_h;        /* COIL_FEED_RATE, >= 0 */
    double current_a;           /* COIL_FEED_CURRENT, >= 0 */
    double cell_count;          /* cells in series within the cell, >= 1 */
    double efficiency_fraction; /* of the current, 0 to 1 */
    double before_g;            /* COIL_FEED_WEIGHED, >= after_g */
    double after_g;             /* >= 0 */
    double interval_s;          /* time with flow between the two, > 0 */
    double strength_percent;    /* available chlorine by weight, (0, 100] */
};

/* One part. Fields that its kind does not have are 0. */
struct coil_part {
    int32_t id; /* > 0, each its own; faults do not depend on the order of parts */
    enum coil_part_kind kind;
    enum coil_pipe_material material; /* pipe, bypass */
    enum coil_pipe_size size;         /* pipe, bypass: required */
    double length_m;                  /* pipe, bypass: > 0 */
    double volume_l;                  /* of all but pipes; 0: not known */
    double flow_l_per_s;              /* pump: > 0 */
    double min_flow_l_per_s;          /* heater, of its plate; 0: not known */
    double max_flow_l_per_s;          /* heater; 0: not known */
    /* Feeder: stops without flow. Heater: has its own flow proof. */
    bool is_interlocked;
    struct coil_feed feed;
};

/* At which port of a three-way valve an edge ends; COIL_PORT_COMMON at other parts. */
enum coil_port { COIL_PORT_COMMON, COIL_PORT_A, COIL_PORT_B };

struct coil_edge {
    int from; /* index of a part */
    int to;
    enum coil_port from_port;
    enum coil_port to_port;
    double share; /* of the flow where several leave (or meet); 0: not said */
};

/*
 * Setting of one part in one position. A three-way valve has a common port and two
 * branches; OPEN joins all three, A or B shuts the other branch, CLOSED the common
 * port.
 */
enum coil_setting {
    COIL_SET_OPEN = 0,   /* pump: on */
    COIL_SET_CLOSED = 1, /* pump: off */
    COIL_SET_A = 2,
    COIL_SET_B = 3
};

/* Numbers are written into databases. */
enum coil_position_kind {
    COIL_POSITION_NORMAL = 1,
    COIL_POSITION_HEATER_OFF_LINE = 2,
    COIL_POSITION_SPA = 3,
    COIL_POSITION_CLEANING = 4
};

const char *coil_position_kind_key(enum coil_position_kind kind);
enum coil_status coil_position_kind_from_key(const char *key,
                                             enum coil_position_kind *out_kind);

/* One set of valve positions that the owner uses. */
struct coil_line_position {
    enum coil_position_kind kind;
    bool burner_may_fire; /* false for COIL_POSITION_HEATER_OFF_LINE */
    double flow_fraction; /* of the pumps' flow; (0, 10] */
    unsigned char setting[COIL_LINE_PARTS_MAX]; /* enum coil_setting by part index */
};

struct coil_line {
    int part_count;
    struct coil_part parts[COIL_LINE_PARTS_MAX];
    int edge_count;
    struct coil_edge edges[COIL_LINE_EDGES_MAX];
    int position_count;
    struct coil_line_position positions[COIL_LINE_POSITIONS_MAX];
};

/* ---- is it a line at all ---- */

/* X(enum name, key, field, what it is about: l line, p part, e edge, s position) */
#define COIL_LINE_PROBLEM_LIST(X)                                                      \
    X(COIL_LINE_FINE, "fine", "", 'l')                                                 \
    X(COIL_LINE_NO_PARTS, "no_parts", "parts", 'l')                                    \
    X(COIL_LINE_TOO_MANY_PARTS, "too_many_parts", "parts", 'l')                        \
    X(COIL_LINE_TOO_MANY_EDGES, "too_many_edges", "edges", 'l')                        \
    X(COIL_LINE_NO_POSITION, "no_position", "positions", 'l')                          \
    X(COIL_LINE_TOO_MANY_POSITIONS, "too_many_positions", "positions", 'l')            \
    X(COIL_LINE_KIND_UNKNOWN, "kind_unknown", "kind", 'p')                             \
    X(COIL_LINE_ID_INVALID, "id_invalid", "id", 'p')                                   \
    X(COIL_LINE_ID_TWICE, "id_twice", "id", 'p')                                       \
    X(COIL_LINE_PIPE_SIZE, "pipe_size_unknown", "size", 'p')                           \
    X(COIL_LINE_PIPE_LENGTH, "pipe_length_not_positive", "length_m", 'p')              \
    X(COIL_LINE_VOLUME, "volume_negative", "volume_l", 'p')                            \
    X(COIL_LINE_PUMP_FLOW, "pump_flow_not_positive", "flow_l_per_s", 'p')              \
    X(COIL_LINE_MIN_FLOW, "min_flow_impossible", "min_flow_l_per_s", 'p')              \
    X(COIL_LINE_MAX_FLOW, "max_flow_impossible", "max_flow_l_per_s", 'p')              \
    X(COIL_LINE_FEED_PRODUCT, "feed_product_wrong", "product", 'p')                    \
    X(COIL_LINE_FEED_BASIS, "feed_basis_wrong", "basis", 'p')                          \
    X(COIL_LINE_FEED_RATE, "feed_rate_negative", "rate_g_per_h", 'p')                  \
    X(COIL_LINE_FEED_CURRENT, "feed_current_negative", "current_a", 'p')               \
    X(COIL_LINE_FEED_CELLS, "feed_cells_below_one", "cell_count", 'p')                 \
    X(COIL_LINE_FEED_EFFICIENCY, "feed_efficiency_impossible", "efficiency_fraction",  \
      'p')                                                                             \
    X(COIL_LINE_FEED_BEFORE, "feed_weight_impossible", "before_g", 'p')                \
    X(COIL_LINE_FEED_AFTER, "feed_weight_rises", "after_g", 'p')                       \
    X(COIL_LINE_FEED_INTERVAL, "feed_interval_not_positive", "interval_s", 'p')        \
    X(COIL_LINE_FEED_STRENGTH, "feed_strength_impossible", "strength_percent", 'p')    \
    X(COIL_LINE_TOO_MANY_VALVES, "too_many_valves", "parts", 'p')                      \
    X(COIL_LINE_NO_HEATER, "no_heater", "parts", 'l')                                  \
    X(COIL_LINE_TWO_HEATERS, "two_heaters", "kind", 'p')                               \
    X(COIL_LINE_NO_PUMP, "no_pump", "parts", 'l')                                      \
    X(COIL_LINE_NO_SUCTION, "no_suction", "parts", 'l')                                \
    X(COIL_LINE_NO_RETURN, "no_return", "parts", 'l')                                  \
    X(COIL_LINE_EDGE_FROM, "edge_part_unknown", "from", 'e')                           \
    X(COIL_LINE_EDGE_TO, "edge_part_unknown", "to", 'e')                               \
    X(COIL_LINE_EDGE_SELF, "edge_to_itself", "to", 'e')                                \
    X(COIL_LINE_EDGE_TWICE, "edge_twice", "to", 'e')                                   \
    X(COIL_LINE_EDGE_FROM_PORT, "port_wrong", "from_port", 'e')                        \
    X(COIL_LINE_EDGE_TO_PORT, "port_wrong", "to_port", 'e')                            \
    X(COIL_LINE_EDGE_SHARE, "share_negative", "share", 'e')                            \
    X(COIL_LINE_INTO_SUCTION, "flow_into_suction", "to", 'e')                          \
    X(COIL_LINE_OUT_OF_RETURN, "flow_out_of_return", "from", 'e')                      \
    X(COIL_LINE_VALVE_EDGES, "valve_edges_wrong", "edges", 'p')                        \
    X(COIL_LINE_THREE_WAY_PORTS, "three_way_ports_wrong", "edges", 'p')                \
    X(COIL_LINE_LOOP, "loop_without_pump", "edges", 'p')                               \
    X(COIL_LINE_POSITION_KIND, "position_kind_unknown", "kind", 's')                   \
    X(COIL_LINE_FLOW_FRACTION, "flow_fraction_impossible", "flow_fraction", 's')       \
    X(COIL_LINE_BURNER_OFF_LINE, "burner_fires_off_line", "burner_may_fire", 's')      \
    X(COIL_LINE_SETTING, "setting_wrong", "setting", 's')

enum coil_line_problem_code {
#define X(name, key, field, about) name,
    COIL_LINE_PROBLEM_LIST(X)
#undef X
    COIL_LINE_PROBLEM_COUNT
};

/* Why a line is refused. */
struct coil_line_problem {
    enum coil_line_problem_code code;
    const char *field; /* JSON member of the part, edge, position or line */
    int part;          /* index, -1: does not apply */
    int edge;
    int position;
    int path_length; /* of a loop: its parts in order of flow */
    uint8_t path[COIL_LINE_PARTS_MAX];
};

const char *coil_line_problem_key(enum coil_line_problem_code code); /* NULL: foreign */

/*
 * Is this a line that can be judged?
 *
 * out_problem  the first problem; always filled, COIL_LINE_FINE when there is none
 *
 * Returns COIL_OK; COIL_ERR_NOT_FINITE when the number at out_problem->field is missing
 * or not finite; COIL_ERR_UNKNOWN for a foreign kind or size; else COIL_ERR_DOMAIN.
 *
 * Exactly one heater; at least one pump, suction, return and position. Suctions take in
 * nothing (but tablets in their basket), returns give out nothing. Two-way and check
 * valves have at most one edge on each side; a three-way valve has at most one edge on
 * each port, both branches on one side and the common port on the other. A loop must
 * hold a pump.
 */
enum coil_status coil_line_check(const struct coil_line *line,
                                 struct coil_line_problem *out_problem);

/* ---- what is wrong with it ---- */

/* Worse is smaller. STOP: harms heater or people in ordinary use; the permit holds.
 * RISK: harms when something else happens (a stop, a restart, a shut valve); a caution.
 * CARE: good practice; a caution. */
enum coil_line_severity { COIL_LINE_STOP, COIL_LINE_RISK, COIL_LINE_CARE };

/* The smallest change that mends a fault. */
#define COIL_LINE_CHANGE_LIST(X)                                                       \
    X(COIL_CHANGE_MOVE_AFTER_HEATER, "move_after_heater")                              \
    X(COIL_CHANGE_TAKE_TABLETS_OUT, "take_tablets_out")                                \
    X(COIL_CHANGE_ADD_INTERLOCK, "add_interlock")                                      \
    X(COIL_CHANGE_ADD_CHECK_VALVE, "add_check_valve")                                  \
    X(COIL_CHANGE_MOVE_APART, "move_apart")                                            \
    X(COIL_CHANGE_SHUT_VALVE, "shut_valve")                                            \
    X(COIL_CHANGE_ADD_VALVE, "add_valve")                                              \
    X(COIL_CHANGE_OPEN_VALVE, "open_valve")                                            \
    X(COIL_CHANGE_RAISE_FLOW, "raise_flow")                                            \
    X(COIL_CHANGE_LOWER_FLOW, "lower_flow")                                            \
    X(COIL_CHANGE_ADD_FLOW_SWITCH, "add_flow_switch")                                  \
    X(COIL_CHANGE_MOVE_HEATER, "move_heater_after_filter")                             \
    X(COIL_CHANGE_WIDER_PIPE, "wider_pipe")                                            \
    X(COIL_CHANGE_JOIN_OR_REMOVE, "join_or_remove")

enum coil_line_change {
#define X(name, key) name,
    COIL_LINE_CHANGE_LIST(X)
#undef X
    COIL_CHANGE_COUNT
};

const char *coil_line_change_key(enum coil_line_change change); /* NULL: foreign */

/* X(enum name, key, severity, permit side, change). Order is that of a report. */
#define COIL_LINE_FAULT_LIST(X)                                                        \
    X(COIL_FAULT_CHLORINE_BEFORE_HEATER, "chlorine_before_heater", COIL_LINE_STOP,     \
      COIL_WATER_SIDE, COIL_CHANGE_MOVE_AFTER_HEATER)                                  \
    X(COIL_FAULT_ACID_BEFORE_HEATER, "acid_before_heater", COIL_LINE_STOP,             \
      COIL_WATER_SIDE, COIL_CHANGE_MOVE_AFTER_HEATER)                                  \
    X(COIL_FAULT_TABLETS_IN_BASKET, "tablets_in_basket", COIL_LINE_STOP,               \
      COIL_WATER_SIDE, COIL_CHANGE_TAKE_TABLETS_OUT)                                   \
    X(COIL_FAULT_ACID_AND_CHLORINE_STOPPED, "acid_and_chlorine_stopped",               \
      COIL_LINE_STOP, COIL_WATER_SIDE, COIL_CHANGE_ADD_INTERLOCK)                      \
    X(COIL_FAULT_OFF_LINE_PASSED, "off_line_heater_passed", COIL_LINE_STOP,            \
      COIL_WATER_SIDE, COIL_CHANGE_SHUT_VALVE)                                         \
    X(COIL_FAULT_FIRING_WITHOUT_FLOW, "firing_without_flow", COIL_LINE_STOP,           \
      COIL_BURNER_SIDE, COIL_CHANGE_OPEN_VALVE)                                        \
    X(COIL_FAULT_BELOW_MINIMUM_FLOW, "below_minimum_flow", COIL_LINE_STOP,             \
      COIL_BURNER_SIDE, COIL_CHANGE_RAISE_FLOW)                                        \
    X(COIL_FAULT_FEED_NOT_INTERLOCKED, "feed_not_interlocked", COIL_LINE_RISK,         \
      COIL_WATER_SIDE, COIL_CHANGE_ADD_INTERLOCK)                                      \
    X(COIL_FAULT_NO_CHECK_VALVE, "no_check_valve", COIL_LINE_RISK, COIL_WATER_SIDE,    \
      COIL_CHANGE_ADD_CHECK_VALVE)                                                     \
    X(COIL_FAULT_ACID_NEAR_CHLORINE, "acid_near_chlorine", COIL_LINE_RISK,             \
      COIL_WATER_SIDE, COIL_CHANGE_MOVE_APART)                                         \
    X(COIL_FAULT_NO_FLOW_PROOF, "no_flow_proof", COIL_LINE_RISK, COIL_BURNER_SIDE,     \
      COIL_CHANGE_ADD_FLOW_SWITCH)                                                     \
    X(COIL_FAULT_OFF_LINE_ONE_SIDED, "off_line_one_sided", COIL_LINE_RISK,             \
      COIL_WATER_SIDE, COIL_CHANGE_SHUT_VALVE)                                         \
    X(COIL_FAULT_PUMP_SHUT, "pump_shut", COIL_LINE_RISK, COIL_BURNER_SIDE,             \
      COIL_CHANGE_OPEN_VALVE)                                                          \
    X(COIL_FAULT_HEATER_BEFORE_FILTER, "heater_before_filter", COIL_LINE_RISK,         \
      COIL_WATER_SIDE, COIL_CHANGE_MOVE_HEATER)                                        \
    X(COIL_FAULT_ABOVE_MAXIMUM_FLOW, "above_maximum_flow", COIL_LINE_RISK,             \
      COIL_WATER_SIDE, COIL_CHANGE_LOWER_FLOW)                                         \
    X(COIL_FAULT_COPPER_TOO_FAST, "copper_too_fast", COIL_LINE_RISK, COIL_WATER_SIDE,  \
      COIL_CHANGE_WIDER_PIPE)                                                          \
    X(COIL_FAULT_OZONE_BEFORE_HEATER, "ozone_before_heater", COIL_LINE_RISK,           \
      COIL_WATER_SIDE, COIL_CHANGE_MOVE_AFTER_HEATER)                                  \
    X(COIL_FAULT_FLOW_PROOF_SHARED, "flow_proof_shared", COIL_LINE_CARE,               \
      COIL_BURNER_SIDE, COIL_CHANGE_ADD_FLOW_SWITCH)                                   \
    X(COIL_FAULT_DEAD_LEG, "dead_leg", COIL_LINE_CARE, COIL_WATER_SIDE,                \
      COIL_CHANGE_JOIN_OR_REMOVE)                                                      \
    X(COIL_FAULT_UNREACHABLE, "unreachable", COIL_LINE_CARE, COIL_WATER_SIDE,          \
      COIL_CHANGE_JOIN_OR_REMOVE)

enum coil_line_fault_code {
#define X(name, key, severity, side, change) name,
    COIL_LINE_FAULT_LIST(X)
#undef X
    COIL_LINE_FAULT_COUNT
};

/* One fault of one part, in all positions that show it. Indexes are the line's. */
struct coil_line_fault {
    enum coil_line_fault_code code;
    enum coil_line_severity severity;
    enum coil_side side;
    int part;           /* the part at fault */
    int other;          /* the second part (the chlorine near the acid), -1: none */
    unsigned positions; /* bit n: shown in position n */
    double value; /* flow, velocity or distance, unit by code; 0: does not apply */
    double limit; /* its limit */
    enum coil_line_change change;
    int change_after; /* part after which to put it; -1: none */
    bool change_needs_check_valve; /* and a check valve before the moved feeder */
    int path_length; /* parts that show it, in order of flow (or of drift) */
    uint8_t path[COIL_LINE_PARTS_MAX];
};

/*
 * What positions that nobody declared would make possible; never a fault.
 * X(enum name, key)
 */
#define COIL_LINE_NOTE_LIST(X)                                                         \
    X(COIL_NOTE_SOURCE_COULD_REACH_HEATER, "source_could_reach_heater")                \
    X(COIL_NOTE_FEED_COULD_DRIFT_BACK, "feed_could_drift_back")                        \
    X(COIL_NOTE_HEATER_COULD_BE_SHUT_IN, "heater_could_be_shut_in")                    \
    X(COIL_NOTE_PUMP_COULD_BE_SHUT, "pump_could_be_shut")                              \
    X(COIL_NOTE_NO_WAY_AROUND_HEATER, "no_way_around_heater")                          \
    X(COIL_NOTE_ISOLATES_ONE_SIDE_ONLY, "isolates_one_side_only")                      \
    X(COIL_NOTE_OFF_LINE_NOT_DECLARED, "off_line_not_declared")

enum coil_line_note_code {
#define X(name, key) name,
    COIL_LINE_NOTE_LIST(X)
#undef X
    COIL_LINE_NOTE_COUNT
};

struct coil_line_note {
    enum coil_line_note_code code;
    int part;        /* -1: none */
    int path_length; /* parts that show it; valves on it would stand open to it */
    uint8_t path[COIL_LINE_PARTS_MAX];
};

/* What the answer takes for granted. X(enum name, bit number, key) */
#define COIL_LINE_ASSUMPTION_LIST(X)                                                   \
    X(COIL_ASSUME_POOL_MIXED, 0, "pool_mixed")                                         \
    X(COIL_ASSUME_VALVES_TIGHT, 1, "valves_tight")                                     \
    X(COIL_ASSUME_CHECK_VALVES_TIGHT, 2, "check_valves_tight")                         \
    X(COIL_ASSUME_EQUAL_SHARES, 3, "equal_shares")                                     \
    X(COIL_ASSUME_GIVEN_SHARES, 4, "given_shares")                                     \
    X(COIL_ASSUME_PUMPS_IN_ROW, 5, "pumps_in_row")                                     \
    X(COIL_ASSUME_LOOP_NO_FLOW, 6, "loop_no_flow")                                     \
    X(COIL_ASSUME_NO_MINIMUM_FLOW, 7, "minimum_flow_not_known")                        \
    X(COIL_ASSUME_NO_VOLUME, 8, "volume_not_known")                                    \
    X(COIL_ASSUME_NO_FEED, 9, "feed_not_known")                                        \
    X(COIL_ASSUME_PUMP_FLOW, 10, "pump_flow_as_given")

enum coil_line_assumption {
#define X(name, bit, key) name = bit,
    COIL_LINE_ASSUMPTION_LIST(X)
#undef X
    COIL_ASSUME_COUNT
};

struct coil_line_report {
    bool all_is_well;            /* no fault in any declared position */
    enum coil_permit water_side; /* run, or hold when a STOP fault stands */
    enum coil_permit burner_side;
    int fault_total; /* fault_count unless there are more than fit */
    int fault_count;
    struct coil_line_fault faults[COIL_LINE_FAULTS_MAX]; /* by code, then by id */
    int note_total;
    int note_count;
    struct coil_line_note notes[COIL_LINE_NOTES_MAX]; /* by code, then by id */
    unsigned assumptions;                             /* bits */
};

/*
 * Finds every fault and note.
 *
 * water_temp_c  0 to 100, for the copper guide
 * out_problem   as coil_line_check
 * out           untouched unless COIL_OK is returned
 *
 * Returns the status of coil_line_check, or of water_temp_c with the problem's field
 * "water_temp_c". Faults, their paths and their order depend on ids, not on the order
 * in which parts or edges are listed.
 *
 * Paths: shortest by number of parts; which of equals is decided by ids. A source is
 * before the heater when the heater is reached from it along open edges. Concentrate
 * drifts either way through standing water, but not backwards through a check valve and
 * not through the pool.
 *
 * Notes, without trying positions one by one: every position lies between all open and
 * all shut. What opening can only help (a source reaches the heater) is looked at with
 * all open, what shutting can only help (a pump without a way out) with all shut.
 * Whether the pump can run while the heater is shut off is a search for a way from
 * suction to return that touches nothing joined to the heater without a valve between.
 * Exact unless the line has a loop (through a pump).
 */
enum coil_status coil_line_find(const struct coil_line *line, double water_temp_c,
                                struct coil_line_report *out,
                                struct coil_line_problem *out_problem);

const char *coil_line_fault_key(enum coil_line_fault_code code); /* NULL: foreign */
const char *coil_line_note_key(enum coil_line_note_code code);
const char *coil_line_assumption_key(enum coil_line_assumption assumption);
const char *coil_line_severity_key(enum coil_line_severity severity); /* "stop", … */

/* ---- flow ---- */

struct coil_line_flow {
    double part_l_per_s[COIL_LINE_PARTS_MAX];
    double edge_l_per_s[COIL_LINE_EDGES_MAX];
    unsigned assumptions; /* bits */
};

/*
 * Flow through every part and edge in one position.
 *
 * A pump moves its stated flow times the position's fraction. Where several open edges
 * lead on to a return, the flow splits by their shares, or evenly when one of them has
 * none; likewise upstream, where several suctions meet. Resistance is not computed:
 * bends, baskets and dirt are not known well enough, and the owner can read a flow
 * meter. Of pumps in a row the first gives the flow.
 *
 * line     must have passed coil_line_check
 * position index of a position
 * out      untouched unless COIL_OK is returned
 *
 * Returns COIL_OK (all 0 when no pump has a way); COIL_ERR_DOMAIN (no such position);
 * COIL_ERR_NO_SOLUTION when the open edges hold a loop.
 */
enum coil_status coil_line_flow(const struct coil_line *line, int position,
                                struct coil_line_flow *out);

/* What the flow carries of one substance, in the unit of the sources per hour. */
struct coil_line_carry {
    double part_in[COIL_LINE_PARTS_MAX]; /* arriving, without the part's own */
    double edge[COIL_LINE_EDGES_MAX];
    double delivered; /* to the pool */
    double held;      /* fed into water that does not move */
};

/*
 * Carries rates along the flow: what leaves a part divides as its water does. A feeder
 * without an inlet (a metering pump) passes its feed on to the part it ends in.
 *
 * rate  by part index, each >= 0
 * Returns the statuses of coil_line_flow, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 * Sum of rates = delivered + held, to 1e-12 of the sum.
 */
enum coil_status coil_line_carry(const struct coil_line *line, int position,
                                 const struct coil_line_flow *flow, const double *rate,
                                 struct coil_line_carry *out);

/* Litres in a part: of a pipe by size and length, else its volume_l. */
double coil_part_volume_l(const struct coil_part *part);

#endif
