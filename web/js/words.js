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
        effect: "The heater: ",
        overRange: "beyond the scale",
        diluted: "diluted",
        openLine: "See it on Line",
        openTreatment: "Open Treatment",
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
        published: "published safety limit",
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
        backHolds: "This water would harm the heater now. Leave it off line until a test shows that the water is back.",
        backUntested: "No test says yet that this water may pass the heater. Test first.",
        backAllTheSame: "It is back in line all the same",
        leaveOff: "Leave it off line",
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
    superc: {
        title: "Super-chlorination: Coilkeep",
        head: "Super-chlorination",
        asking: "Asking the house computer …",
        running: "A super-chlorination is under way.",
        goOn: "Go on with it",
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
