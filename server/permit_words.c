#include "permit_words.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lib/film.h"
#include "line_words.h"

static const char *const numbers[] = {"",     "once",   "two",   "three", "four",
                                      "five", "six",    "seven", "eight", "nine",
                                      "ten",  "eleven", "twelve"};

void permit_times(double factor, char *out, size_t size)
{
    double near = floor(factor + 0.5);
    double over = factor - near;

    if (!(factor < 1e6))
        snprintf(out, size, "more than a million times");
    else if (factor < 1.35)
        snprintf(out, size, "above");
    else if (factor < 1.7)
        snprintf(out, size, "one and a half times");
    else if (near > 12.0)
        snprintf(out, size, "about %.0f times", near);
    else if (near == 2.0)
        snprintf(out, size, "%stwice",
                 over < -0.05  ? "almost "
                 : over > 0.05 ? "more than "
                               : "");
    else
        snprintf(out, size, "%s%s times",
                 over < -0.05  ? "almost "
                 : over > 0.05 ? "more than "
                               : "",
                 numbers[(int)near]);
}

static void age_words(int64_t age_s, char *out, size_t size)
{
    if (age_s < 0)
        snprintf(out, size, "an unknown time");
    else if (age_s < 7200)
        snprintf(out, size, "%d minutes", (int)(age_s / 60));
    else if (age_s < 2 * 86400)
        snprintf(out, size, "%d hours", (int)(age_s / 3600));
    else
        snprintf(out, size, "%d days", (int)(age_s / 86400));
}

static const char *sanitiser_word(const struct coil_permit_facts *facts)
{
    return facts->sanitiser == COIL_SANITISER_BROMINE ? "bromine" : "free chlorine";
}

/* "pH", or the sanitiser's name: whatever the finding is about. */
static const char *value_word(const struct coil_finding *finding,
                              const struct coil_permit_facts *facts)
{
    return strncmp(finding->rule, "ph_", 3) == 0 ? "pH" : sanitiser_word(facts);
}

static bool can_isolate(const struct coil_permit_facts *facts)
{
    return facts->bypass != COIL_BYPASS_NONE;
}

static const char *keep_away(const struct coil_permit_facts *facts)
{
    if (facts->heater_state != COIL_HEATER_IN_LINE)
        return "Leave the heater off line until a test shows the water is back.";
    return can_isolate(facts)
               ? "Turn the heater off, let it cool, and take it off line."
               : "Turn the burner off and run the pump only as long as mixing needs.";
}

static void say_acid(const struct coil_finding *finding, char *out, size_t size)
{
    char times[48];

    permit_times(finding->factor, times, sizeof times);
    if (strcmp(times, "above") == 0)
        snprintf(out, size, "The water is more acidic than the heater's limit.");
    else
        snprintf(out, size, "The water is %s as acidic as the heater's limit.", times);
}

static void say_strong(const struct coil_finding *finding, const char *what, char *out,
                       size_t size)
{
    char times[48];

    permit_times(finding->factor, times, sizeof times);
    snprintf(out, size, "%s is %s the heater's limit.", what, times);
}

static void say_old(const struct coil_finding *finding,
                    const struct coil_permit_facts *facts, bool at_wall, char *out,
                    size_t size)
{
    const char *what = value_word(finding, facts);
    char age[32];

    age_words(finding->age_s, age, sizeof age);
    if (at_wall)
        snprintf(
            out, size,
            "The last %s was close to its limit and is %s old; it counts for two days.",
            what, age);
    else
        snprintf(out, size, "The last %s is %s old; it counts for seven days.", what,
                 age);
}

static void say_hot(const struct coil_finding *finding, bool us_units, char *out,
                    size_t size)
{
    double scale = us_units ? 1.8 : 1.0, zero = us_units ? 32.0 : 0.0;

    snprintf(out, size, "The spa is at %.1f %s; its limit is %.0f %s.",
             finding->value * scale + zero, us_units ? "°F" : "°C",
             finding->limit * scale + zero, us_units ? "°F" : "°C");
}

/* "+0.6 ± 0.2": an index is never known to more than a digit. */
static void put_index(const struct coil_finding *finding, char *out, size_t size)
{
    snprintf(out, size, "%+.1f ± %.1f", finding->index,
             fmax(finding->index_half_width, 0.1));
}

