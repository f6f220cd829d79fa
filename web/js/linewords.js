/*
 * What only the Line page says. Sentences about faults come from the daemon.
 */

/** @type {Record<string, string>} */
const KINDS = {
    skimmer: "Skimmer", main_drain: "Main drain", suction_cleaner: "Suction cleaner",
    pump: "Pump", strainer: "Strainer", filter: "Filter", heater: "Heater", pipe: "Pipe",
    bypass: "Bypass pipe", tee: "Tee", two_way_valve: "Valve",
    three_way_valve: "Three-way valve", check_valve: "Check valve",
    flow_switch: "Flow switch", solar_collector: "Solar collector",
    erosion_feeder: "Tablet feeder", salt_cell: "Salt cell",
    skimmer_tablets: "Tablets in the skimmer", strainer_tablets: "Tablets in the strainer",
    floating_dispenser: "Floating dispenser", chlorine_injection: "Chlorine injection",
    acid_injection: "Acid injection", ozone_unit: "Ozone unit", uv_unit: "UV unit",
    return: "Return", spa_spillway: "Spa spillway",
};

/** @type {Record<string, string>} */
const POSITIONS = { normal: "Normal", heater_off_line: "Heater off line", spa: "Spa",
    cleaning: "Cleaning" };

/** @type {Record<string, string>} */
const SETTINGS = { open: "open", closed: "closed", on: "on", off: "off",
    a: "only way 1", b: "only way 2" };

