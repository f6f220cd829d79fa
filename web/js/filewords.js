/*
 * What only the Files page says; other pages need not load it.
 */

/** @param {number} n @param {string} one @param {string} many */
const count = (n, one, many) => `${n.toLocaleString("en")} ${n === 1 ? one : many}`;

export const fileWords = {
    title: "Files: Coilkeep",
    takeIn: "Take in",
    download: "Download",
    headTake: "Take readings from a file",
    headGive: "Download what is kept here",
    lead: "A table with one line for each test: a column for the day, one for each " +
        "value. Saved as CSV by any spreadsheet. First you see what would be taken.",
    choose: "The file",
    pasteHead: "Or paste a table",
    paste: "The table, its line of names first",
    pasteLook: "Look through it",
    pasteName: "pasted",
    pasteNothing: "Nothing is pasted yet.",
    looking: "Looking through the file. Nothing is taken yet.",
    working: "Taking them …",
    sending: "On its way to the house computer …",
    far: /** @param {number} rows @param {string} percent */
        (rows, percent) => `${count(rows, "line", "lines")}, ${percent} %`,
    stop: "Stop",
    stopped: "Stopped. Nothing was taken.",
    stoppedLook: "Stopped. This is how it stands now.",
    rows: /** @param {{rows: number, take: number, already_there: number,
        refused: number}} report */
        (report) => {
            const parts = [`${count(report.rows, "line", "lines")}.`,
                `${report.take.toLocaleString("en")} can be taken.`];
            if (report.already_there > 0)
                parts.push(`${count(report.already_there, "is", "are")} already there.`);
            if (report.refused > 0)
                parts.push(`${report.refused.toLocaleString("en")} cannot be taken.`);
            return parts.join(" ");
        },
    tooLarge: "A file may have 64 MiB. Cut this one into years.",
    unreadable: "This device could not read the file. Was it moved or changed? Choose " +
        "it again.",
    allOrNothing: "A file is taken whole or not at all. Mend these lines in the file, " +
        "then choose it again.",
    understood: "How the file was understood",
    guessed: "Nothing in the file tells day from month. See that the days are right " +
        "below; else change the order of dates.",
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
    unit: "In",
    unitOf: /** @param {string} value */ (value) => `Unit of ${value}`,
    left: "left out",
    lines: "Lines to look at",
    line: "Line",
    verdict: "Taken?",
    verdicts: /** @type {Record<string, string>} */ (
        { refused: "Cannot be taken", doubtful: "Taken, but unusual" }),
    takeIt: "Take?",
    takes: /** @type {Record<string, string>} */ ({ take: "Yes", refused: "No",
        doubtful: "Unusual", already_there: "There already" }),
    problem: "What about it",
    text: "As written",
    first200: "the first 200",
    preview: /** @param {number} n */
        (n) => n === 1 ? "The first line as understood"
            : `The first ${n} lines as understood`,
    when: "When",
    take: /** @param {number} n */
        (n) => `Take ${count(n, "reading", "readings")}`,
    nothing: "There is nothing new in this file.",
    taken: /** @param {{take: number, already_there: number}} report */
        (report) => `Took ${count(report.take, "reading", "readings")}.` +
            (report.already_there > 0
                ? ` ${count(report.already_there, "was", "were")} already there.` : ""),
    back: "Take this import back",
    backDone: "The import was taken back.",
    seeTrends: "See the trends",
    backReason: "Import taken back",
    roles: /** @type {Record<string, string>} */ ({ date: "Day", time: "Time",
        instant: "Moment", method: "How tested", by: "Who tested", note: "Note",
        details: "Details of values" }),
    give: {
        lead: "Everything of one kind, oldest first, in one file. A file of tests can be " +
            "taken in again as it is.",
        what: "What?",
        whats: /** @type {[string, string][]} */ ([["readings", "Tests"],
            ["doses", "Doses"], ["runs", "Pump and burner"],
            ["heater-states", "Heater states"]]),
        period: "From when?",
        periods: /** @type {[string, string][]} */ ([["all", "Everything"],
            ["month", "Last 30 days"], ["year", "This year"], ["before", "Last year"]]),
        form: "For what?",
        forms: /** @type {[string, string][]} */ ([["spreadsheet", "A spreadsheet"],
            ["plain", "Programs: CSV"], ["json", "Programs: JSON"]]),
        link: "Download",
        noHeater: "This water has no heater.",
    },
};
