/*
 * What changed between flue tests, and what that points at.
 *
 * A finding is a direction to look in, never a diagnosis: no published curve of soot or
 * blocked orifices against flue values was found. The drift of one value over the years
 * comes from trend.h.
 */
#ifndef COIL_FLUE_DRIFT_H
#define COIL_FLUE_DRIFT_H

#include "combustion.h"
#include "trend.h"

/*
 * A change counts when it is beyond 1.645 standard uncertainties of both tests together
 * (one in ten changes of nothing would pass, both sides) and beyond these, for what
 * water temperature and the probe's place do: a convention of ours, no source.
 */
#define COIL_FLUE_CHANGE_O2_PERCENT 0.3
#define COIL_FLUE_CHANGE_CO_PPM 20.0 /* air-free */
#define COIL_FLUE_CHANGE_STACK_K 10.0

/* code, text. Order: the first one that is set is the one to show first. */
#define COIL_FLUE_FINDING_LIST(X)                                                      \
    X(COIL_FLUE_CO_HOLD, "flue_co_hold",                                               \
      "Carbon monoxide is above 400 ppm air-free. Shut the heater down, let air in, "  \
      "call a technician.")                                                            \
    X(COIL_FLUE_CO_RATIO_HIGH, "flue_co_ratio_high",                                   \
      "Carbon monoxide over carbon dioxide is above 0.004.")                           \
    X(COIL_FLUE_CO_ABOVE_TARGET, "flue_co_above_target",                               \
      "Carbon monoxide is above the 100 ppm air-free that a tuned burner keeps.")      \
    X(COIL_FLUE_AIR_OBSTRUCTED, "flue_air_obstructed",                                 \
      "Less oxygen, more carbon monoxide and a hotter stack: something obstructs the " \
      "air or the flue.")                                                              \
    X(COIL_FLUE_AIR_SHORT, "flue_air_short",                                           \
      "Less oxygen and more carbon monoxide: the burner gets too little air.")         \
    X(COIL_FLUE_FIRED_HARDER, "flue_fired_harder",                                     \
      "Less oxygen and a hotter stack: more gas than before. Compare the gas "         \
      "pressure with the rating plate.")                                               \
    X(COIL_FLUE_FLAME_DISTURBED, "flue_flame_disturbed",                               \
      "More carbon monoxide with more oxygen: a disturbed or cooled flame, as from "   \
      "webs or dirt in the orifices.")                                                 \
    X(COIL_FLUE_CO_ALONE, "flue_co_alone",                                             \
      "More carbon monoxide at the same oxygen: look at burner and flame.")            \
    X(COIL_FLUE_EXCHANGER_FOULED, "flue_exchanger_fouled",                             \
      "A hotter stack at the same oxygen: soot or scale on the exchanger.")            \
    X(COIL_FLUE_MORE_AIR, "flue_more_air",                                             \
      "More oxygen: less gas, more air, or air that leaks in before the probe.")

enum coil_flue_finding {
#define X(name, code, text) name,
    COIL_FLUE_FINDING_LIST(X)
#undef X
        COIL_FLUE_FINDING_COUNT
};

/* Stable code and a sentence; NULL for no such number. */
const char *coil_flue_finding_code(enum coil_flue_finding finding);
const char *coil_flue_finding_text(enum coil_flue_finding finding);

struct coil_flue_change {
    double o2_percent;   /* now less before */
    double co_ppm;       /* air-free */
    double stack_k;      /* flue less air */
    double u_o2_percent; /* standard uncertainty of the change, from the instruments */
    double u_co_ppm;
    double u_stack_k;
    enum coil_direction o2, co, stack; /* COIL_STEADY: not beyond the above */
};

struct coil_flue_comparison {
    bool is_found[COIL_FLUE_FINDING_COUNT];
    bool has_change; /* false without an earlier test */
    struct coil_flue_change change;
};

struct coil_flue_test {
    struct coil_flue_reading reading;
    struct coil_flue_accuracy accuracy;
};

/*
 * Judges a test by itself and against an earlier one.
 *
 * before  NULL when there is none, or none with the same fuel
 * out     untouched unless COIL_OK is returned
 *
 * Statuses of coil_flue_analyse for either test. Steady oxygen says nothing about CO;
 * no finding does not mean that the burner is safe.
 */
enum coil_status coil_flue_compare(const struct coil_fuel *fuel,
                                   const struct coil_flue_test *before,
                                   const struct coil_flue_test *now,
                                   struct coil_flue_comparison *out);

#endif