export const lineWords = {
    title: "Line: Coilkeep",
    head: "Line",
    asking: "Reading the line …",
    partsHead: "Parts, in the order of flow",
    kind: /** @param {string} kind */ (kind) => KINDS[kind] ?? kind,
    positionName: /** @param {string} kind */ (kind) => POSITIONS[kind] ?? kind,
    settingName: /** @param {string} kind @param {string} to */
        (kind, to) => kind === "three_way_valve" && to === "open" ? "both ways open"
            : SETTINGS[to] ?? to,
    settingOf: /** what the drawing says @param {string} kind @param {string} to */
        (kind, to) => to === "" || to === "open" && kind !== "three_way_valve" ||
            to === "on" ? kind === "two_way_valve" ? "open" : ""
            : kind === "three_way_valve" && to === "open" ? "both ways"
                : SETTINGS[to] ?? to,
    groups: /** @type {[string, string[]][]} */ ([
        ["Water comes in", ["skimmer", "main_drain", "suction_cleaner"]],
        ["Pump and filter", ["strainer", "pump", "filter", "uv_unit"]],
        ["Heat", ["heater", "flow_switch", "solar_collector", "bypass"]],
        ["Pipes and valves", ["pipe", "two_way_valve", "check_valve"]],
        ["Feeds chlorine, acid or ozone", ["erosion_feeder", "salt_cell",
            "skimmer_tablets", "strainer_tablets", "floating_dispenser",
            "chlorine_injection", "acid_injection", "ozone_unit"]],
        ["Water goes back", ["return", "spa_spillway"]],
    ]),
    ways: "Ways side by side",
    wayKinds: /** @type {[string, string][]} */ ([
        ["ways", "Two ways (tee to tee)"],
        ["ways3", "Two ways, three-way valve first"],
        ["3ways", "Two ways into a three-way valve"]]),

    /* list */
    empty: "Nothing is described yet. Begin with the arrangement that is most like yours, or add the parts one by one, as the water meets them.",
    emptyLead: "Which way does the water go? Describe the pipes once, and every part that could harm the heater is named.",
    presets: {
        plain: ["Pump, filter, heater", "One pipe, nothing beside it."],
        bypass: ["With a bypass", "Valves before and after the heater, and a way around."],
        salt: ["Bypass and salt cell", "The cell after the heater, behind a check valve."],
        feeder: ["Bypass and tablet feeder", "The feeder after the heater, behind a check valve."],
        injection: ["Bypass and metering pumps", "Acid and chlorine after the heater, apart."],
        spa: ["Pool and spa", "Three-way valves choose which water goes round."],
        solar: ["Solar, then gas", "A three-way valve sends water to the roof first."],
    },
    names: { heater_in: "Heater inlet valve", heater_out: "Heater outlet valve",
        bypass_valve: "Bypass valve", pool_drain: "Pool drain", spa_drain: "Spa drain",
        pool_return: "Pool return", spa_return: "Spa return" },
    presetHead: "Begin with an arrangement",
    presetAgain: "Begin again with an arrangement",
    presetTaken: /** @param {string} name */
        (name) => `${name}: put in. Flows, sizes and lengths are guesses: replace them with yours.`,
    guess: "Flows, sizes and lengths that came with it are guesses: replace them with yours.",
    listHelp: "From the pool to the pool, in the order of flow. Move a part and see at once what it does to the water in the heater; nothing is saved until you save.",
    divides: "Water divides", dividesThree: "Three-way valve: water divides",
    joinsSources: "Waters come together",
    way: /** @param {number} n */ (n) => `Way ${n}`,
    wayOne: "way 1 begins here",
    joins: "The ways join", joinsThree: "The ways join in a three-way valve",
    up: /** @param {string} name */ (name) => `Move up: ${name}`,
    down: /** @param {string} name */ (name) => `Move down: ${name}`,
    edit: "Edit", shut: "Close",
    editOf: /** @param {string} name */ (name) => `Edit ${name}`,
    closeOf: /** @param {string} name */ (name) => `Close ${name}`,
    handle: "Drag to another place",
    place: /** @param {string} name @param {number} at @param {number} of */
        (name, at, of) => `${name}: place ${at} of ${of}`,
    cannot: "It cannot go further that way.",
    remove: /** @param {string} name */ (name) => `Take out: ${name}`,
    removed: /** @param {string} name */ (name) => `${name} taken out.`,
    removeWays: "Take the ways apart; their parts stay",
    add: "Add a part", addWhat: "What", addAfter: "After", addFirst: "at the very beginning",
    addButton: "Add", added: /** @param {string} name */ (name) => `${name} added.`,
    addWay: "Add another way",
    undo: "Undo", redo: "Redo", undone: "Undone.", redone: "Done again.",
    noMore: "There is nothing more to undo.",

    /* fields */
    fields: /** @type {Record<string, string>} */ ({
        name: "Name, if it needs one", size: "Nominal size", material: "Pipe of",
        length_m: "Length", volume_l: "Water it holds", flow_l_per_s: "Flow",
        min_flow_l_per_s: "Least flow, on its plate",
        max_flow_l_per_s: "Greatest flow, on its plate",
        rate_g_per_h: "Feeds", current_a: "Current", cell_count: "Cells in a row",
        efficiency_fraction: "Efficiency of the current", before_g: "Tablets weighed before",
        after_g: "Tablets weighed after", interval_s: "Pump ran between the two",
        strength_percent: "Chlorine in the tablets", share: "Share of the flow in this way",
        flow_fraction: "Pump’s flow in this position",
        basis: "How much it feeds", product: "What it feeds",
    }),
    hints: /** @type {Record<string, string>} */ ({
        rate_g_per_h: "Available chlorine, or pure acid.", volume_l: "Empty if not known.",
        flow_fraction: "100 % is the flow given for the pump.",
        share: "Any numbers in proportion; empty if not known.",
        min_flow_l_per_s: "Empty if not known.", max_flow_l_per_s: "Empty if not known.",
    }),
    materials: /** @type {[string, string][]} */ ([["plastic", "plastic"], ["copper", "copper"]]),
    bases: /** @type {Record<string, string>} */ ({ unknown: "not known",
        rate: "known in grams an hour", current: "from the cell’s current",
        weighed: "tablets weighed before and after" }),
    interlocked: "Wired so that it feeds only while water flows",
    flowProof: "The heater has its own flow proof",
    dividesBy: "Water divides in", joinsBy: "The ways join in",
    teeOr: /** @type {[string, string][]} */ ([["tee", "a tee"],
        ["three_way_valve", "a three-way valve"]]),
    whereTo: "Where its water goes", goesOn: "On to the next row",
    alsoTo: "Also to", addLink: "Add this", removeLink: /** @param {string} name */
        (name) => `Not to ${name}`,
    ports: /** @type {[string, string][]} */ ([["common", "common port"], ["a", "way 1"],
        ["b", "way 2"]]),
    fromPort: "From its", toPort: "Into its",
    notANumber: "Not a number.", needed: "Needed.",

    /* positions */
    positionHead: "Valve position", settingHead: /** @param {string} name */
        (name) => `How valves and pumps stand: ${name}`,
    onPaper: /** @param {string} name @param {boolean} drawn @param {string[]} set */
        (name, drawn, set) => `Valve position ${name}${drawn ? " (drawn)" : ""}: ${
            set.length === 0 ? "everything open, pump on" : `${set.join(", ")}; the rest open`}.`,
    noValves: "No valve or pump to set.",
    addPosition: "Add a position", addPositionButton: "Add position",
    removePosition: /** @param {string} name */ (name) => `Remove the position “${name}”`,
    burner: "The burner may fire in this position",

    /* drawing */
    drawing: "Drawing of the line",
    drawingLabel: /** @param {string[]} parts */
        (parts) => `Drawing of the line in the order of flow: ${parts.join(", ")}.`,
    loopTo: /** @param {number} n */ (n) => `to ${n}`,
    loopFrom: /** @param {number} n */ (n) => `from ${n}`,
    legend: "Full pipe: water moves. Broken pipe: it stands. Filled valve: shut. A numbered diamond and the line beside the pipe: a fault, as numbered below.",

    /* bar */
    saved: "Saved.", notSavedYet: "Not saved.",
    neverSaved: "Not saved yet.",
    save: "Save", discard: "Discard", discarded: "Changes discarded.",
    savedSaid: "The line is saved.",
    keptDraft: "Changes from before are still here, not saved.",
    conflict: "Somebody else has saved this line meanwhile. Yours is still here; load theirs, or save yours over it.",
    loadTheirs: "Load theirs", saveOver: "Save mine over it",
    barHeater: /** @param {string} chlorine @param {string} ph */
        (chlorine, ph) => `In the heater: ${chlorine} chlorine, pH ${ph}`,
    barUnknown: /** @param {string} line */ (line) => `${line}, and a feed that is not known`,
    barNoPh: /** @param {string} chlorine */
        (chlorine) => `In the heater: ${chlorine} chlorine added by the feed`,
    barUntested: "In the heater: the pool’s water, which was not tested",
    barNone: "In the heater: not known yet",
    barNoFlow: "No water moves through the heater in this position",

    /* answer */
    wellLead: "All is well: nothing that harms the heater comes before it.",
    wellMeans: "In the valve positions above, and as far as this is true:",
    faultLead: /** @param {number} n */
        (n) => n === 1 ? "One thing is wrong with this line." : `${n} things are wrong with this line.`,
    noStop: "Nothing in it stops the heater; it should be mended all the same.",
    stops: "It keeps the heater off until it is mended and saved.",
    cannotJudge: "The line cannot be judged yet:",
    notAnswered: "The house computer does not answer; the numbers are from before.",
    stale: "These answers belong to the line as it was last judged.",
    showIt: "Show me",
    faultsHead: "What is wrong", mend: "Smallest change:",
    severity: { stop: "Keeps the heater off", risk: "Risk", care: "Good practice" },
    onPaperOnly: /** @param {number} n */
        (n) => `On paper the first ${n}, without the reasons. The page shows all.`,
    byHand: "No button can do this: the place or the number is yours to know. Change it in the list, and the answer changes at once.",
    doIt: "Do this change", doItOf: /** @param {number} n */
        (n) => `Do this change for fault ${n}`,
    done: "Changed in the draft. Undo takes it back.",
    shown: /** @param {string} names */ (names) => `In position: ${names}.`,
    isValue: /** @param {string} v @param {string} l */ (v, l) => `It is ${v}; the limit is ${l}.`,
    way_: /** @param {string} names */ (names) => `The way: ${names}`,
    moreFaults: /** @param {number} n */ (n) => `And ${n} more.`,
    inHeater: "The water in the heater", inPipe: "while the pump runs and the feeders feed",
    chlorine: "Free chlorine", ph: "pH", poolSays: /** @param {string} v */
        (v) => `pool ${v}`,
    addedSays: /** @param {string} v */ (v) => `feed adds ${v}`,
    limitSays: /** @param {string} v */ (v) => `limit ${v}`,
    wasSays: /** @param {string} v */ (v) => `as saved: ${v}`,
    atLeast: "without the feed that is not known",
    beyond: "outside the heater’s limits", inside: "inside the heater’s limits",
    noTests: "The pool’s pH, chlorine or alkalinity was never tested: what the heater gets can only be told as what the feed adds.",
    unknownFeed: /** @param {number} n */
        (n) => n === 1 ? "One feeder’s amount is not known: it is not in these numbers."
            : `${n} feeders’ amounts are not known: they are not in these numbers.`,
    fedSays: /** @param {string} all @param {string} heater */
        (all, heater) => `Fed ${all} in all, of it ${heater} through the heater.`,
    stoppedHead: "After the pump stops",
    stoppedSays: /** @param {string} hours @param {string} l */
        (hours, l) => `When the pump stands for ${hours} hours and the feed goes on, ${l} of strong water stand in pipes and parts. On restart it passes the heater:`,
    stoppedNone: "No feed that goes on while the pump stands can reach the heater.",
    spread: "If it has spread in the standing water", close: "If it stayed at the feeder",
    slug: /** @param {string} peak @param {string} grams @param {string} seconds */
        (peak, grams, seconds) => `up to ${peak}, ${grams} of chlorine within ${seconds}`,
    slugNone: "nothing of it passes the heater", slugUnknown: "not known",
    slugStill: /** @param {string} peak @param {string} grams */
        (peak, grams) => `up to ${peak}, ${grams} of chlorine`,
    beyondConstants: " (stronger than what was ever measured: about)",
    slugPh: /** @param {string} ph */ (ph) => `, pH ${ph}`,
    saturated: ", as strong as water can dissolve",
    flush: /** @param {string} time */
        (time) => `Flush the line through the bypass for ${time} before the heater comes in.`,
    noFlush: "How long to flush cannot be said: no valve position takes the heater off line, or the water was not tested. Until then the heater stays out.",
    stayOut: "The heater must stay out: what goes on feeding is itself too strong for it.",
    stoppedUnknown: /** @param {string} hours */
        (hours) => `When the pump stands for ${hours} hours a feeder goes on, but how strong the water becomes is not known.`,
    needVolume: "Say how much water the parts between feeder and heater hold.",
    someWater: "an unknown amount",
    notComputed: "The flow cannot be computed here: open valves close a circle.",
    extrapolated: "This water lies outside what the chemistry was measured for: take it as about.",
    hours: "How long the pump stands", hoursOf: /** @param {number} n */
        (n) => n === 1 ? "1 hour" : n % 24 === 0 && n > 24 ? `${n / 24} days` : `${n} hours`,
    seconds: /** @param {string} n */ (n) => `${n} s`, minutes: /** @param {string} n */
        (n) => `${n} min`,
    flowHead: "How fast it flows",
    flowPart_: "Part", flowColumn: "Flow", speedColumn: "Speed", lossColumn: "Pressure loss",
    reynolds: "Reynolds number", copper: /** @param {string} v */
        (v) => `copper bears ${v}`,
    notesHead: "What other valve positions would do",
    assumeHead: "What this takes for granted",
    cautionHead: "Before you open anything",
    cautions: [
        "Turn pump and heater off and relieve the pressure before you open the line.",
        "Never mix two kinds of chlorine, nor chlorine with acid.",
        "Keep everybody out of the water when the pump restarts after a stopped feed.",
        "Local codes come first.",
        "Bonding and interlocks are work for a licensed electrician.",
    ],
};