static void say_scale(const struct coil_finding *finding,
                      const struct coil_permit_facts *facts, bool us_units, char *out,
                      size_t size)
{
    const bool is_known = facts->surface_rise_k > 0;
    double rise_k = is_known ? facts->surface_rise_k : COIL_FILM_RISE_DEFAULT_K;
    char index[32];

    put_index(finding, index, sizeof index);
    snprintf(out, size,
             "Heated %.0f %s more at a hot surface, this water may drop scale: calcium "
             "carbonate index %s. How hot the surface gets is %s, not measured.",
             us_units ? rise_k * 1.8 : rise_k, us_units ? "°F" : "°C", index,
             is_known ? "reckoned from the heater" : "assumed");
}

static void say_dissolves(const struct coil_finding *finding, char *out, size_t size)
{
    char index[32];

    put_index(finding, index, sizeof index);
    snprintf(
        out, size,
        "This water slowly dissolves plaster and grout: calcium carbonate index %s.",
        index);
}

/* Rules whose sentence needs no number. */
struct fixed_words {
    const char *rule, *text, *next;
};

static const char call_technician[] =
    "Shut the heater down, let fresh air in and call a licensed technician. Only the "
    "technician's later test ends this.";

static const struct fixed_words fixed[] = {
    {"gas_smell", "Gas was smelled at the heater.",
     "Leave first: touch no switch and light nothing. Call the gas emergency line from "
     "outside. A technician's test ends this."},
    {"flame_rollout", "Flames came out of the heater.", call_technician},
    {"soot_seen", "Soot was seen at the heater.", call_technician},
    {"clock_jumped",
     "The clock of this house computer was moved, so no age can be trusted.",
     "Check the time shown and confirm it."},
    {"clock_behind", "The clock of this house computer is behind the newest entry.",
     "Set the clock right, then confirm it."},
    {"winter_closed", "The pool is closed for the winter.",
     "Reopen the water in Setup when the season begins."},
    {"heater_drained", "The heater is drained. A dry heater must never fire.",
     "Fill it and bring it back in line as its manual says, then note it here."},
    {"heater_off_line",
     "The heater is off line. It must not fire without water flowing through.",
     "Bring it back in line when a test shows the water is right, then note it here."},
    {"standing_water", "Pool water stands in the heater while it is off line.",
     "Flush it with good water or drain it, with the heater off and cold."},
    {"clock_unsynchronised", "No time server sets this computer's clock.",
     "Compare the time shown on this page with a good clock."},
    {"ph_high", "pH is high: scale settles on the heater's hot surface.",
     "Lower pH in small steps, with the pump running."},
    {"sanitiser_low",
     "The water has little sanitiser. That harms bathers, not the heater.",
     "Dose as the label says, after the heater, and test again."},
    {"alkalinity_low", "Alkalinity is low: pH may turn acid between two tests.",
     "Raise alkalinity before the next acid dose."},
    {"combined_chlorine_high",
     "Combined chlorine is high: the water needs super-chlorination.",
     "Take the heater off line first, then super-chlorinate."},
    {"copper_present", "The water holds copper. A dissolving exchanger is one cause.",
     "Test the fill water too, and have the heater looked at if it holds less."},
    {"cyanuric_acid_high", "Cyanuric acid is high: chlorine works slowly.",
     "Only replacing water brings it down."},
    {"ph_missing", "pH has not been tested.", "Test pH."},
    {"ph_over_manual", "pH is above the limit of the heater's manual.",
     "Lower pH in small steps and test again."},
    {"plan_running",
     "A super-chlorination is under way. The heater stays off line until a test shows "
     "that the water is back.",
     "Go on with the plan on the page Super-chlorination, or abandon it there."},
    {"exposure_severe",
     "Acid water and strong chlorine were in the heater at once. It stays off until a "
     "technician has inspected it.",
     "Have the heater inspected by a technician, then log it here. Clear "
     "water proves nothing."},
    {"inspection_failed", "The last inspection found that the heater must not run.",
     "Have it repaired by a technician, inspected again, and log that inspection."},
    {"low_ph_and_high_sanitiser",
     "Strong chlorine and acid water at once: together they strip the exchanger.",
     NULL},
};

