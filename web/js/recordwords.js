/*
 * What the Record page says.
 */

export const recordWords = {
    title: "Record: Coilkeep",
    head: "Record",
    heading: /** @param {string} heater @param {string} site */
        (heater, site) => `${heater}, ${site}: the record`,
    stretch: /** @param {string} from @param {string} until */
        (from, until) => `From ${from} to ${until}.`,
    made: /** @param {string} when */
        (when) => `Made ${when} from what was entered. It proves no more than that.`,
    from: "From",
    until: "To",
    dayHint: "1 May 2026",
    whole: "All years",
    year: "Last 365 days",
    show: "Show",
    print: "Print",
    csv: "As a table (CSV)",
    json: "For programs (JSON)",
    endFirst: "The end lies before the start.",
    asking: "Asking the house computer …",
    heater: "Which heater?",

    /* summary */
    summary: "Summary",
    bandLine: /** @param {string} percent @param {number} tested @param {number} days */
        (percent, tested, days) => `On ${percent} of the days that were tested the water was in the heater-safe band (${tested} of ${days} days tested; of the others nothing is known).`,
    bandNone: "The water was never tested in this time, so nothing is known of it.",
    careLine: /** @param {number} done @param {number} skipped */
        (done, skipped) => `${done} ${done === 1 ? "visit" : "visits"} by technician or family, ${skipped} left out.`,
    cleaned: /** @param {string} day @param {string} who */
        (day, who) => `Last cleaning and inspection by a technician: ${day}${who ? `, ${who}` : ""}.`,
    notCleaned: "No cleaning and inspection by a technician is on record in this time.",
    exposureLine: /** @param {string} acid @param {string} strong @param {string} both */
        (acid, strong, both) => `Acid water passed the heater for ${acid}, strong chlorine for ${strong}, both at once for ${both}.`,
    exposureHours: /** @param {string} likely @param {string} least @param {string} most */
        (likely, least, most) => `about ${likely} h (surely ${least}, at most ${most})`,
    exposureSince: /** @param {string} day */
        (day) => `Exposures are told from ${day} on: the last three years.`,
    superLine: /** @param {number} n */
        (n) => n === 0 ? "No super-chlorination." : n === 1 ? "One super-chlorination."
            : `${n} super-chlorinations.`,
    values: "Values",
    valueSaid: /** @param {number} n @param {string} low @param {string} high */
        (n, low, high) => `${n} measured, from ${low} to ${high}.`,
    channel: "The channel is the heater-safe band of the time.",
    valueChart: /** @param {string} name */ (name) => `${name} over the time of the record`,

    /* parts */
    installation: "Installation",
    parts: /** @type {Record<string, string>} */ ({
        name: "Heater", fuel: "Fuel", metal: "Exchanger", bypass: "Bypass",
        input_w: "Rated input", model: "Model", serial: "Serial number",
        installed_on: "Put in on", installed_by: "Put in by",
        manifold_pa: "Manifold pressure on the plate" }),
    fuels: /** @type {Record<string, string>} */ ({
        natural_gas: "natural gas", propane: "propane", electric: "electric",
        heat_pump: "heat pump", unknown: "not known" }),
    metals: /** @type {Record<string, string>} */ ({
        copper: "copper", cupronickel: "cupronickel", stainless: "stainless steel",
        titanium: "titanium", unknown: "not known" }),
    bypasses: /** @type {Record<string, string>} */ ({
        none: "none", full: "can be fully opened", part_open: "always part open" }),
    notKnown: "not known",
    limits: "Limits over time",
    limitNames: /** @type {Record<string, string>} */ ({
        ph_low: "Lowest pH", ph_high: "Highest pH",
        free_chlorine_high: "Most free chlorine", bromine_high: "Most bromine",
        spa_temp_high: "Warmest spa" }),
    limitColumns: ["From", "Limit", "Value", "Where it comes from"],
    noLimit: "none",
    care: "Care",
    noCare: "No visit in this time.",
    flue: "Flue tests",
    flueColumns: ["When", "O₂ dry", "CO air-free", "Net", "Gross", "By"],
    noFlue: "No flue test in this time.",
    flueNever: "Oxygen in range never proves the carbon monoxide safe. Net counts the fuel’s heat without, gross with that of its water vapour.",
    signs: "Noticed",
    noSigns: "Nothing was noticed in this time.",
    exposures: "Exposures",
    exposureColumns: ["From", "To", "What", "Hours"],
    noExposures: "No water outside the band passed the heater, as far as is known.",
    exposureKinds: { both: "acid and strong chlorine at once", low_ph: "acid water",
        high_chlorine: "strong chlorine", standing: ", standing in it",
        severe: ", severe" },
    exposureMore: /** @param {number} n */ (n) => `${n} more are in the files.`,
    exposureUnknown: /** @param {string} hours */
        (hours) => `Of ${hours} hours nothing is known.`,
    open: "goes on",
    supers: "Super-chlorinations and times off line",
    superColumns: ["From", "To", "Heater", "By"],
    noSupers: "None in this time.",
    offLine: /** @param {string} state @param {string} from @param {string} until */
        (state, from, until) => `${state}, ${from} to ${until}`,
    inLine: "stayed in line, as far as was logged",
    states: "States of the heater",
    noStates: "No state was logged in this time, so it counts as in line.",
    stateColumns: ["When", "State", "By"],
    stateNames: /** @type {Record<string, string>} */ ({
        in_line: "in line", off_line_flushed: "off line, flushed",
        off_line_standing: "off line, water standing in it", drained: "drained" }),
    band: "Water in the band, by month",
    bandColumns: ["Month", "Days tested", "In the band", "Percent"],
    bandNote: "A day counts when every test of pH and sanitiser on it was within the limits of that time. Percent is of the days tested.",
    photos: "Photos",
    photoOf: /** @type {Record<string, string>} */ ({ visit: "visit",
        flue_test: "flue test", symptom: "sign", heater: "heater" }),
    loggedBy: "Who logged what",
    loggedColumns: ["Who", "What", "How many"],
    nobody: "nobody said who",
    whats: /** @type {Record<string, string>} */ ({
        readings: "tests of the water", doses: "doses", runs: "runs",
        heater_states: "states of the heater", visits: "visits",
        flue_tests: "flue tests", symptoms: "signs", photos: "photos" }),
    unknown: "What is not known",
    noUnknown: "Nothing that this record asks for is missing.",
    kept: "Corrected and withdrawn entries stay in the house computer’s history and in its exports.",
};
