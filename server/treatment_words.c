#include "treatment_words.h"

#include <stdbool.h>
#include <stdio.h>

const char *treatment_kind_key(enum coil_step_kind kind)
{
    static const char *const keys[] = {"replace", "dose", "aerate", "wait"};

    return keys[kind];
}

const char *treatment_outcome_key(enum coil_aim_outcome outcome)
{
    static const char *const keys[] = {"not_wanted",    "in_range",      "reached",
                                       "after_replace", "waits",         "too_small",
                                       "fill_unknown",  "fill_too_high", "not_reached"};

    return keys[outcome];
}

const char *treatment_rise_source(enum treatment_rise rise)
{
    static const char *const sources[] = {
        "illustrative; common practice, no source",
        "film given for the heater; its outlet is not reckoned",
        "outlet from the heater's input, efficiency and flow; film illustrative, "
        "common "
        "practice, no source",
        "outlet from the heater's input, efficiency and flow; film given for the "
        "heater",
        "own",
    };

    return sources[rise];
}

void treatment_clash(enum coil_aim aim, double limit, char out[TREATMENT_CLASH_SIZE])
{
    if (aim == COIL_AIM_PH)
        snprintf(
            out, TREATMENT_CLASH_SIZE,
            "The pH wanted reaches below %.4g, this heater's limit: such water must "
            "not pass the heater.",
            limit);
    else
        snprintf(
            out, TREATMENT_CLASH_SIZE,
            "The chlorine wanted reaches above %.4g mg/L, this heater's limit: such "
            "water must not pass the heater.",
            limit);
}

const char *const treatment_always[] = {
    "The label and the local code come first.",
    "Never mix two products, wet or dry, and never use one's scoop for another.",
    "Wear gloves and goggles; open doors and windows where products are stored.",
    "Keep bathers out until everything is mixed and tested.",
    NULL,
};

struct caution {
    enum coil_product product;
    const char *text;
};

/* Common practice, no source; labels say the same. */
static const struct caution products[] = {
    {COIL_HYDROCHLORIC_ACID,
     "Acid goes into water, never water into acid. Stand upwind of its fumes."},
    {COIL_HYDROCHLORIC_ACID,
     "Pour it slowly and far apart, at the deep end, never through the skimmer."},
    {COIL_SODIUM_BISULFATE,
     "Dissolve it first: acid into a bucket of water, never the other way."},
    {COIL_CARBON_DIOXIDE,
     "The gas gathers in low rooms and takes the breath: air them."},
    {COIL_SODIUM_CARBONATE,
     "Dissolve it in a bucket of water first; it grows hot. Spread it over the pool."},
    {COIL_SODIUM_HYDROXIDE,
     "It grows very hot: little by little into much cold water, never the other way."},
    {COIL_CALCIUM_CHLORIDE, "It grows hot in water: little by little into a full "
                            "bucket, never the other way."},
    {COIL_CYANURIC_ACID_PRODUCT,
     "It dissolves over days: hang it in a sock before a return, not in the skimmer."},
    {COIL_SODIUM_HYPOCHLORITE, "Pour it slowly before a return, after the heater."},
    {COIL_CALCIUM_HYPOCHLORITE, "Dissolve it first: product into water. Moisture or "
                                "dirt in its drum starts fires."},
    {COIL_LITHIUM_HYPOCHLORITE, "Spread it over deep water; keep its drum dry."},
    {COIL_DICHLOR, "Spread it over deep water; keep its drum dry."},
    {COIL_TRICHLOR,
     "Only in a feeder after the heater, never in the skimmer: its water is acid."},
    {COIL_CHLORINE_GAS, "Only trained people may handle chlorine gas."},
    {COIL_SODIUM_THIOSULFATE, "How much it takes differs. Put half in, test, then the "
                              "rest if it is still needed."},
};

static void put(const char **out, size_t *count, const char *text)
{
    if (*count < TREATMENT_CAUTIONS_MAX)
        out[(*count)++] = text;
}

size_t treatment_cautions(const struct coil_treatment_step *step,
                          const char *out[TREATMENT_CAUTIONS_MAX])
{
    size_t count = 0, i;

    if (step->kind == COIL_STEP_REPLACE)
        put(out, &count,
            "Never empty a pool: an empty shell in the ground can float up or crack, "
            "and a vinyl liner shrink when it is drained far. Burner and pump off.");
    for (i = 0; step->kind == COIL_STEP_DOSE && i < sizeof products / sizeof *products;
         i++)
        if (products[i].product == step->product)
            put(out, &count, products[i].text);
    if (step->other_place)
        put(out, &count,
            "Acid and chlorine make poison gas: hours apart, another place, other "
            "tools.");
    if (step->heater == COIL_STEP_HEATER_OFF_LINE)
        put(out, &count,
            "Heater off and off line: the water is outside its limits in this step.");
    if (step->kind == COIL_STEP_AERATE)
        put(out, &count,
            "Jets up, water features on: CO2 leaves and pH rises. Test each day.");
    if (step->kind == COIL_STEP_WAIT)
        put(out, &count,
            "Light and time take chlorine down. Take covers off and test each day.");
    return count;
}
