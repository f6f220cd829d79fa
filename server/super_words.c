#include "super_words.h"

static const struct super_step steps[] = {
    {"off_control", DB_PLAN_PLANNED, DB_PLAN_HEATER_OFF_LINE, 0,
     "Turn the heater off at its own control, and at every timer and remote."},
    {"cool", DB_PLAN_PLANNED, DB_PLAN_HEATER_OFF_LINE, 0,
     "Let the pump run until the heater is cool, as its manual says."},
    {"open_bypass", DB_PLAN_PLANNED, DB_PLAN_HEATER_OFF_LINE, 1, "Open the bypass."},
    {"close_valves", DB_PLAN_PLANNED, DB_PLAN_HEATER_OFF_LINE, 1,
     "Close both valves of the heater."},
    {"check_isolated", DB_PLAN_PLANNED, DB_PLAN_HEATER_OFF_LINE, 1,
     "Check that it is really isolated: no flow is heard or felt in its pipes. Never fire "
     "a closed heater."},
    {"standing_water", DB_PLAN_PLANNED, DB_PLAN_HEATER_OFF_LINE, 1,
     "What stands in it is still pool water: if that is bad, flush it with good water or "
     "drain it. Before frost, drain it."},
    {"choose_way", DB_PLAN_PLANNED, DB_PLAN_HEATER_OFF_LINE, -1,
     "This heater has no bypass: choose from the list below how it is kept from the "
     "water, and do that."},
    {"ph_ready", DB_PLAN_HEATER_OFF_LINE, DB_PLAN_DOSED, 0,
     "Bring pH to 7.4 to 7.6 and test it: there the peak does least harm."},
    {"feeders_off", DB_PLAN_HEATER_OFF_LINE, DB_PLAN_DOSED, 0,
     "Stop feeders and the salt cell, take tablets out."},
    {"cover_off", DB_PLAN_HEATER_OFF_LINE, DB_PLAN_DOSED, 0,
     "Take the cover off: fumes must leave, and they ruin it."},
    {"people_out", DB_PLAN_HEATER_OFF_LINE, DB_PLAN_DOSED, 0,
     "Everybody out. A note on the gate: no bathing until a test is right."},
    {"dose", DB_PLAN_HEATER_OFF_LINE, DB_PLAN_DOSED, 0,
     "Dose, with the pump running, into the pool and never before the heater."},
    {"mixed", DB_PLAN_DOSED, DB_PLAN_COMING_DOWN, 0,
     "Let the pump mix for at least eight hours. Then test free and combined chlorine, "
     "the sample diluted."},
    {"confirm", DB_PLAN_COMING_DOWN, DB_PLAN_CONFIRMED_BACK, 0,
     "Test pH and free chlorine. Both must be inside the heater's limits."},
};

const struct super_step *super_step_at(size_t index)
{
    return index < sizeof steps / sizeof steps[0] ? &steps[index] : NULL;
}

const char *super_state_key(enum db_plan_state state)
{
    static const char *const keys[] = {"planned",     "heater_off_line", "dosed",
                                       "coming_down", "confirmed_back",  "abandoned"};

    return (unsigned)state < DB_PLAN_STATE_COUNT ? keys[state] : keys[0];
}

const char *super_state_words(enum db_plan_state state)
{
    static const char *const words[] = {
        "Planned: the heater is still in line.",
        "The heater is off line. Nothing is dosed yet.",
        "Dosed: the pump mixes.",
        "Chlorine is coming down.",
        "Confirmed by a test: the heater may come back.",
        "Abandoned."};

    return (unsigned)state < DB_PLAN_STATE_COUNT ? words[state] : words[0];
}

const char *super_way_key(enum super_way way)
{
    static const char *const keys[SUPER_WAYS] = {"now",      "noon",       "evening",
                                                 "portions", "other_pump", "removed"};

    return keys[way];
}

const char *super_way_words(enum super_way way)
{
    static const char *const words[SUPER_WAYS] = {
        "All at once now, the burner off",
        "All at once at noon, the burner off",
        "All at once at eight in the evening, the burner off",
        "A third on each of three evenings, the burner off",
        "The main pump rests, a submersible pump mixes",
        "A technician takes the heater out and caps the pipes"};

    return words[way];
}

const char *super_way_remains(enum super_way way)
{
    static const char *const remains[SUPER_WAYS] = {
        "The whole peak passes the heater.",
        "The sun takes much of it before it has worked.",
        "The whole peak passes the heater, through the night.",
        "Each peak is lower, and combined chlorine may not break at all.",
        "No filtering and no heat until a test shows that chlorine is down.",
        "Takes a visit; nothing remains in the heater."};

    return remains[way];
}

const char *const *super_return_steps(bool has_bypass)
{
    static const char *const with[] = {
        "Open both valves of the heater, then set the bypass to its usual position.",
        "Let water flow through it for some minutes.",
        "Say here that it is in line, then turn it on at its own control.",
        "Look after it: no drip, the usual sound, the usual flow.", NULL};
    static const char *const without[] = {
        "Let the main pump run for some minutes.",
        "Turn the heater on at its own control.",
        "Look after it: no drip, the usual sound, the usual flow.", NULL};

    return has_bypass ? with : without;
}

const char *super_note_words(unsigned notes, int index)
{
    static const struct {
        unsigned bit;
        const char *words;
    } all[] = {
        {COIL_BREAKPOINT_NOT_NEEDED,
         "Combined chlorine is so low that super-chlorination is not needed."},
        {COIL_BREAKPOINT_ORGANIC,
         "The last one reached its level and combined chlorine stayed: it is organic. Only "
         "replacing water helps."},
        {COIL_BREAKPOINT_CYANURIC_HIGH,
         "With this much cyanuric acid it would need more chlorine than a pool should have: "
         "replace water first."},
        {COIL_BREAKPOINT_CYANURIC_UNKNOWN,
         "Cyanuric acid was not tested: the level may be too low to work. Test it first."},
    };
    int seen = 0;

    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++)
        if ((notes & all[i].bit) != 0 && seen++ == index)
            return all[i].words;
    return NULL;
}
