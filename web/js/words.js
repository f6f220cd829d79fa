/*
 * Everything the pages say, in one place. Short sentences, plain words: a family member
 * must understand them and a technician must find them right.
 *
 * An element with data-words="a.b" in the HTML holds the same text as words.a.b here.
 */

/** A value's name inside a sentence: "free chlorine", but "pH". @param {string} name */
export function inSentence(name) {
    return /^.[A-Z]/.test(name) ? name : name.charAt(0).toLowerCase() + name.slice(1);
}

export const words = {
    permit: {
        run: "May run",
        hold: "Keep off",
        test: "Test first",
        title: /** @param {string} word @param {string} site */
            (word, site) => `${word}: ${site} heater`,
        titleAlone: /** @param {string} word */ (word) => `${word}: heater`,
        untilRun: "Good until ",
        untilMeans: "After that the page says “Test first” until somebody tests.",
        likelyBack: "Likely back ",
        mustConfirm: ". A test must confirm it.",
        between: /** @param {string} a @param {string} b */
            (a, b) => `between ${a} and ${b}`,
        betweenSame: /** @param {string} day @param {string} a @param {string} b */
            (day, a, b) => `${day} between ${a} and ${b}`,
        lastEnded: "The last answer ended ",
        live: /** @param {string} age */ (age) => `Asked ${age}.`,
        trying: /** @param {string} clock */
            (clock) => `Not live since ${clock}. Trying again.`,
        notLive: /** @param {string} clock */ (clock) => `Not live since ${clock}.`,
        holdNotLive: "This may have changed since. Keep the heater off until the page " +
            "is live again.",
        lost: "This page lost the house computer, so its last answer no longer counts.",
        over: "The time of the last answer is over.",
        lostNext: [
            "See that this device is on the home network.",
            "See that the house computer has power.",
            "Until then let a fresh test of the water decide.",
        ],
        overNext: ["Test the water and enter it under Readings."],
        again: "Ask again",
        next: "Next",
        why: "Why",
        also: "Also",
        others: "Other values",
        asking: "Asking the house computer …",
        unreachable: "The house computer does not answer. The page keeps trying.",
        neverTested: "Not tested yet",
        inside: "Inside its channel",
        above: "Above its channel",
        below: "Below its channel",
        nothingWrong: "Nothing speaks against it.",
        noBurner: "Burner",
        enter: "Enter a test",
        limit: /** @param {string} value @param {string} source */
            (value, source) => `Limit ${value}, ${source}`,
        tested: /** @param {string} age @param {string} method */
            (age, method) => method === "" ? `Tested ${age}` : `${method}, ${age}`,
        moreCautions: "These do not change the answer.",
        sign: {
            run: "Green square: heat is allowed.",
            hold: "Red ring with a bar: no heat.",
            test: "Blue disc: test the water.",
        },
    },
    sources: {
        "common practice": "common practice",
        manual: "the heater’s manual",
        own: "your own limit",
    },
    channel: {
        now: "now",
        until: "test by",
        label: /** @param {string} name @param {string} now @param {string} range
            @param {string} walls */
            (name, now, range, walls) =>
                `${name} over the last days: ${range}${now}${walls}`,
        latest: /** @param {string} value */ (value) => `, now ${value}`,
        ranged: /** @param {string} low @param {string} high */
            (low, high) => low === high ? low : `from ${low} to ${high}`,
        none: "no values in these days",
        walls: /** @param {string} low @param {string} high */
            (low, high) => `; channel ${low} to ${high}`,
        upTo: /** @param {string} high */ (high) => `; channel up to ${high}`,
        from: /** @param {string} low */ (low) => `; channel from ${low}`,
    },
    state: {
        heading: "The heater",
        since: /** @param {string} when */ (when) => `since ${when}`,
        unsaid: "Nobody has said yet whether it is in line. It counts as in line.",
        offNow: "Heater is off line now",
        drainedNow: "Heater is drained now",
        backNow: "Heater is back in line",
        ask: "What stands in it?",
        choices: {
            off_line_flushed: ["Flushed", "The pool’s water was rinsed out."],
            off_line_standing: ["Pool water", "It still stands in the heater."],
            drained: ["Drained", "It is empty. It must not fire."],
        },
        in_line: "In line: the pool’s water passes it",
        off_line_flushed: "Off line and flushed",
        off_line_standing: "Off line, pool water stands in it",
        drained: "Drained",
        noted: /** @param {string} state @param {string} clock */
            (state, clock) => `Noted at ${clock}: ${state}.`,
        cancel: "Cancel",
        undoReason: "Taken back at once",
        bypass: /** @param {number} percent */ (percent) => `bypass ${percent} % open`,
        usualBypass: /** @param {number} percent */
            (percent) => `Set the bypass back to ${percent} % open.`,
    },
    undo: {
        button: /** @param {number} seconds */ (seconds) => `Undo (${seconds} s)`,
        done: "Taken back. Nothing of it counts any more.",
        failed: "It could not be taken back here. Use History.",
    },
    clock: {
        jumped: /** @param {string} span */
            (span) => `The clock of the house computer moved by ${span}.`,
        behind: "The clock of the house computer is behind the newest entry.",
        ask: /** @param {string} time */ (time) => `Is it ${time} now?`,
        yes: "Yes, that is the time",
        else: "If not, mend the clock of the house computer first.",
    },
    setupFirst: {
        title: "Set up: Coilkeep",
        word: "Welcome",
        line: "Tell this house computer about the pool and its heater. Three short " +
            "steps, then the first test of the water, then it answers.",
        button: "Start",
        nothingYet: "Nothing is set up yet.",
    },
    demo: "Demo: an invented house, pool and family. Nothing here is real.",
    days: { [-1]: "yesterday", 0: "today", 1: "tomorrow" },
    age: {
        now: "just now",
        minutes: /** @param {number} n */ (n) => `${n} min ago`,
        hours: /** @param {number} n */ (n) => `${n} h ago`,
        days: /** @param {number} n */ (n) => `${n} days ago`,
        months: /** @param {number} n */ (n) => `${n} months ago`,
        years: /** @param {number} n */ (n) => `${n} years ago`,
    },
    span: {
        minutes: /** @param {number} n */ (n) => n === 1 ? "a minute" : `${n} minutes`,
        hours: /** @param {number} n */ (n) => `${n} hours`,
        days: /** @param {number} n */ (n) => `${n} days`,
    },
    methods: {
        unknown: "Not said",
        strip: "Test strip",
        drop_count: "Drop count",
        comparator: "Colour comparator",
        photometer: "Photometer",
        probe: "Probe",
        laboratory: "Laboratory",
    },
    entry: {
        title: "Readings: Coilkeep",
        test: "Test",
        dose: "Dose",
        history: "History",
        file: "File",
        headTest: "Enter a test",
        headDose: "Enter a dose",
        headHistory: "History",
        headFile: "Take readings from a file",
        headCorrect: "Correct a test",
        headCorrectDose: "Correct a dose",
        correcting: /** @param {string} when */ (when) => `The entry of ${when}. ` +
            "The old one stays in the history, struck through.",
        more: "More values",
        last: /** @param {string} value @param {string} age */
            (value, age) => `last ${value}, ${age}`,
        noLast: "no value yet",
        about: /** @param {string} name */ (name) => `About this ${name} value`,
        aboutShort: "About this value",
        overRange: "Beyond the test’s scale (the number is where the scale ends)",
        diluted: "Sample was diluted (the number is already multiplied up)",
        ownMethod: "Tested by",
        sameMethod: "Same as the others",
        method: "How was it tested?",
        by: "Who tested?",
        byDose: "Who added it?",
        when: "When?",
        now: "Now",
        earlier: "Earlier",
        otherTime: "Another time",
        date: "Day",
        dateHint: "today, Tuesday, or 24 Nov",
        time: "Time",
        timeHint: "14:05 or 2:05 pm",
        note: "Note",
        reason: "Why is it corrected?",
        save: "Save test",
        saveDose: "Save dose",
        saveCorrection: "Save correction",
        cancel: "Leave as it was",
        saving: "Saving …",
        saved: /** @param {string} what */ (what) => `Saved: ${what}.`,
        nothing: "Enter at least one value.",
        really: /** @param {string} name @param {string} value */
            (name, value) => `Really ${name} ${value}? That is unusual.`,
        reallyBare: /** @param {string} value */ (value) => `Really ${value}?`,
        yes: /** @param {string} value */ (value) => `Yes, it is ${value}`,
        thousands: /** @param {string} value @param {string} whole */
            (value, whole) => `This reads as ${value}. For ${whole} leave the ` +
                "separator out.",
        converted: /** @param {string} value */ (value) => `= ${value}`,
        impossible: /** @param {string} name @param {string} low @param {string} high */
            (name, low, high) => `${name} lies between ${low} and ${high}.`,
        faults: {
            empty: "Enter a number.",
            not_a_number: "Enter a number, for example 7.4.",
            two_separators: "Two separators in one number. Write it as 7.4 or 7,4.",
            too_large: "This number is too large.",
        },
        seen: /** @param {string} text */ (text) => `“${text}” was typed.`,
        dayFaults: {
            empty: "Enter a day, for example 24 Nov.",
            not_a_date: "This is not a day. Write it like 24 Nov or Tuesday.",
            two_days: "This could be two days. Write the month by its name.",
            in_future: "The day must be today or in the past.",
        },
        timeFaults: {
            empty: "Enter a time, for example 14:05.",
            not_a_time: "This is not a time. Write it like 14:05 or 2:05 pm.",
        },
        twice: "The clocks went back that night, so this hour came twice. Which one?",
        fold: {
            first: "The first time",
            second: "The second time, after the clocks went back",
        },
        summary: "This needs another look",
        errorTitle: /** @param {string} title */ (title) => `Error: ${title}`,
        kept: "The house computer does not answer. Your entry is kept on this device; " +
            "press Save again.",
        effect: "The heater: ",
        goHeater: "See why",
        draft: "An entry from before was kept.",
        clear: "Clear",
        amount: "How much?",
        unit: "Unit",
        product: "What was added?",
        strength: "Strength",
        strengthHint: "as the label says",
        place: "Where did it go in?",
        places: {
            pool: "Into the pool",
            skimmer: "Into the skimmer",
            before_heater: "Into the line before the heater",
            after_heater: "Into the line after the heater",
        },
        placeWarning: {
            skimmer: "From the skimmer it passes the heater at full strength.",
            before_heater: "Before the heater it meets the exchanger at full strength.",
        },
        superChlorination: "This is a super-chlorination",
        groups: { sanitiser: "Chlorine and bromine", acid: "Acid", other: "Other" },
        choose: "Choose …",
        doseSafety: "Add one product at a time, never mixed, as its label says.",
    },
    history: {
        readings: "Tests",
        doses: "Doses",
        states: "Heater",
        none: "Nothing here yet.",
        more: "Show older ones",
        correct: "Correct",
        withdraw: "Withdraw",
        back: "Bring back",
        withdrawn: "Withdrawn",
        was: "Before: ",
        why: /** @param {string} reason */ (reason) => `Reason: ${reason}`,
        noReason: "no reason given",
        by: /** @param {string} who */ (who) => `by ${who}`,
        late: /** @param {string} when */ (when) => `told ${when}`,
        fromFile: "from a file",
        askWithdraw: "Why does it not count?",
        askBack: "Why does it count after all?",
        confirmWithdraw: "Withdraw it",
        confirmBack: "Bring it back",
        changed: "Somebody changed this entry meanwhile. The list is fresh now.",
        superChlorination: "super-chlorination",
        overRange: "beyond the scale",
        diluted: "diluted",
        strength: /** @param {string} n */ (n) => `${n} %`,
    },
    file: {
        lead: "A table with one line for each test: a column for the day, one for each " +
            "value. Saved as CSV by any spreadsheet.",
        choose: "The file",
        looking: "Looking through the file. Nothing is taken yet.",
        rows: /** @param {number} rows @param {number} take @param {number} there
            @param {number} refused */
            (rows, take, there, refused) => {
                const parts = [`${rows} ${rows === 1 ? "line" : "lines"}.`,
                    `${take} can be taken.`];
                if (there > 0)
                    parts.push(`${there} ${there === 1 ? "is" : "are"} already there.`);
                if (refused > 0)
                    parts.push(`${refused} cannot be taken.`);
                return parts.join(" ");
            },
        allOrNothing: "A file is taken whole or not at all. Mend these lines in the " +
            "file, then choose it again.",
        understood: "How the file was understood",
        guessed: "Nothing in the file tells day from month. See that the dates are right.",
        separator: "Between columns",
        separators: { comma: "Comma", semicolon: "Semicolon", tab: "Tab" },
        decimal: "Decimals",
        decimals: { point: "Point: 7.4", comma: "Comma: 7,4" },
        dates: "Dates",
        dateOrders: { ymd: "Year, month, day", dmy: "Day, month, year",
            mdy: "Month, day, year" },
        zone: "Times are of",
        method: "Tested by, where the file does not say",
        columns: "Columns",
        column: "In the file",
        meaning: "Taken as",
        left: "left out",
        lines: "Lines to look at",
        line: "Line",
        verdict: "Verdict",
        verdicts: /** @type {Record<string, string>} */ (
            { refused: "Cannot be taken", doubtful: "Taken, but unusual" }),
        problem: "What about it",
        text: "As written",
        first200: "The first 200 are shown.",
        take: /** @param {number} n */
            (n) => n === 1 ? "Take 1 reading" : `Take ${n} readings`,
        nothing: "There is nothing new in this file.",
        taken: /** @param {number} n */
            (n) => n === 1 ? "Took 1 reading." : `Took ${n} readings.`,
        back: "Take this import back",
        backDone: "The import was taken back.",
        seeTrends: "See the trends",
        backReason: "Import taken back",
        working: "Taking them …",
        roles: /** @type {Record<string, string>} */ ({ date: "Day", time: "Time",
            instant: "Moment", method: "How tested", by: "Who tested", note: "Note" }),
    },
    trends: {
        title: "Trends: Coilkeep",
        head: "Trends",
        spans: { day: "Day", week: "Week", month: "Month", season: "Season",
            year: "Year", all: "All" },
        lastSpans: { day: "in the last day", week: "in the last week",
            month: "in the last month", season: "in the last season",
            year: "in the last year", all: "since the first test", own: "in this time" },
        earlier: "Earlier",
        later: "Later",
        in: "Zoom in",
        out: "Zoom out",
        values: "Values shown",
        none: "No values in this time.",
        noneEver: "No values yet. Enter a test, then its trend is here.",
        now: /** @param {string} value @param {string} age */
            (value, age) => `${value}, ${age}.`,
        range: /** @param {string} low @param {string} high @param {string} span */
            (low, high, span) => low === high ? `Always ${low} ${span}.`
                : `Between ${low} and ${high} ${span}.`,
        never: "Always inside its channel.",
        left: /** @param {number} n @param {string} last @param {string} time */
            (n, last, time) => n === 1
                ? `Outside its channel once, from ${last}, for about ${time}.`
                : `Outside its channel ${n} times, last from ${last}; about ${time} in all.`,
        offLine: "The heater was off line then.",
        ahead: "Right of now: the forecast. The area is where nine of ten tests will lie, if nothing is added.",
        marks: "Super-chlorinations and exposures",
        plan: "Super-chlorination (bar above)",
        exposure: "Water outside the heater’s limits in the heater (bar below)",
        mark: /** @param {string} what @param {string} from @param {string} until */
            (what, from, until) => `${what}: ${from} to ${until}`,
        gaps: /** @param {number} n */
            (n) => n === 1 ? "One gap of more than a week."
                : `${n} gaps of more than a week.`,
        help: "Arrow keys move from point to point, plus and minus zoom, Home and End " +
            "go to the ends. Drag across the drawing to zoom in.",
        chart: /** @param {string} name */ (name) => `Drawing of ${name} over time`,
        point: /** @param {string} when @param {string} value */
            (when, value) => `${when}: ${value}`,
        table: "The same as a table",
        csv: "Save as CSV",
        when: "When",
        states: { off_line_flushed: "off line", off_line_standing: "off line, water in it",
            drained: "drained" },
        legend: "Hatched: outside the channel. Triangle: a dose. Bracket: the heater " +
            "was off line.",
        from: "From",
        until: "To",
        points: /** @param {number} n @param {number} facts */
            (n, facts) => n === facts ? `${n} values.`
                : `${n} points stand for ${facts} values: first, lowest, highest and ` +
                  "last of each short stretch.",
        doses: "Doses in this time",
        moreDoses: "Older ones are under Readings, History.",
        newestDoses: "The newest 500 are marked in the drawings.",
    },
    setup: {
        title: "Setup: Coilkeep",
        head: "Setup",
        first: "Three short steps. Everything can be changed later.",
        step: /** @param {number} n @param {string} name */
            (n, name) => `Step ${n} of 3: ${name}`,
        site: "The house",
        water: "The water",
        heater: "The heater",
        name: "Name",
        nameHint: "as you call the place",
        zone: "Time zone",
        zoneHint: "city of the same time, for example America/New_York",
        place: "Place (optional)",
        placeHint: "for the sun’s position; two decimals are enough",
        latitude: "Latitude",
        longitude: "Longitude",
        units: "Units",
        unitNames: { us: "US: °F, gallons, pounds", si: "Metric: °C, m³, kilograms" },
        ppm: "Say ppm for mg/L",
        comma: "Write 7,4 instead of 7.4",
        by: "Your name (optional)",
        save: "Save",
        saveNext: "Save and go on",
        saved: "Saved.",
        changedMeanwhile: "Somebody changed this meanwhile. The fields now show how it " +
            "stands; look again, then save.",
        kind: "Kind",
        kinds: { pool: "Pool", spa: "Spa" },
        sanitiser: "What keeps it clean?",
        sanitisers: { chlorine: "Chlorine", salt_chlorine: "Chlorine made from salt",
            bromine: "Bromine", biguanide: "Biguanide (no chlorine)" },
        volume: "How much water? (optional)",
        volumeHint: "lets a dose be judged; gallons, litres or m³",
        lining: "Lining",
        linings: { plaster: "Plaster", tile: "Tile", vinyl: "Vinyl",
            fibreglass: "Fibreglass" },
        cover: "Cover",
        covers: { none: "None", bubble: "Bubble cover", solid: "Solid cover",
            automatic: "Automatic cover" },
        fill: "Filled up from",
        fills: { mains: "Mains", well: "Well", rain: "Rain", softened: "Softened water" },
        indoor: "Indoors",
        winter: "Closed for the winter",
        noCya: "No cyanuric acid (stabiliser) is ever added",
        more: "More about it",
        surface: "Surface", depth: "Mean depth",
        fuel: "Fuel",
        fuels: { natural_gas: "Natural gas", propane: "Propane", heat_pump: "Heat pump",
            electric: "Electric" },
        metal: "Metal of the exchanger",
        metals: { unknown: "Not known", copper: "Copper", cupronickel: "Cupronickel",
            stainless: "Stainless steel", titanium: "Titanium" },
        bypass: "Can the water go around it?",
        bypasses: { none: "No bypass: all water goes through",
            full: "Yes: a bypass, normally closed",
            part_open: "Yes: a bypass that is always part open" },
        usual: "Usual opening",
        input: "Rated input (optional)",
        serves: "It heats",
        limits: "Limits of the heater",
        limitsLead: "Take them from the heater’s manual. Many manuals ask for less " +
            "chlorine than common practice does.",
        limitNames: /** @type {Record<string, string>} */ ({
            ph_low: "pH not below", ph_high: "pH not above",
            free_chlorine_high: "Free chlorine not above",
            bromine_high: "Bromine not above", spa_temp_high: "Spa not warmer than" }),
        limitKeys: /** @type {Record<string, string>} */ ({
            ph_low: "ph", ph_high: "ph", free_chlorine_high: "free_chlorine_mg_per_l",
            bromine_high: "bromine_mg_per_l", spa_temp_high: "water_temp_c" }),
        phHighHint: "only if the manual has one; leave empty otherwise",
        source: "from",
        sources: { "common practice": "common practice", manual: "the manual",
            own: "our own" },
        heaterName: "Heater",
        addWater: "Add another water",
        addHeater: "Add another heater",
        done: "Everything is set up.",
        firstTest: "Enter the first test",
        demo: "This is the demo. Changes here last until its folder is removed.",
        zoneUnknown: "Choose a zone from the list, for example Europe/Berlin.",
        required: "This is needed.",
        placeBoth: "Give both latitude and longitude, or neither.",
    },
    superc: {
        title: "Super-chlorination: Coilkeep",
        head: "Super-chlorination",
        asking: "Asking the house computer …",
        running: "A super-chlorination is under way.",
        goOn: "Go on with it",
    },
    treatment: {
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
        assumedRise: ": an illustration, common practice, no source.",
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
        name: "Own name (may be empty)",
        save: "Save",
        gone: "Used up",
        goneLabel: /** @param {string} name */ (name) => `${name} is used up`,
        failed: "That did not work: ",
        noWater: "No water has these values together. Test again, pH and alkalinity first.",
        openPlan: "Open Treatment",
    },
    more: {
        title: "More: Coilkeep",
        head: "More",
    },
    amountOf: /** @param {string} amount @param {string} product */
        (amount, product) => `${amount} of ${product}`,
    failed: "That did not work: ",
    unreachable: "The house computer does not answer.",
    reload: "Load again",
    water: "Water",
};
