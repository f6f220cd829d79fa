/*
 * What is said of entries that have not reached the house computer yet.
 */
export const outboxWords = {
    label: "Kept on this device",
    waiting: /** @param {number} n @param {string} since */
        (n, since) => `Kept on this device, ${n} waiting since ${since}.`,
    trying: "Sending …",
    byItself: "The house computer does not answer. It is sent by itself as soon as it does.",
    logIn: "Log in to send them",
    loggedOut: "The login has ended. Nothing is lost.",
    now: "Send now",
    list: "What is waiting",
    kept: /** @param {string} what */ (what) => `Kept on this device: ${what}.`,
    allSent: "Everything that was waiting has arrived.",
    limits: "Leave this page open, or open it again at home: without the house computer it " +
        "cannot be opened. Some browsers forget what they keep when nobody opens the page " +
        "for a week.",
    late: "This has waited for more than a day. Copy it, so that it is not lost with this " +
        "device.",
    copy: "To copy",
    line: /** @param {string} when @param {string} what */ (when, what) => `${when}: ${what}`,
    refused: /** @param {string} what */ (what) => `Not taken: ${what}.`,
    conflict: "Somebody changed this entry meanwhile, so yours did not replace it.",
    stands: /** @param {string} what */ (what) => `What stands there now: ${what}.`,
    nothing: "nothing, it was withdrawn",
    again: "Send it again",
    back: "Put it back into the form",
    history: "Look at the history",
    letGo: "Let it go",
};