static const struct fixed_words *fixed_of(const char *rule)
{
    size_t i;

    for (i = 0; i < sizeof fixed / sizeof fixed[0]; i++)
        if (strcmp(fixed[i].rule, rule) == 0)
            return &fixed[i];
    return NULL;
}

static const char dilute[] =
    "Mix one part of the water with nine parts of distilled water, test the "
    "sanitiser, multiply by ten, and mark the value as diluted. Dilution never works "
    "for pH.";

static bool ends_in(const char *text, const char *end)
{
    size_t length = strlen(text), tail = strlen(end);

    return length >= tail && strcmp(text + length - tail, end) == 0;
}

/* Is the doubted value one of free chlorine above total chlorine? */
static bool exceeds_total(const struct coil_finding *finding,
                          const struct coil_permit_facts *facts)
{
    const struct coil_history *free = &facts->history[COIL_FREE_CHLORINE];

    for (size_t i = 0; i < free->count; i++)
        if (facts->now_s - free->newest[i].at_s == finding->age_s &&
            coil_permit_total_below(facts, &free->newest[i]) != NULL)
            return finding->quantity == COIL_FREE_CHLORINE;
    return false;
}

/* Tests that are due. */
static void say_due(const struct coil_finding *finding,
                    const struct coil_permit_facts *facts, struct permit_words *out)
{
    const char *what = value_word(finding, facts);
    bool is_ph = strcmp(what, "pH") == 0;

    out->next = is_ph ? "Test pH again." : "Test the sanitiser again.";
    if (ends_in(finding->rule, "_missing")) {
        snprintf(out->text, sizeof out->text, "%s has not been tested.",
                 facts->sanitiser == COIL_SANITISER_BROMINE ? "Bromine"
                                                            : "Free chlorine");
        out->next = "Test the sanitiser.";
    } else if (ends_in(finding->rule, "_doubted") && is_ph) {
        snprintf(out->text, sizeof out->text,
                 "The last pH was taken in strong chlorine, which upsets the colour.");
        out->next = "Test pH again when chlorine is down, or use a probe.";
    } else if (ends_in(finding->rule, "_doubted") && exceeds_total(finding, facts)) {
        snprintf(out->text, sizeof out->text,
                 "The last test shows more free chlorine than total chlorine. That "
                 "cannot be, so neither counts.");
        out->next = "Test free and total chlorine again, with fresh reagents.";
    } else if (ends_in(finding->rule, "_doubted")) {
        snprintf(out->text, sizeof out->text,
                 "The last %s cannot be trusted: the test may be bleached or off its "
                 "scale.",
                 what);
        out->next = dilute;
    } else if (ends_in(finding->rule, "_may_have_left")) {
        char age[32];

        age_words(finding->age_s, age, sizeof age);
        snprintf(
            out->text, sizeof out->text,
            "By this pool's forecast %s may have left the band since its last test, "
            "%s ago.",
            what, age);
    } else if (ends_in(finding->rule, "_after_dose")) {
        snprintf(out->text, sizeof out->text,
                 "Something was added since %s was last tested.", what);
        out->next = is_ph ? "Let the pump mix it, then test pH."
                          : "Let the pump mix it, then test the sanitiser.";
    } else {
        say_old(finding, facts, ends_in(finding->rule, "_at_wall"), out->text,
                sizeof out->text);
    }
}

static bool is_of_line(const struct coil_finding *finding)
{
    return strncmp(finding->rule, "line_", 5) == 0;
}

/* The worst fault speaks; the page Line lists all of them. */
static void say_line(const struct coil_finding *finding,
                     const struct coil_permit_facts *facts, struct permit_words *out)
{
    static const enum coil_line_change changes[COIL_LINE_FAULT_COUNT] = {
#define X(name, key, severity, side, change) [name] = change,
        COIL_LINE_FAULT_LIST(X)
#undef X
    };
    const struct coil_line_stops *stops =
        finding->is_caution ? &facts->line_risks : &facts->line_stops[finding->side];
    enum coil_line_fault_code code = (enum coil_line_fault_code)stops->first;
    const char *text = line_fault_text(code);

    if (text[0] == '\0') { /* a fault of a later version */
        snprintf(out->text, sizeof out->text,
                 "Something in the line harms the heater.");
        return;
    }
    out->next = line_change_text(changes[code]);
    if (stops->count == 1)
        snprintf(out->text, sizeof out->text, "%s", text);
    else
        snprintf(out->text, sizeof out->text, "%s Line shows %d faults like this one.",
                 text, stops->count);
}

