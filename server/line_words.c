#include "line_words.h"

#include <stddef.h>

/* Tables by code: [code] = sentence. An empty place would be a code without words,
 * which a test refuses. */
static const char *const FAULTS[COIL_LINE_FAULT_COUNT] = {
    [COIL_FAULT_CHLORINE_BEFORE_HEATER] =
        "Chlorine is fed into the water before it passes the heater.",
    [COIL_FAULT_ACID_BEFORE_HEATER] =
        "Acid is fed into the water before it passes the heater.",
    [COIL_FAULT_TABLETS_IN_BASKET] = "Chlorine tablets lie in a basket of the line.",
    [COIL_FAULT_ACID_AND_CHLORINE_STOPPED] =
        "Acid and chlorine can both be fed into the same line while the pump stands.",
    [COIL_FAULT_OFF_LINE_PASSED] =
        "With the heater off line, water still passes through it.",
    [COIL_FAULT_FIRING_WITHOUT_FLOW] =
        "The burner may fire in a valve position that gives the heater no flow.",
    [COIL_FAULT_BELOW_MINIMUM_FLOW] =
        "The heater gets less flow than its plate asks for.",
    [COIL_FAULT_FEED_NOT_INTERLOCKED] =
        "A feeder goes on feeding when the water stands still.",
    [COIL_FAULT_NO_CHECK_VALVE] =
        "There is no check valve between the heater and a feeder.",
    [COIL_FAULT_ACID_NEAR_CHLORINE] = "Acid and chlorine go in close together.",
    [COIL_FAULT_NO_FLOW_PROOF] = "Nothing proves flow before the burner fires.",
    [COIL_FAULT_OFF_LINE_ONE_SIDED] =
        "With the heater off line, one of its sides stays open to the line.",
    [COIL_FAULT_PUMP_SHUT] = "A pump runs against shut valves.",
    [COIL_FAULT_HEATER_BEFORE_FILTER] = "The heater stands before the filter.",
    [COIL_FAULT_ABOVE_MAXIMUM_FLOW] =
        "The heater gets more flow than its plate allows.",
    [COIL_FAULT_COPPER_TOO_FAST] =
        "Water runs through a copper pipe faster than copper bears.",
    [COIL_FAULT_OZONE_BEFORE_HEATER] =
        "Ozone is fed into the water before it passes the heater.",
    [COIL_FAULT_FLOW_PROOF_SHARED] =
        "The flow switch also sees water that goes around the heater.",
    [COIL_FAULT_DEAD_LEG] = "A part can never be flushed: no way leads through it.",
    [COIL_FAULT_UNREACHABLE] = "A part is not joined to the rest of the line.",
};

static const char *const WHYS[COIL_LINE_FAULT_COUNT] = {
    [COIL_FAULT_CHLORINE_BEFORE_HEATER] =
        "The whole feed is dissolved in one pipe's small volume and passes the heater "
        "before the pool can thin it.",
    [COIL_FAULT_ACID_BEFORE_HEATER] =
        "Undiluted acid dissolves the heat exchanger's metal.",
    [COIL_FAULT_TABLETS_IN_BASKET] =
        "They go on dissolving while the pump stands, and the restart sends strong, "
        "acid water through pump and heater.",
    [COIL_FAULT_ACID_AND_CHLORINE_STOPPED] =
        "They meet in the standing water and give chlorine gas, which the restart "
        "pushes into the pool.",
    [COIL_FAULT_OFF_LINE_PASSED] =
        "Treatment water then attacks the heater that should be spared.",
    [COIL_FAULT_FIRING_WITHOUT_FLOW] = "Water that does not move boils in the heater.",
    [COIL_FAULT_BELOW_MINIMUM_FLOW] =
        "The heat is not carried away: the exchanger overheats and scales.",
    [COIL_FAULT_FEED_NOT_INTERLOCKED] =
        "The feed gathers in the pipe and leaves it as one strong slug on restart.",
    [COIL_FAULT_NO_CHECK_VALVE] =
        "Strong water drifts back into the heater whenever the pump stands.",
    [COIL_FAULT_ACID_NEAR_CHLORINE] = "Where they meet undiluted, chlorine gas forms.",
    [COIL_FAULT_NO_FLOW_PROOF] =
        "If the pump stops or a valve is shut, the burner heats standing water.",
    [COIL_FAULT_OFF_LINE_ONE_SIDED] =
        "Strong water creeps into the heater through the open side.",
    [COIL_FAULT_PUMP_SHUT] = "The pump heats the water that it cannot move.",
    [COIL_FAULT_HEATER_BEFORE_FILTER] =
        "Dirt that the filter would hold gathers in the heater.",
    [COIL_FAULT_ABOVE_MAXIMUM_FLOW] = "Fast water wears the exchanger's tubes away.",
    [COIL_FAULT_COPPER_TOO_FAST] =
        "Fast water wears the protecting film off the metal.",
    [COIL_FAULT_OZONE_BEFORE_HEATER] = "Ozone attacks metal and seals of the heater.",
    [COIL_FAULT_FLOW_PROOF_SHARED] =
        "It shows flow even when the heater's own valves are shut.",
    [COIL_FAULT_DEAD_LEG] = "Water that stands there goes bad and keeps what is fed.",
    [COIL_FAULT_UNREACHABLE] =
        "It cannot be judged where nobody says how it is joined.",
};

