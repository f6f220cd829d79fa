/*
 * The values that a reading may hold: name, unit, possible and plausible range.
 *
 * Knows nothing of where values come from or how they are stored. The numbers of the
 * enum are written into databases: never reuse or renumber one.
 */
#ifndef COIL_QUANTITY_H
#define COIL_QUANTITY_H

#include <stddef.h>

#include "status.h"

/*
 * X(enum name, number, key, words, unit, possible low, high, plausible low, high)
 * possible: outside, the value is refused: no such water, or no test can show it.
 * plausible: outside, the person is asked once. Both: common practice, no source,
 * from the scales that pool test kits have.
 * "key" is the name in JSON, SQL, CSV and JavaScript.
 */
#define COIL_QUANTITY_LIST(X)                                                          \
    X(COIL_PH, 0, "ph", "pH", "", 1, 13, 6.2, 8.6)                                     \
    X(COIL_FREE_CHLORINE, 1, "free_chlorine_mg_per_l", "Free chlorine", "mg/L", 0, 500, 0, 15) \
    X(COIL_COMBINED_CHLORINE, 2, "combined_chlorine_mg_per_l", "Combined chlorine", "mg/L", 0, 200, 0, 5) \
    X(COIL_TOTAL_CHLORINE, 3, "total_chlorine_mg_per_l", "Total chlorine", "mg/L", 0, 500, 0, 20) \
    X(COIL_BROMINE, 4, "bromine_mg_per_l", "Bromine", "mg/L", 0, 500, 0, 20)           \
    X(COIL_TOTAL_ALKALINITY, 5, "total_alkalinity_mg_per_l_caco3", "Total alkalinity", "mg/L", 0, 2000, 30, 300) \
    X(COIL_CALCIUM_HARDNESS, 6, "calcium_hardness_mg_per_l_caco3", "Calcium hardness", "mg/L", 0, 5000, 20, 1000) \
    X(COIL_CYANURIC_ACID, 7, "cyanuric_acid_mg_per_l", "Cyanuric acid", "mg/L", 0, 1000, 0, 150) \
    X(COIL_BORATE, 8, "borate_mg_per_l_b", "Borate as boron", "mg/L", 0, 500, 0, 80)   \
    X(COIL_SALT, 9, "salt_mg_per_l_nacl", "Salt", "mg/L", 0, 50000, 0, 8000)           \
    X(COIL_TDS, 10, "tds_mg_per_l", "Dissolved solids", "mg/L", 0, 60000, 50, 8000)    \
    X(COIL_COPPER, 11, "copper_mg_per_l", "Copper", "mg/L", 0, 50, 0, 2)               \
    X(COIL_IRON, 12, "iron_mg_per_l", "Iron", "mg/L", 0, 50, 0, 2)                     \
    X(COIL_SULFATE, 13, "sulfate_mg_per_l", "Sulfate", "mg/L", 0, 10000, 0, 1000)      \
    X(COIL_PHOSPHATE, 14, "phosphate_mg_per_l", "Phosphate", "mg/L", 0, 100, 0, 3)     \
    X(COIL_WATER_TEMP, 15, "water_temp_c", "Water temperature", "°C", -2, 60, 2, 42)   \
    X(COIL_ORP, 16, "orp_mv", "Redox potential", "mV", -1000, 1500, 200, 950)          \
    X(COIL_MAGNESIUM, 17, "magnesium_mg_per_l", "Magnesium", "mg/L", 0, 5000, 0, 400)

enum coil_quantity {
#define X(name, number, key, words, unit, plo, phi, lo, hi) name = number,
    COIL_QUANTITY_LIST(X)
#undef X
    COIL_QUANTITY_COUNT
};

/* How a value was found; the numbers are written into databases. */
#define COIL_METHOD_LIST(X)                                                            \
    X(COIL_METHOD_UNKNOWN, 0, "unknown", "not said")                                   \
    X(COIL_METHOD_STRIP, 1, "strip", "test strip")                                     \
    X(COIL_METHOD_DROP_COUNT, 2, "drop_count", "drop count")                           \
    X(COIL_METHOD_COMPARATOR, 3, "comparator", "colour comparator")                    \
    X(COIL_METHOD_PHOTOMETER, 4, "photometer", "photometer")                           \
    X(COIL_METHOD_PROBE, 5, "probe", "probe")                                          \
    X(COIL_METHOD_LABORATORY, 6, "laboratory", "laboratory")

enum coil_method {
#define X(name, number, key, words) name = number,
    COIL_METHOD_LIST(X)
#undef X
    COIL_METHOD_COUNT
};

/* What one quantity is; lives as long as the program. */
struct coil_quantity_info {
    const char *key;       /* name with unit, as in JSON, SQL and CSV */
    const char *words;     /* for people */
    const char *unit;      /* canonical unit as shown; "" for pH */
    double possible_low;   /* in the canonical unit, inclusive */
    double possible_high;
    double plausible_low;
    double plausible_high;
};

enum coil_range {
    COIL_RANGE_PLAUSIBLE,
    COIL_RANGE_DOUBTFUL,  /* possible: ask once */
    COIL_RANGE_IMPOSSIBLE /* refuse; also NaN and infinity */
};

/* NULL when quantity is not one of the list. */
const struct coil_quantity_info *coil_quantity_info(enum coil_quantity quantity);

/* COIL_OK, or COIL_ERR_UNKNOWN when no quantity has that key. Compares whole names. */
enum coil_status coil_quantity_from_key(const char *key, enum coil_quantity *out_quantity);

/* Where a value lies; NaN, infinity and an unknown quantity are impossible. */
enum coil_range coil_quantity_range(enum coil_quantity quantity, double value);

const char *coil_method_key(enum coil_method method);   /* "unknown" for a foreign number */
const char *coil_method_words(enum coil_method method);
enum coil_status coil_method_from_key(const char *key, enum coil_method *out_method);

/*
 * Step between two neighbouring answers of a method, in the quantity's unit; > 0.
 * Common practice, no source: strip pads, drop volumes and colour steps as sold. For a
 * method that was not said the coarsest (strip) is taken.
 */
double coil_method_resolution(enum coil_method method, enum coil_quantity quantity);

/*
 * Free chlorine is a part of total chlorine. 1 when one test of both says otherwise by
 * more than half of both steps, or 0.2 mg/L where these are finer (two photometer
 * readings differ so much; common practice, no source): then one of the two is wrong,
 * and nobody can say which. Else 0, also for NaN.
 */
int coil_free_exceeds_total(double free_mg_per_l, double free_step, double total_mg_per_l,
                            double total_step);

/* Colour indicators (strip, drops, comparator, photometer; unknown too) are bleached or
 * shifted by strong chlorine; a probe and a laboratory's electrode are not. 1 or 0. */
int coil_method_is_indicator(enum coil_method method);

#endif
