/*
 * What the Heat page alone says.
 */

/** @typedef {"temp_c" | "volume_m3" | "surface_m2" | "input_w" | "fuel"} Lack */

export const heatWords = {
    title: "Heat: Coilkeep",
    head: "Heat",

    /* the question */
    wanted: "How warm?",
    day: "By which day?",
    hour: "By what time?",
    ask: "When do I light it?",
    weather: "Weather, cover, water",
    weatherHint: "What you leave empty is assumed, and the range gets wider.",
    night: "Tonight’s low",
    dayHigh: "Tomorrow’s high",
    nowTemp: "Water now",
    nowTempHint: /** @param {string} last */ (last) => `Last reading: ${last}`,
    nowTempNone: "No reading of the last three days",
    wind: "Wind at the water",
    winds: { unsaid: "Not said", still: "Still", light: "Light", windy: "Windy" },
    sky: "Sky",
    skies: { unsaid: "Not said", clear: "Clear", half: "Some cloud", grey: "Overcast" },
    cover: "Cover until then",
    covers: { own: "As usual", none: "No cover", bubble: "Bubble cover",
        solid: "Solid cover" },
    notTemp: "Type a temperature, like 82.",
    pastTime: "That time is over. Take a later one.",
    noHour: "That hour does not exist that day: clocks go forward.",

    /* the answer */
    start: /** @param {string} by @param {string} at */
        (by, at) => `Warm by ${by}: light it ${at}.`,
    now: "now",
    needs: /** @param {string} amount */ (amount) => `It needs ${amount}.`,
    costs: /** @param {string} amount @param {string} price */
        (amount, price) => `It needs ${amount}, ${price}.`,
    safe: /** @param {string} latest @param {string} likely */
        (latest, likely) => `That is the safe start. Likely ${likely} is enough; if all goes well, ${latest}.`,
    tight: "It will be close: the safe start is already over.",
    late: /** @param {string} by @param {string} when */
        (by, when) => `Too late for ${by}. Lit now, it is warm about ${when}.`,
    never: "This heater does not get it that warm within two weeks in this weather.",
    warmAlready: /** @param {string} by */
        (by) => `Warm by ${by} without the heater.`,
    warmLikely: "If it turns colder than that, it may need a little.",
    hold: /** @param {string} amount */
        (amount) => `To keep it there takes about ${amount} a day.`,
    burns: /** @param {string} span */ (span) => `The burner runs about ${span}.`,
    permit: {
        hold: "But the heater must stay off now: see why.",
        test: "But test the water before the heater runs: see why.",
        unknown: "Whether the heater may run could not be asked: look at the Heater page.",
    },
    assumed: /** @param {string} list */ (list) => `Assumed, since nobody said: ${list}.`,
    assumedNames: /** @type {Record<string, string>} */ ({
        air_low_c: "the night’s low",
        air_high_c: "the day’s high",
        wind_m_per_s: "light wind",
        cloud_fraction: "some cloud",
        efficiency: "an efficiency of 80 percent",
        altitude: "air and gas as at sea level",
        place: "no sun, because the place is not set",
    }),
    outOfRange: "Such wind or frost lies outside what the formulas were measured for.",
    lackHead: "First, this is needed:",
    lacks: /** @type {Record<Lack, string>} */ ({
        temp_c: "The water’s temperature now. Type it above, or enter a reading.",
        volume_m3: "The pool’s volume, in Setup.",
        surface_m2: "The pool’s surface or mean depth, in Setup.",
        input_w: "The heater’s rated input from its plate, in Setup.",
        fuel: "A gas or electric heater. What a heat pump gives depends on the air; there is no figure for it here.",
    }),
    toSetup: "Go to Setup",

    /* beside it */
    besideHead: "With and without cover and wind",
    besideColumns: ["Cover", "Wind", "Light it"],
    asked: "as asked",
    windWord: /** @param {number} speed m/s */
        (speed) => speed < 0.8 ? "Still" : speed < 2 ? "Light" : "Windy",
    tooLate: "too late",
    lossHead: "Where the heat goes meanwhile",
    lossColumns: ["", "Share", "On average"],
    losses: /** @type {Record<string, string>} */ ({
        evaporation: "Evaporation",
        convection: "Cold air",
        long_wave: "To the sky",
        make_up: "Cold fill water",
        ground: "Into the ground",
        sun: "Sun, a gain",
    }),
    lossNote: "Computed for this weather, hour by hour; losses through the surface are known to about 30 percent.",
    evaporates: /** @param {string} litres */ (litres) => `${litres} evaporate in an hour.`,

    /* fuel and its price */
    units: /** @type {Record<string, string>} */ ({
        therm: "therms",
        m3: "m³ of gas",
        ft3: "ft³ of gas",
        kwh: "kWh",
        propane_us_gal: "gal of propane",
        propane_l: "L of propane",
    }),
    range: /** @param {string} low @param {string} high @param {string} unit */
        (low, high, unit) => `${low} to ${high} ${unit}`.trim(),
    about: /** @param {string} amount @param {string} unit */
        (amount, unit) => `${amount} ${unit}`.trim(),
    tariffHead: "What fuel costs",
    tariffChange: "Enter the price",
    tariffNone: "Say what a unit costs, and the page shows money too.",
    tariffNow: /** @param {string} price @param {string} unit */
        (price, unit) => `${price} for one of: ${unit}.`,
    tariffUnit: "Unit on the bill",
    price: "Price of one",
    currency: "Currency",
    heating: "Heat of one, MJ",
    heatingHint: "From the bill, if it says so. Empty: the usual.",
    save: "Save",
    saved: "Saved.",
    notNumber: "Type a number, like 1.55.",

    /* efficiency over the years */
    efficiencyHead: "Efficiency over the years",
    pumpEfficiency: "A heat pump gives several times the electricity it takes, more in warm air and less in cold. Its efficiency and its loss are not judged here.",
    noEfficiency: "Not known yet. Log warm-ups, and it shows.",
    efficiencyNow: /** @param {string} percent */
        (percent) => `${percent} percent of the fuel’s heat reaches the water.`,
    alarm: "The heater loses efficiency.",
    alarmDo: "Scale, soot or a worn burner do that. Have a licensed technician look at the burner and the exchanger.",
    lossCosts: /** @param {string} amount */
        (amount) => `At the fuel logged in the last year it costs about ${amount} a year.`,
    efficiencyLabel: "Efficiency of each warm-up over the years, with each season’s mean and its band. The table says the same.",
    efficiencyBand: "Drop: a warm-up. Cross: not used. Line and area: a season’s mean and where it lies with 90 percent.",
    seasonColumns: ["Season", "Mean", "90 percent"],
    logged: /** @param {number} all @param {number} doubted */
        (all, doubted) => `Logged warm-ups: ${all}` +
            (doubted > 0 ? `, ${doubted} with a doubt` : ""),
    older: "Show older ones",
    change: "Correct or withdraw",
    warmUpLacks: "Setup lacks the volume or the rated input. ",

    /* metal */
    metalHead: "Metal in the water",
    metals: /** @type {Record<string, string>} */ ({ copper: "Copper", iron: "Iron" }),
    metalLacks: /** @type {Record<string, string>} */ ({
        tests: "two tests, at least a week apart, are needed.",
        volume_m3: "the pool’s volume is needed, in Setup.",
        sense: "more water went out than such a balance can bear.",
    }),
    metalFound: /** @param {string} name @param {string} grams */
        (name, grams) => `${name}: at least ${grams} g came from somewhere in the system.`,
    metalNone: /** @param {string} name */
        (name) => `${name}: no more than fill water and doses explain. That proves nothing.`,
    metalGrams: /** @param {string} from @param {string} to @param {string} grams @param {string} half */
        (from, to, grams, half) => `From ${from} to ${to}: ${grams} ± ${half} g that nothing explains.`,
    metalCopper: "In a pool that is most often the heater’s exchanger dissolving.",
    metalNote: "A lower bound: plating, filters and sequestrants hide metal. One finding in twenty is chance. A saturation index says nothing about copper.",
    metalAskHead: "Water drained, copper dosed",
    metalAskHint: "Between the two tests. What you leave empty is assumed to be none.",
    metalOut: "Drained, backwashed, splashed out",
    metalDosed: "Copper in products",
    metalDosedHint: "Algaecide: its weight times the percent of copper on the label.",
    metalAsk: "Reckon with these",
    metalAssumed: /** @type {Record<string, string>} */ ({
        out_l: "no water drained or backwashed",
        fill_l: "4 mm of evaporation a day made good",
        fill_mg_per_l: "fill water with little metal",
        dosed_g: "no copper-based product",
    }),
    signs: /** @param {string} list */ (list) => `What speeds it up now: ${list}.`,
    signNames: /** @type {Record<string, string>} */ ({
        larson_skold_high: "a high Larson-Skold ratio (iron and steel)",
        aggressive: "a low aggressive index",
        chloride_high: "much chloride",
        ph_low: "low pH",
        free_chlorine_high: "high chlorine",
    }),

    /* a new warm-up */
    logHead: "Log a warm-up",
    logWhy: "Read the gas meter and the water’s temperature before and after. Mixed water, probe in the shade, other gas appliances off.",
    logOpen: "Enter one",
    logDay: "Day it was lit",
    logStart: "Lit at",
    logEnd: "Off at",
    logEndDay: "Day it went off, if later",
    correctHead: "Correct a warm-up",
    correctSave: "Save the correction",
    why: "Why does it change?",
    whyNeeded: "Say why, for whoever reads the history.",
    withdraw: "Withdraw this warm-up",
    withdrawn: "Withdrawn. It stays in the history and no longer counts.",
    keepAsIs: "Leave it as it is",
    tempBefore: "Water before",
    tempAfter: "Water after",
    meterBefore: "Meter before",
    meterAfter: "Meter after",
    meterUnit: "The meter counts",
    burnerHours: "Or hours it burned",
    logAir: "Air meanwhile",
    logCover: "Cover meanwhile",
    shared: "Other appliances burned on that meter too",
    inSun: "The thermometer was in the sun",
    warmUpSaid: /** @param {string} percent @param {string} flaws */
        (percent, flaws) => `Saved: ${percent} percent. ${flaws}`.trim(),
    changeHead: "Another meter or thermometer",
    changeWhy: "A new one may read otherwise, so a new series begins with it. Nothing is lost.",
    changeWhat: "What was replaced?",
    changeNames: /** @type {Record<string, string>} */ ({ meter: "The gas meter",
        thermometer: "The thermometer" }),
    changeDay: "On which day?",
    changeTime: "At what time?",
    changeTimeHint: "Empty: now if it was today, else the start of that day.",
    changeLine: /** @param {string} at @param {string} what */
        (at, what) => `${at}: ${what.toLowerCase()} was replaced.`,
    takeBack: "Take it back",
    takeBackReason: "Told by mistake",
    changeSave: "Begin a new series",

    checks: {
        head: "Quick checks",
        caution: "For a technician. They need no flue analyser, and none of them proves a heater sound. Work on gas and burner is for a licensed technician.",
        open: "Fill in what you measured",
        meterHead: "Clock the gas meter",
        meterHint: "All other gas appliances off.",
        used: "Gas counted",
        unit: "Counted in",
        seconds: "In seconds",
        step: "Smallest step of the dial",
        riseHead: "Across the heater",
        inlet: "Water in",
        outlet: "Water out",
        flow: "Flow",
        scale: "Scale found, thickness",
        ask: "Check",
        meter: /** @param {string} input @param {string} ratio @param {string} doubt @param {string} verdict */
            (input, ratio, doubt, verdict) => `It burns ${input}, ${ratio} ± ${doubt} percent of the rating plate: ${verdict}.`,
        rise: /** @param {string} rise @param {string} expected @param {string} verdict */
            (rise, expected, verdict) => `The water rises by ${rise}; the rated output would give ${expected}: ${verdict}.`,
        verdicts: {
            as_rated: "as rated",
            under: "too little",
            over: "too much",
            above_physics: "more than the fuel holds, so a measurement is wrong",
        },
        condenses: /** @param {string} below */
            (below) => `Flue gas condenses on the exchanger: its metal is ${below} below the dew point. Fine for a minute after lighting, bad for a day.`,
        dry: /** @param {string} above */
            (above) => `The exchanger stays dry, ${above} above the flue gas’s dew point.`,
        dewPoint: { given: "By the dew point you gave.",
            usual: "By a usual dew point, since no flue test tells the real one." },
        dewPointOf: /** @param {string} day */
            (day) => `By the dew point of the flue test of ${day}.`,
        scaleLoss: /** @param {string} percent @param {string} rise */
            (percent, rise) => `Such scale costs about ${percent} percent of the fuel and makes the metal some ${rise} hotter. An order of magnitude: the table is of steam boilers.`,
        short: /** @param {string} rate @param {string} minutes */
            (rate, minutes) => `Short cycling: ${rate} runs an hour of ${minutes} min, by the logged runs.`,
        notShort: /** @param {string} age @param {string} runs */
            (age, runs) => `No short cycling in the logged runs (${runs} that day, the last ${age}).`,
        nothing: "Nothing to check: fill in a part.",
        none: "None of this replaces a flue test.",
    },
};