static const char *const CHANGES[COIL_CHANGE_COUNT] = {
    [COIL_CHANGE_MOVE_AFTER_HEATER] =
        "Move it to the last place before the return, after the heater.",
    [COIL_CHANGE_TAKE_TABLETS_OUT] =
        "Take the tablets out of the basket; feed them after the heater.",
    [COIL_CHANGE_ADD_INTERLOCK] =
        "Have it wired so that it feeds only while water flows.",
    [COIL_CHANGE_ADD_CHECK_VALVE] =
        "Put a corrosion-resistant check valve between the heater and the feeder.",
    [COIL_CHANGE_MOVE_APART] = "Move the two injection points apart.",
    [COIL_CHANGE_SHUT_VALVE] = "Shut the valves on both sides of the heater.",
    [COIL_CHANGE_ADD_VALVE] = "Add the valve that is missing beside the heater.",
    [COIL_CHANGE_OPEN_VALVE] = "Open a valve, or keep burner and pump off.",
    [COIL_CHANGE_RAISE_FLOW] =
        "Send more water through the heater: close the bypass or speed up the pump.",
    [COIL_CHANGE_LOWER_FLOW] =
        "Send less water through the heater: open the bypass or slow the pump.",
    [COIL_CHANGE_ADD_FLOW_SWITCH] =
        "Have a flow switch fitted where only the heater's water passes.",
    [COIL_CHANGE_MOVE_HEATER] = "Move the heater behind the filter.",
    [COIL_CHANGE_WIDER_PIPE] = "Use a wider pipe, or slow the pump.",
    [COIL_CHANGE_JOIN_OR_REMOVE] = "Join it to the line, or take it out.",
};

static const char *const NOTES[COIL_LINE_NOTE_COUNT] = {
    [COIL_NOTE_SOURCE_COULD_REACH_HEATER] =
        "Other valve positions would let this feed reach the heater.",
    [COIL_NOTE_FEED_COULD_DRIFT_BACK] =
        "Other valve positions would let this feed drift back to the heater.",
    [COIL_NOTE_HEATER_COULD_BE_SHUT_IN] =
        "Valves can shut it on both sides: never while it is hot or firing.",
    [COIL_NOTE_PUMP_COULD_BE_SHUT] =
        "The valves can leave this pump without a way out.",
    [COIL_NOTE_NO_WAY_AROUND_HEATER] =
        "No valve position takes the heater off line while the pump runs.",
    [COIL_NOTE_ISOLATES_ONE_SIDE_ONLY] =
        "The bypass can shut only one side of the heater.",
    [COIL_NOTE_OFF_LINE_NOT_DECLARED] =
        "The heater could be taken off line, but no position is set up for it.",
};