/* Why a good test of the same day did not end it. */
static void say_day_only(struct permit_words *out)
{
    size_t used = strlen(out->text);

    snprintf(out->text + used, sizeof out->text - used,
             " This test was noted without a time, so only a test of a later day, or its "
             "time added on Readings, can clear it.");
}

void permit_words(const struct coil_finding *finding,
                  const struct coil_permit_facts *facts, bool us_units,
                  struct permit_words *out)
{
    const struct fixed_words *words = fixed_of(finding->rule);

    out->next = keep_away(facts);
    if (words != NULL) {
        snprintf(out->text, sizeof out->text, "%s", words->text);
        if (words->next != NULL)
            out->next = words->next;
    } else if (is_of_line(finding)) {
        say_line(finding, facts, out);
    } else if (strcmp(finding->rule, "ph_low") == 0) {
        say_acid(finding, out->text, sizeof out->text);
    } else if (strcmp(finding->rule, "free_chlorine_high") == 0) {
        say_strong(finding, "Chlorine", out->text, sizeof out->text);
    } else if (strcmp(finding->rule, "bromine_high") == 0) {
        say_strong(finding, "Bromine", out->text, sizeof out->text);
    } else if (strcmp(finding->rule, "spa_too_hot") == 0) {
        say_hot(finding, us_units, out->text, sizeof out->text);
        out->next = "Keep people out, and the burner off, until the water is cooler.";
    } else if (strcmp(finding->rule, "flue_co_high") == 0) {
        snprintf(out->text, sizeof out->text,
                 "The flue gas held %.0f ppm carbon monoxide, air-free. Above 400 a "
                 "burner stays off.",
                 facts->co_air_free_ppm);
        out->next = call_technician;
    } else if (strcmp(finding->rule, "cleaning_overdue") == 0) {
        snprintf(out->text, sizeof out->text,
                 "The yearly cleaning of the heater is overdue by %d %s.",
                 (int)facts->cleaning_overdue_days,
                 facts->cleaning_overdue_days == 1 ? "day" : "days");
        out->next = "Call a technician, then note the visit on the page Care.";
    } else if (strcmp(finding->rule, "scale_at_hot_surface") == 0) {
        say_scale(finding, facts, us_units, out->text, sizeof out->text);
        out->next = "Lower pH or alkalinity; Treatment says by how much.";
    } else if (strcmp(finding->rule, "lining_dissolves") == 0) {
        say_dissolves(finding, out->text, sizeof out->text);
        out->next = "Raise calcium or alkalinity; Treatment says by how much.";
    } else {
        say_due(finding, facts, out);
    }
    if (finding->day_only && finding->permit == COIL_HOLD)
        say_day_only(out);
}

/* Allowed, but the band's upper end for pH or the hot surface speaks: then the water is
 * not simply "inside". */
static bool verdict_warns_of_scale(const struct coil_verdict *verdict)
{
    for (size_t i = 0; i < verdict->finding_count; i++) {
        const char *rule = verdict->findings[i].rule;

        if (strcmp(rule, "ph_high") == 0 || strcmp(rule, "scale_at_hot_surface") == 0)
            return true;
    }
    return false;
}

void permit_headline(const struct coil_verdict *verdict,
                     const struct coil_permit_facts *facts, bool us_units, char *out,
                     size_t size)
{
    size_t i;

    for (i = 0; i < verdict->finding_count; i++) {
        const struct coil_finding *finding = &verdict->findings[i];
        struct permit_words words;

        if (finding->is_caution || finding->permit != verdict->permit)
            continue;
        permit_words(finding, facts, us_units, &words);
        snprintf(out, size, "%s", words.text);
        return;
    }
    snprintf(out, size, "%s",
             verdict_warns_of_scale(verdict)
                 ? "The water does not attack the heater, but it may leave scale in it."
                 : "The water is inside the heater-safe band.");
}

static void step(const char **out, size_t *count, const char *text)
{
    if (*count < PERMIT_STEPS_MAX)
        out[(*count)++] = text;
}

