/* Common practice, no source. */
#include "symptom_words.h"

static const struct symptom_words all[DB_SYMPTOM_COUNT] = {
    [DB_GAS_SMELL] =
        {"gas_smell",
         "Smell of gas",
         SYMPTOM_LEAVE,
         true,
         {"A leak in the gas line or the valve", "A burner that lets gas out unburnt",
          NULL},
         {NULL},
         "Leave first: touch no switch, light nothing, do not look for the leak. Call "
         "the gas emergency line from outside."},
    [DB_FLAME_ROLLOUT] =
        {"flame_rollout",
         "Flames outside the burner",
         SYMPTOM_STOP,
         true,
         {"A blocked exchanger or flue, by soot or a nest", "Too little combustion air",
          "Wind into the vent", NULL},
         {"Nothing with the heater on. Scorched paint and wires show it later.", NULL},
         "Shut the heater and its gas valve off, let fresh air in, call a licensed "
         "technician. Only a later test ends this."},
    [DB_SOOT] = {"soot",
                 "Soot",
                 SYMPTOM_STOP,
                 true,
                 {"Too little air: webs or dirt in orifices, a blocked flue",
                  "Wrong gas pressure or orifices", "Water colder than the manual asks",
                  NULL},
                 {"Is the vent free? Are leaves or stored things near the air inlet?",
                  "Is a carbon monoxide alarm there, and does it work?", NULL},
                 "Shut the heater down, let fresh air in, call a licensed technician. "
                 "Only a later test ends this."},
    [DB_YELLOW_FLAME] = {"yellow_flame",
                         "Yellow or lifting flame",
                         SYMPTOM_STOP,
                         false,
                         {"Webs or dirt in the orifices", "Too little air",
                          "Wrong gas pressure", NULL},
                         {"Is the air inlet free?", "Do other gas appliances burn blue?",
                          NULL},
                         "Shut it down and call when the flame stays yellow, or with any "
                         "soot or headache."},
    [DB_KNOCKING] = {"knocking",
                     "Knocking or boiling noise",
                     SYMPTOM_STOP,
                     false,
                     {"Too little water: a dirty filter, a bypass too far open, a valve",
                      "Scale in the exchanger", "Air in the line", NULL},
                     {"Filter pressure and skimmer basket", "Position of bypass and valves",
                      "Saturation at the hot surface, on the page Treatment", NULL},
                     "Shut the heater off and let the pump run when it does not stop with "
                     "full flow. Steam can burst a header."},
    [DB_IGNITION_FAILS] =
        {"ignition_fails",
         "Ignition fails",
         SYMPTOM_STOP,
         false,
         {"Gas shut or low", "Flow or pressure switch open: little water",
          "Igniter, flame sensor or their wires", "Webs or nests at the burner", NULL},
         {"Is the gas valve open? Is the tank full?", "Filter, basket, pump prime",
          "The code on the heater's display, in its manual", NULL},
         "Stop after two tries: gas gathers. Call a licensed technician."},
    [DB_LIMIT_TRIPS] = {"limit_trips",
                        "A safety limit trips",
                        SYMPTOM_STOP,
                        false,
                        {"Little water or a stopped pump", "Scale in the exchanger",
                         "A bypass valve that broke inside", "A worn limit switch", NULL},
                        {"Filter, basket, bypass position",
                         "Does the pump run on after the burner stops?", NULL},
                        "Never bridge a limit. Call when it trips twice."},
    [DB_DRIPPING] = {"dripping",
                     "Dripping",
                     SYMPTOM_STOP,
                     false,
                     {"Condensing flue gas: water too cold at the inlet",
                      "A header gasket or the relief valve", "A hole in the exchanger",
                      NULL},
                     {"Does it drip only while heating from cold, or always?",
                      "Is the water blue-green? Test copper.", NULL},
                     "Shut the heater down when water comes from the burner box, or always "
                     "runs. Close its valves only with the burner off and cool."},
    [DB_SMELL] = {"smell",
                  "Another smell",
                  SYMPTOM_STOP,
                  false,
                  {"Flue gas that does not leave", "Something hot or scorched",
                   "Chlorine gas from feeders in a standing line", NULL},
                  {"Is the vent free, is the pump running?", NULL},
                  "Let fresh air in and go out with headache or dizziness; call from "
                  "outside. If it may be gas, enter a smell of gas."},
    [DB_STAINS] = {"stains",
                   "Blue-green stains",
                   SYMPTOM_LOOK,
                   false,
                   {"Copper from the exchanger: acid water or strong chlorine",
                    "Copper from algae killer or the fill water", NULL},
                   {"Test copper in pool and fill water", "pH and chlorine of the last weeks, "
                    "on the page Trends", "Chlorine fed before the heater, on the page Line",
                    NULL},
                   "Take the heater off line when pH is low; have the exchanger looked at "
                   "when copper rises."},
};

const struct symptom_words *symptom_words(enum db_symptom_kind kind)
{
    return &all[kind];
}
