/*
 * What the Treatment page says.
 */
export const treatmentWords = {
    title: "Treatment: Coilkeep",
    head: "Treatment",
    asking: "Working out a plan …",
    fine: "Everything is inside its range. There is nothing to put in.",
    lead: /** @param {number} n */
        (n) => n === 1 ? "One step brings the water back." : `${n} steps bring the water back.`,
    more: "More steps will follow: do these, test, and ask again.",
    trial: "A trial with your values. Nothing is stored, and no step can be ticked off.",
    trialEnd: "Back to the tested values",
    testFirst: "Test first",
    testFirstLine: "A plan needs values that still hold. To try one out, type values beside.",
    why: {
        never_tested: "not tested yet",
        old: "the last test is too old",
        after_dose: "something was added since",
    },
    needVolume: "Setup must know how much water this is.",
    enterTest: "Enter a test",
    setup: "Open Setup",
    amount: /** @param {string} amount @param {string} product @param {string} strength */
        (amount, product, strength) => `${amount} of ${product}${strength}`,
    strength: /** @param {string} percent */ (percent) => ` (${percent} %)`,
    doses: {
        hydrochloric_acid: /** @param {string} a */
            (a) => `Pour ${a} slowly into deep water, spread wide.`,
        cyanuric_acid: /** @param {string} a */
            (a) => `Hang ${a} in a sock before a return.`,
        sodium_chloride: /** @param {string} a */
            (a) => `Spread ${a} over the pool and brush it.`,
        sodium_hypochlorite: /** @param {string} a */
            (a) => `Pour ${a} slowly before a return, after the heater.`,
        other: /** @param {string} a */
            (a) => `Dissolve ${a} in a bucket of water and spread it over deep water.`,
        granules: /** @param {string} a */ (a) => `Spread ${a} over deep water.`,
        feeder: /** @param {string} a */ (a) => `Feed ${a} after the heater.`,
    },
    part: /** @param {number} n @param {number} of */ (n, of) => `Part ${n} of ${of}.`,
    replace: /** @param {string} volume */
        (volume) => `Drain ${volume} and fill up again, pump and burner off.`,
    aerate: /** @param {string} ph */
        (ph) => `Let the water splash until pH is ${ph}: jets up, features on.`,
    wait: /** @param {string} chlorine */
        (chlorine) => `Wait until free chlorine is down to ${chlorine}.`,
    waitHours: /** @param {number} h */
        (h) => h === 1 ? "Then wait an hour with the pump on."
            : `Then wait ${h} hours with the pump on.`,
    offLine: "Heater off and off line.",
    burnerOff: "Burner off until it is mixed.",
    otherPlace: "At another place than the step before.",
    testAfter: "Test before the next step.",
    changes: /** @param {string} name @param {string} a @param {string} b */
        (name, a, b) => `${name} ${a} → ${b}`,
    surface: "Calcium carbonate index at the hot surface",
    short: /** @param {string} amount */ (amount) => `The shed lacks ${amount} of it.`,
    toBuy: "Not in the shed: to be bought.",
    tick: "Done, log this dose",
    tickOther: "Done",
    ticked: "Done.",
    logged: /** @param {string} clock */ (clock) => `Done and logged at ${clock}.`,
    tickFailed: "It was not logged: ",
    lastStep: "All steps are done. Test the water when it has mixed.",
    under: /** @param {string} moment */
        (moment) => `This plan was made ${moment}. Its ticked steps are logged.`,
    fresh: "Make a new plan",
    print: "Print",
    made: /** @param {string} when @param {boolean} tried */ (when, tried) =>
        `Worked out ${when}, from ${tried ? "values tried on the screen" : "the newest test"}. ` +
        "Where a test shows something else than a step foresaw, print a new one.",
    values: "Values, step by step",
    valuesLine: "Drag the first point or type a value to see what would have to be done.",
    tryValue: /** @param {string} name */ (name) => `Try ${name}`,
    from: /** @param {string} a @param {string} b */ (a, b) => `${a} now, ${b} at the end`,
    drawing: /** @param {string} name @param {string} text */
        (name, text) => `${name}: ${text}`,
    range: /** @param {string} low @param {string} high @param {string} source */
        (low, high, source) => `Wanted ${low} to ${high}, ${source}`,
    noRange: "No range is wanted.",
    sources: {
        own: "own",
        "mil-hdbk-1027-4a": "MIL-HDBK-1027/4A",
        "common practice, no source": "common practice, no source",
    },
    outcomes: {
        not_wanted: "",
        in_range: "In its range.",
        reached: "The steps bring it into its range.",
        after_replace: "Only replacing water brings it down.",
        waits: "It falls by itself.",
        too_small: "Out by less than can be measured out. Leave it.",
        fill_unknown: "Only replacing water brings it down. Test the fill water.",
        fill_too_high: "The fill water itself has too much: replacing does not help.",
        not_reached: "No set of known products brings all values together.",
    },
    replaceLeast: /** @param {string} percent */
        (percent) => `At least ${percent} % of the water would have to be replaced.`,
    saturation: "Calcium carbonate",
    saturationLine: "Above zero it settles as scale, below it dissolves plaster and " +
        "grout. It says nothing about copper.",
    inPool: /** @param {string} a @param {string} b */ (a, b) => `In the pool ${a}, after the steps ${b}.`,
    atSurface: /** @param {string} a @param {string} b @param {string} rise */
        (a, b, rise) => `At the heater’s hot surface ${a}, after the steps ${b}. The ` +
            `surface is taken as ${rise} hotter than the pool`,
    rises: /** @type {Record<string, string>} */ ({
        illustrative: ": an illustration, common practice, no source. Setup takes the " +
            "heater’s efficiency and flow.",
        film: ", as given for the heater.",
        outlet: ": the outlet by the heater’s input, efficiency and flow, the hot wall above " +
            "it an illustration, common practice, no source.",
        heater: ", by the heater’s input, efficiency and flow and the wall as given.",
        own: ".",
    }),
    assumed: /** @param {string} list */
        (list) => `Not tested and taken for none: ${list}.`,
    assumedSalt: /** @param {string} value */
        (value) => `Salt is reckoned from dissolved solids: ${value}.`,
    mind: "Mind",
    fill: "Fill water",
    fillLine: "What comes out of the hose. Kept for this water.",
    fillSave: "Use these values",
    fillForget: "Forget them",
    shed: "The shed",
    shedEmpty: "Nothing is entered. The plan names what to buy.",
    shedAdd: "Add to the shed",
    shedLeft: /** @param {string} amount @param {string} product @param {string} percent */
        (amount, product, percent) => `${amount} of ${product}, ${percent} %`,
    product: "Product",
    left: "Amount left",
    strengthLabel: "Strength of the label",
    labelAs: "as",
    labels: /** @type {Record<string, [string, string][]>} */ ({
        hydrochloric_acid: [["strength_percent", "%"], ["strength_degrees_baume", "°Bé"]],
        sodium_hypochlorite: [["strength_percent", "% (g per 100 mL, trade)"],
            ["strength_available_weight_percent", "% available chlorine by weight"],
            ["strength_hypochlorite_weight_percent", "% sodium hypochlorite by weight"]],
        calcium_chloride: [["strength_percent", "% CaCl2"],
            ["strength_dihydrate_percent", "% dihydrate"]],
    }),
    measure: "Measured out with",
    measures: { "": "not said", scoop: "a scoop", jug: "a jug with marks", scale: "a scale" },
    measureSize: "One scoop, mark or step is",
    counted: {
        scoop: /** @param {string} n @param {string} amount */
            (n, amount) => `${n} ${n === "1" || n === "½" ? "scoop" : "scoops"} (${amount})`,
        jug: /** @param {string} n @param {string} amount */
            (n, amount) => `${amount}, ${n} ${n === "1" ? "mark" : "marks"} of the jug,`,
        scale: /** @param {string} n @param {string} amount */ (n, amount) => amount,
    },
    bought: "Bought on (liquid chlorine ages)",
    boughtHint: "such as 24 Nov",
    storedTemp: "Kept at about",
    agedTo: /** @param {string} percent @param {number} days @param {string} temp
        @param {boolean} isAssumed */
        (percent, days, temp, isAssumed) => `After ${days} ${days === 1 ? "day" : "days"} at ` +
            `${temp}${isAssumed ? " (assumed)" : ""} about ${percent} % is reckoned to be left; ` +
            "plans count with that.",
    dayFault: "That is no day that has been.",
    drift: "If nobody doses",
    driftLead: /** @param {string} from @param {string} low @param {string} high
        @param {number} days */
        (from, low, high, days) => `pH goes from ${from} to between ${low} and ${high} in ` +
            `${days} days, since CO2 leaves the water.`,
    driftSteady: /** @param {string} from @param {number} days */
        (from, days) => `pH stays near ${from} for ${days} days.`,
    driftRests: /** @param {string} depth @param {string} k */
        (depth, k) => `Reckoned for a mean depth of ${depth} and ${k} m of water a day that ` +
            "gives its CO2 off. No rate of a pool is published, so the band is wide; chlorine, " +
            "bathers and rain are not in it.",
    driftFeatures: "Jets and water features",
    driftStirs: /** @type {[string, string][]} */ ([["still", "None"], ["some", "Some"],
        ["strong", "Strong"]]),
    driftFill: "Evaporation is left out: the fill water’s values are not entered.",
    driftNeeds: /** @param {string} names */ (names) => `Test first: ${names}.`,
    driftDepth: "Setup must know volume and surface, or the depth.",
    driftDrawing: "pH over the days ahead",
    volume: "How much water is it? By a known dose",
    volumeLead: "Put in a weighed amount, let it mix for a day, and test before and after " +
        "with the same kit.",
    volumeProduct: "What was put in",
    volumeProducts: /** @type {[string, string][]} */ ([["sodium_chloride", "Salt"],
        ["sodium_bicarbonate", "Baking soda"]]),
    volumeAmount: "How much of it",
    volumeBefore: "Test before",
    volumeAfter: "Test after",
    volumeStep: "Smallest step of the test",
    volumeAsk: "Reckon",
    volumeIs: /** @param {string} volume @param {string} low @param {string} high */
        (volume, low, high) => `About ${volume}, between ${low} and ${high} (95 %).`,
    volumeTake: "Use it in Setup",
    volumeTaken: "Setup holds this volume now; the plan above counts with it.",
    wanted: "Wanted ranges and most of one dose",
    wantedLead: "What plans for this water aim for. The test kit’s label, the pool’s builder " +
        "and the local code come first.",
    wantedOff: "Nothing is wanted",
    wantedLow: "from",
    wantedHigh: "to",
    wantedDefault: /** @param {string} range @param {string} source */
        (range, source) => `Default ${range}, ${source}.`,
    wantedNoDefault: "Default: nothing is wanted.",
    limitsHead: "Most of one dose",
    limitsLead: "More is split into parts with hours between.",
    limitNames: /** @type {Record<string, string>} */ ({
        acid_mg_per_l_caco3: "Acid takes of alkalinity",
        carbonate_mg_per_l_caco3: "Soda ash and stronger bases bring of alkalinity",
        bicarbonate_mg_per_l_caco3: "Baking soda brings of alkalinity",
        calcium_mg_per_l_caco3: "Calcium chloride brings of hardness",
        chlorine_mg_per_l: "A chlorine product brings",
    }),
    limitDefault: /** @param {string} value */
        (value) => `Default ${value}, common practice, no source.`,
    wantedSave: "Save ranges",
    wantedReset: "Back to the defaults",
    wantedSaved: "Saved. The plan is made for these ranges.",
    contradicts: "The low end is above the high end.",
    name: "Own name (may be empty)",
    save: "Save",
    gone: "Used up",
    goneLabel: /** @param {string} name */ (name) => `${name} is used up`,
    failed: "That did not work: ",
    noWater: "No water has these values together. Test again, pH and alkalinity first.",
};
