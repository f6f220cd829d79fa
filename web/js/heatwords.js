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
};
