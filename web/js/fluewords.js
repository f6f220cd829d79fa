/*
 * What flue tests say, on the Care page and in the Record.
 */

export const flueWords = {
    head: "Flue tests",
    tab: "Flue tests",
    lead: /** @param {string} day @param {string} gross @param {string} co */
        (day, gross, co) => `On ${day}: efficiency ${gross} of the gross heat, ${co} carbon monoxide free of excess air.`,
    leadCo: /** @param {string} day @param {string} co */
        (day, co) => `On ${day}: ${co} carbon monoxide free of excess air.`,
    leadUnsampled: /** @param {string} day */
        (day) => `On ${day}: cared for without numbers.`,
    none: "No flue test is on record.",
    noBurner: "This heater has no burner, so there is no flue gas to test.",
    never: "Oxygen in range never proves the carbon monoxide safe. Both are measured, every time.",
    holds: "This test keeps the heater off: shut it down, let fresh air in, call a licensed technician. Only a technician’s later test ends that.",
    resultsHead: "What it says",
    columns: ["", "Value", "±"],
    plusMinus: "± holds 95 of 100 times, from the instrument’s accuracy alone. Losses of the jacket and of standing by are not in it.",
    noAccuracy: "The instrument’s accuracy was not given, so no ± is told.",
    names: /** @type {Record<string, string>} */ ({
        o2_percent: "Oxygen, dry, measured",
        co_ppm: "Carbon monoxide, dry, measured",
        flue_temp_c: "Flue temperature, measured",
        stack_k: "Flue above the air",
        excess_air_percent: "Excess air",
        co2_percent: "Carbon dioxide, dry",
        loss_net_percent: "Flue loss, of the net heat",
        efficiency_net_percent: "Efficiency, net",
        efficiency_gross_percent: "Efficiency, gross",
        co_air_free_ppm: "Carbon monoxide, air-free",
        co_co2_ratio: "Carbon monoxide to carbon dioxide",
        dew_point_c: "Flue dew point",
    }),
    net: "net: of the heat without that of the fuel’s water vapour",
    fuel: /** @param {string} name @param {string} co2 */
        (name, co2) => `Fuel: ${name}, at most ${co2} % carbon dioxide in its dry flue gas.`,
    fuels: /** @type {Record<string, string>} */ ({
        natural_gas: "natural gas", propane: "propane" }),
    changeHead: "Since the test before",
    changes: /** @param {string} o2 @param {string} co @param {string} stack */
        (o2, co, stack) => `Oxygen ${o2}, carbon monoxide air-free ${co}, flue temperature ${stack}.`,
    ways: /** @type {Record<string, string>} */ ({
        falling: "falling", rising: "rising", steady: "steady within the instrument",
        unknown: "not known" }),
    plate: /** @param {string} off */
        (off) => `Manifold pressure ${off} from the rating plate.`,
    driftHead: "Over the years",
    driftFew: /** @param {number} n */
        (n) => n === 1 ? "One test: no drift can be told." : `${n} tests: too few to tell a drift from chance; five in one direction can.`,
    driftSaid: /** @param {string} way @param {string} slope @param {number} percent */
        (way, slope, percent) => `${way}, about ${slope} a year. A burner that does not drift would be called so ${percent} of 100 times.`,
    driftSteady: /** @param {number} percent */
        (percent) => `No drift seen. The rule calls a steady burner drifting ${percent} of 100 times.`,
    band: /** @param {string} low @param {string} high */
        (low, high) => ` Between ${low} and ${high} a year.`,
    capital: /** @type {Record<string, string>} */ ({ falling: "Falling", rising: "Rising" }),
    chart: /** @param {string} name */ (name) => `${name} of each test`,
    point: /** @param {string} day @param {string} value */ (day, value) => `${day}: ${value}`,
    limitNote: "The wall at 400 ppm air-free is where the heater is kept off.",
    testsHead: "Tests so far",
    unsampled: "cared for without numbers",
    sooted: "soot seen",
    rolled: "flames outside the burner seen",
    foundSafe: "found safe",
    foundUnsafe: "found not safe",
    notSteady: "not at steady state: its numbers count for nothing but carbon monoxide",

    /* entry */
    enterHead: "Enter a flue test",
    how: "Sample before the draught hood, where air from the room has not mixed in, and at steady state: the burner on until the flue temperature stands still, ten minutes or more.",
    wellSampled: "Sampled before the draught hood, at steady state",
    sampled: "Can this heater be sampled?",
    sampleds: /** @type {[string, string][]} */ ([
        ["yes", "Yes, with an analyser"], ["no", "It cannot be sampled"]]),
    o2: "Oxygen, dry",
    co: "Carbon monoxide, dry",
    flueTemp: "Flue temperature",
    airTemp: "Temperature of the air to the burner",
    draught: "Draught",
    draughtHint: "below zero when it draws",
    manifold: "Manifold pressure",
    manifoldHint: "compared with the rating plate alone",
    accuracyHead: "Accuracy of the instrument",
    accuracyHint: "From its papers: all five, or none and no uncertainty is told. Kept on this device.",
    accuracy: /** @type {Record<string, string>} */ ({
        o2_percent: "Oxygen, ± points", co_ppm: "Carbon monoxide, ± ppm",
        co_percent: "Carbon monoxide, ± percent", flue_temp_k: "Flue temperature, ±",
        air_temp_k: "Air temperature, ±" }),
    soot: "Soot was seen",
    rollout: "Flames outside the burner were seen",
    foundSafeAsk: "What does the tester say?",
    foundSafes: /** @type {[string, string][]} */ ([
        ["", "Nothing about it"], ["yes", "Found safe"], ["no", "Not safe"]]),
    technician: "A licensed technician did it",
    doneBy: "Who tested?",
    instrument: "Instrument",
    loggedBy: "Who logs it?",
    why: "Write into the note why it cannot be sampled.",
    save: "Save flue test",
    saved: /** @param {string} day */ (day) => `Flue test, ${day}`,
    notTemp: "Type a temperature, like 430.",

    /* rating plate */
    plateHead: "Rating plate",
    plateLead: "As the plate on the heater says it. Nothing is taken from elsewhere.",
    model: "Model",
    serial: "Serial number",
    installedOn: "Put in on",
    installedHint: "12 May 2020",
    installedBy: "Put in by",
    manifoldPlate: "Manifold pressure",
    condensing: "It is a condensing unit",
    cannotBeSampled: "It cannot be sampled",
    gas: "Gas",
    gases: /** @type {[string, string][]} */ ([
        ["", "The heater’s fuel"], ["own", "Our own gas"]]),
    gasName: "Its name",
    gasCo2: "Most carbon dioxide in its dry flue gas",
    gasCo2Hint: "as the gas supplier says",
    siegert: "Most like",
    sieger: /** @type {[string, string][]} */ ([
        ["gas", "Natural gas"], ["lpg", "Propane and butane"], ["coke_gas", "Coke-oven gas"]]),
    gasMixed: "The gas is kept as a mix; it stays as it is.",
    platePut: "Save the plate",
    plateSaved: "The rating plate is kept.",

    /* photos */
    addPhoto: "Add a photo",
    photoHint: "JPEG or PNG, up to 10 MB. Place, time and camera are taken out before it is kept.",
    photoSent: "The photo is kept.",
    photoLarge: "This file is larger than 10 MB.",
    photosHead: "Photos",
    photoOf: /** @param {string} day */ (day) => `Photo of ${day}`,
};