static const char *const PROBLEMS[COIL_LINE_PROBLEM_COUNT] = {
    [COIL_LINE_FINE] = "Nothing is wrong with it.",
    [COIL_LINE_NO_PARTS] = "The line has no parts.",
    [COIL_LINE_TOO_MANY_PARTS] = "The line has more than 200 parts.",
    [COIL_LINE_TOO_MANY_EDGES] = "The line has more than 400 joints.",
    [COIL_LINE_NO_POSITION] = "At least one valve position is needed.",
    [COIL_LINE_TOO_MANY_POSITIONS] = "There are more than 8 valve positions.",
    [COIL_LINE_KIND_UNKNOWN] = "This kind of part is not known.",
    [COIL_LINE_ID_INVALID] = "The number of a part must be 1 or more.",
    [COIL_LINE_ID_TWICE] = "Two parts have the same number.",
    [COIL_LINE_PIPE_SIZE] = "This pipe size is not known.",
    [COIL_LINE_PIPE_LENGTH] = "The length of a pipe must be above zero.",
    [COIL_LINE_VOLUME] = "A volume cannot be below zero.",
    [COIL_LINE_PUMP_FLOW] = "The flow of a pump must be above zero.",
    [COIL_LINE_MIN_FLOW] = "The least flow cannot be below zero.",
    [COIL_LINE_MAX_FLOW] = "The greatest flow must be above the least.",
    [COIL_LINE_FEED_PRODUCT] = "This part cannot feed this product.",
    [COIL_LINE_FEED_BASIS] = "The feed of this part cannot be told in this way.",
    [COIL_LINE_FEED_RATE] = "A feed cannot be below zero.",
    [COIL_LINE_FEED_CURRENT] = "A current cannot be below zero.",
    [COIL_LINE_FEED_CELLS] = "A salt cell has at least one cell.",
    [COIL_LINE_FEED_EFFICIENCY] = "An efficiency lies between 0 and 1.",
    [COIL_LINE_FEED_BEFORE] = "A weight cannot be below zero.",
    [COIL_LINE_FEED_AFTER] = "Tablets cannot weigh more after than before.",
    [COIL_LINE_FEED_INTERVAL] =
        "The time between the two weighings must be above zero.",
    [COIL_LINE_FEED_STRENGTH] = "A strength lies above 0 and up to 100 %.",
    [COIL_LINE_TOO_MANY_VALVES] = "The line has more than 30 valves.",
    [COIL_LINE_NO_HEATER] = "The line has no heater.",
    [COIL_LINE_TWO_HEATERS] = "The line has two heaters; each has a line of its own.",
    [COIL_LINE_NO_PUMP] = "The line has no pump.",
    [COIL_LINE_NO_SUCTION] = "No part takes water from the pool.",
    [COIL_LINE_NO_RETURN] = "No part gives water back to the pool.",
    [COIL_LINE_EDGE_FROM] = "A joint starts at a part that is not there.",
    [COIL_LINE_EDGE_TO] = "A joint ends at a part that is not there.",
    [COIL_LINE_EDGE_SELF] = "A part cannot be joined to itself.",
    [COIL_LINE_EDGE_TWICE] = "Two parts are joined twice in the same way.",
    [COIL_LINE_EDGE_FROM_PORT] = "The part where this joint starts has no such port.",
    [COIL_LINE_EDGE_TO_PORT] = "The part where this joint ends has no such port.",
    [COIL_LINE_EDGE_SHARE] = "A share of the flow cannot be below zero.",
    [COIL_LINE_INTO_SUCTION] = "Water comes into a suction from the pool only.",
    [COIL_LINE_OUT_OF_RETURN] = "Water leaves a return into the pool only.",
    [COIL_LINE_VALVE_EDGES] = "This valve has one way in and one way out.",
    [COIL_LINE_THREE_WAY_PORTS] =
        "A three-way valve has one joint at each port, both branches on one side.",
    [COIL_LINE_LOOP] = "The water runs in a circle that no pump drives.",
    [COIL_LINE_POSITION_KIND] = "This kind of valve position is not known.",
    [COIL_LINE_FLOW_FRACTION] = "The pump's speed must be above 0 and up to 10 times.",
    [COIL_LINE_BURNER_OFF_LINE] =
        "The burner cannot fire while the heater is off line.",
    [COIL_LINE_SETTING] = "This part cannot be set in this way.",
};

static const char *const ASSUMPTIONS[COIL_ASSUME_COUNT] = {
    [COIL_ASSUME_POOL_MIXED] = "What comes from the pool has the pool's tested values.",
    [COIL_ASSUME_VALVES_TIGHT] = "A shut valve lets nothing through.",
    [COIL_ASSUME_CHECK_VALVES_TIGHT] = "Check valves let nothing back.",
    [COIL_ASSUME_EQUAL_SHARES] = "Where nobody said otherwise, flow splits evenly.",
    [COIL_ASSUME_GIVEN_SHARES] = "Flow splits by the shares that were given.",
    [COIL_ASSUME_PUMPS_IN_ROW] = "Of pumps in a row, the first gives the flow.",
    [COIL_ASSUME_LOOP_NO_FLOW] = "Flow in a circle is not computed.",
    [COIL_ASSUME_NO_MINIMUM_FLOW] =
        "The heater's least flow is not known: see its plate.",
    [COIL_ASSUME_NO_VOLUME] = "Parts without a stated volume count as empty.",
    [COIL_ASSUME_NO_FEED] = "Feeders without a stated amount are not in the numbers.",
    [COIL_ASSUME_PUMP_FLOW] = "Pumps move the flow that was given for them.",
};

static const char *at(const char *const *table, int count, int code)
{
    return code >= 0 && code < count && table[code] != NULL ? table[code] : "";
}

