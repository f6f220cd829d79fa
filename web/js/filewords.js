/*
 * What taking readings from a file says.
 */
export const fileWords = {
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
};
