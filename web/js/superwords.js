/*
 * What only the Super-chlorination page says; the Heater page need not load it.
 */
export const superWords = {
    lead: "The heater goes off line first. Then the dose. It comes back when a test says so.",
    leadNoHelp: "Super-chlorination will not help this water.",
    testFirst: "Test first: without these values nobody can say how much.",
    lacks: {
        ph: "pH",
        free_chlorine_mg_per_l: "Free chlorine",
        combined_chlorine_mg_per_l: "Combined chlorine, or total chlorine with free chlorine",
        volume_m3: "How much water this is (Setup)",
    },
    startAnyway: "To take the heater off line now and test later, start all the same.",
    startMeans: "Once started, the Heater page says Keep off until a test confirms the water, or the plan is abandoned.",
    start: "Start: heater off line",
    started: "Started",
    tick: "Done",
    tickDose: "Dosed: log it",
    tickConfirm: "The test shows it: confirm",
    ticked: "Ticked off.",
    doneBy: /** @param {string} when @param {string} who */
        (when, who) => `Done ${when}, ${who}`,
    othersFirst: "After the four steps above.",
    holdNote: /** @param {string} when @param {string} who */
        (when, who) => `Keep off since ${when} (${who}). Nobody turns the heater on before a test has confirmed the water.`,
    phases: {
        planned: "1. Heater off line",
        heater_off_line: "2. Make ready and dose",
        dosed: "3. Mix",
        coming_down: "4. Test and confirm",
    },
    backAt: /** @param {string} a @param {string} b @param {string} c */
        (a, b, c) => `Chlorine is likely down at the heater’s ceiling ${b}; at the earliest ${a}, at the latest ${c}.`,
    unknownTime: "at a time that cannot be said",
    mustConfirm: "A test must confirm it.",
    cannotSay: "When it may come back cannot be said: test first.",
    howMuch: "How much",
    level: /** @param {string} level @param {string} dose */
        (level, dose) => `Bring free chlorine to ${level}: a dose of ${dose}.`,
    combined: "Combined chlorine",
    stoichiometric: "Used up by stoichiometry, at least",
    trade: "Ten times combined chlorine",
    hocl: "For enough working chlorine",
    notTested: "cyanuric acid not tested",
    phSpent: "pH once it is spent",
    pump: "Pump runs at least",
    hours: /** @param {string} h */ (h) => `${h} hours`,
    with: "With what?",
    amount: /** @param {string} amount @param {string} product @param {string} percent */
        (amount, product, percent) => `${amount} of ${product} (${percent} %)`,
    inShed: ", from the shed",
    notEnough: ", from the shed: not enough there",
    ways: "This heater has no bypass",
    waysMean: "What each way does to it, before anything is dosed:",
    way: "Way",
    wayHours: "Hours outside its limits",
    wayWeighted: "Weighted hours",
    wayRemains: "What remains",
    least: "least harm",
    sooner: "Coming down sooner",
    soonerBy: /** @param {string} drop */
        (drop) => `A neutraliser for ${drop} too much. How much it takes is only known as a range:`,
    agent: /** @param {string} name @param {string} low @param {string} high
        @param {string} field @param {string} first */
        (name, low, high, field, first) => `${name}: ${low} to ${high}, usually ${field}. First ${first}, then test.`,
    alkalinity: /** @param {string} loss */
        (loss) => `Costs up to ${loss} of alkalinity.`,
    backSteps: "Bringing it back",
    backOnly: "Only after a test has confirmed the water:",
    disagree: "If the test disagrees",
    disagreeText: "Enter it all the same. The forecast learns from it and gives a new time.",
    abandonHead: "Abandon this plan",
    abandonMeans: "Then the permit follows the tests alone again.",
    reason: "Why?",
    reasonFirst: "Say why first.",
    abandon: "Abandon it",
    abandoned: "Abandoned.",
    log: "What was done",
    logLine: /** @param {string} when @param {string} who @param {string} what */
        (when, who, what) => `${when}, ${who}: ${what}`,
    courseIf: "Free chlorine, if it is dosed now",
    courseNow: "Free chlorine from now on",
    courseLabel: /** @param {string} ceiling @param {string} start */
        (ceiling, start) => `Predicted free chlorine, from ${start} down past the heater’s ceiling of ${ceiling}.`,
    courseBand: "The area is where nine of ten tests will lie. Hatched: above the heater’s ceiling.",
};