const char *line_fault_text(enum coil_line_fault_code code)
{
    return at(FAULTS, COIL_LINE_FAULT_COUNT, (int)code);
}

const char *line_fault_why(enum coil_line_fault_code code)
{
    return at(WHYS, COIL_LINE_FAULT_COUNT, (int)code);
}

const char *line_change_text(enum coil_line_change change)
{
    return at(CHANGES, COIL_CHANGE_COUNT, (int)change);
}

const char *line_note_text(enum coil_line_note_code code)
{
    return at(NOTES, COIL_LINE_NOTE_COUNT, (int)code);
}

const char *line_problem_text(enum coil_line_problem_code code)
{
    return at(PROBLEMS, COIL_LINE_PROBLEM_COUNT, (int)code);
}

const char *line_assumption_text(enum coil_line_assumption assumption)
{
    return at(ASSUMPTIONS, COIL_ASSUME_COUNT, (int)assumption);
}

const char *line_temp_text(void)
{
    return "The water's temperature was never tested: 25 degrees Celsius are taken.";
}

const char *line_cyanuric_text(void)
{
    return "Cyanuric acid was never tested and counts as absent.";
}

const char *line_notes_method(void)
{
    return "Not every setting is tried. Opening a valve only ever adds ways and shutting "
           "one only takes them away, so that all open and all shut are the two ends. "
           "Whether the pump can run with the heater shut off is a search for a way that "
           "touches nothing joined to the heater without a valve between.";
}

const char *line_exposure_text(void)
{
    return "The line feeds before the heater. These are hours of the water at its "
           "inlet "
           "since the line was described so, the pool's own share among them; the "
           "strong "
           "water that a restart sends through is not.";
}

const char *line_part_words(enum coil_part_kind kind)
{
    static const char *const words[] = {
        [COIL_PART_SKIMMER] = "skimmer",
        [COIL_PART_MAIN_DRAIN] = "main drain",
        [COIL_PART_SUCTION_CLEANER] = "suction cleaner",
        [COIL_PART_PUMP] = "pump",
        [COIL_PART_STRAINER] = "strainer",
        [COIL_PART_FILTER] = "filter",
        [COIL_PART_HEATER] = "heater",
        [COIL_PART_PIPE] = "pipe",
        [COIL_PART_BYPASS] = "bypass",
        [COIL_PART_TEE] = "tee",
        [COIL_PART_TWO_WAY_VALVE] = "two-way valve",
        [COIL_PART_THREE_WAY_VALVE] = "three-way valve",
        [COIL_PART_CHECK_VALVE] = "check valve",
        [COIL_PART_FLOW_SWITCH] = "flow switch",
        [COIL_PART_SOLAR_COLLECTOR] = "solar collector",
        [COIL_PART_EROSION_FEEDER] = "erosion feeder",
        [COIL_PART_SALT_CELL] = "salt cell",
        [COIL_PART_SKIMMER_TABLETS] = "tablets in the skimmer basket",
        [COIL_PART_STRAINER_TABLETS] = "tablets in the strainer",
        [COIL_PART_FLOATING_DISPENSER] = "floating dispenser",
        [COIL_PART_CHLORINE_INJECTION] = "chlorine injection",
        [COIL_PART_ACID_INJECTION] = "acid injection",
        [COIL_PART_OZONE_UNIT] = "ozone unit",
        [COIL_PART_UV_UNIT] = "UV unit",
        [COIL_PART_RETURN] = "return",
        [COIL_PART_SPA_SPILLWAY] = "spa spillway",
    };

    return at(words, (int)(sizeof words / sizeof *words), (int)kind);
}

const char *line_position_words(enum coil_position_kind kind)
{
    static const char *const words[] = {
        [COIL_POSITION_NORMAL] = "normal",
        [COIL_POSITION_HEATER_OFF_LINE] = "heater off line",
        [COIL_POSITION_SPA] = "spa",
        [COIL_POSITION_CLEANING] = "cleaning",
    };

    return at(words, (int)(sizeof words / sizeof *words), (int)kind);
}

const char *line_caution_at(int index)
{
    static const char *const cautions[] = {
        "Turn pump and heater off and relieve the pressure before you open the line.",
        "Never mix two kinds of chlorine, nor chlorine with acid.",
        "Keep everybody out of the water when the pump restarts after a stopped feed.",
        "Local codes come first.",
        "Bonding and interlocks are work for a licensed electrician.",
    };

    return index >= 0 && index < (int)(sizeof cautions / sizeof *cautions)
               ? cautions[index]
               : NULL;
}