static bool speaks(const struct coil_verdict *verdict, const char *rule)
{
    for (size_t i = 0; i < verdict->finding_count; i++)
        if (strcmp(verdict->findings[i].rule, rule) == 0)
            return true;
    return false;
}

static const char off_everywhere[] =
    "Turn the heater off at its own control and at every timer and remote.";

static void steps_off_line(const struct coil_permit_facts *facts, const char **out,
                           size_t *count)
{
    step(out, count, off_everywhere);
    step(out, count, "Let the pump run until the heater is cool, as its manual says.");
    if (can_isolate(facts)) {
        step(out, count,
             "Open the bypass, then close both heater valves; the heater must be off "
             "and cool.");
        step(out, count,
             "Flush or drain what stands in it, and say here that it is off line.");
    } else {
        step(out, count,
             "This heater has no bypass: run the pump only as long as mixing needs.");
    }
}

/* Which tests are due, in one step. */
static const char *test_step(const struct coil_verdict *verdict)
{
    bool ph = false, sanitiser = false;
    size_t i;

    for (i = 0; i < verdict->finding_count; i++) {
        const struct coil_finding *finding = &verdict->findings[i];

        if (finding->is_caution || finding->permit != COIL_TEST ||
            ends_in(finding->rule, "_doubted")) /* has a step of its own */
            continue;
        ph = ph || strncmp(finding->rule, "ph_", 3) == 0;
        sanitiser = sanitiser || strncmp(finding->rule, "sanitiser_", 10) == 0;
    }
    if (ph && sanitiser)
        return "Test pH and the sanitiser.";
    return ph ? "Test pH." : sanitiser ? "Test the sanitiser." : NULL;
}

/* The worst finding of a side that is no hold of values has its own next step. */
static void steps_of_findings(const struct coil_verdict *verdict,
                              const struct coil_permit_facts *facts, const char **out,
                              size_t *count)
{
    size_t i, k;

    for (i = 0; i < verdict->finding_count; i++) {
        const struct coil_finding *finding = &verdict->findings[i];
        struct permit_words words;
        bool is_new = true;

        if (finding->is_caution || strstr(finding->rule, "_missing") != NULL ||
            strstr(finding->rule, "_old") != NULL ||
            ends_in(finding->rule, "_may_have_left"))
            continue;
        permit_words(finding, facts, false, &words);
        for (k = 0; k < *count; k++)
            is_new = is_new && strcmp(out[k], words.next) != 0;
        if (is_new && words.next != keep_away(facts))
            step(out, count, words.next);
    }
}

/* What brings the water back; NULL when its values hold nothing. A fault of the line is
 * no matter of the water. In strong chlorine pH cannot be tested, so pH comes first
 * only where it is pH that holds. */
static const char *bring_back_step(const struct coil_verdict *verdict)
{
    const char *found = NULL;

    for (size_t i = 0; i < verdict->finding_count; i++) {
        const struct coil_finding *finding = &verdict->findings[i];

        if (finding->is_caution || finding->side != COIL_WATER_SIDE ||
            finding->permit != COIL_HOLD || is_of_line(finding))
            continue;
        if (strncmp(finding->rule, "ph_", 3) == 0)
            return "Bring the water back, pH first, and test again.";
        found = "Bring the water back, and test again.";
    }
    return found;
}

size_t permit_steps(const struct coil_verdict *verdict,
                    const struct coil_permit_facts *facts,
                    const char *out[PERMIT_STEPS_MAX])
{
    const char *test = test_step(verdict), *bring_back = bring_back_step(verdict);
    size_t count = 0;

    if (facts->gas_smell_at_s != 0) { /* nobody stays to do anything else */
        step(out, &count, fixed_of("gas_smell")->next);
        return count;
    }
    if (verdict->water_side == COIL_HOLD) {
        if (facts->heater_state == COIL_HEATER_IN_LINE)
            steps_off_line(facts, out, &count);
        if (bring_back != NULL)
            step(out, &count, bring_back);
    }
    if (verdict->water_side != COIL_HOLD &&
        (speaks(verdict, "exposure_severe") || speaks(verdict, "inspection_failed")))
        step(out, &count, off_everywhere);
    steps_of_findings(verdict, facts, out, &count);
    if (test != NULL)
        step(out, &count, test);
    return count;
}
