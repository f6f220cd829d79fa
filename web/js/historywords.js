/*
 * What the list of entered facts says.
 */
export const historyWords = {
    readings: "Tests",
    doses: "Doses",
    runs: "Runs",
    ran: /** @param {string} machine @param {string} until @param {string} origin */
        (machine, until, origin) => `${machine}, until ${until}${origin}`,
    origins: { logged: "", schedule: " (by its timer)", instrument: " (by an instrument)" },
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
    strength: /** @param {string} n */ (n) => `${n} %`,
};
