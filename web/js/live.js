/*
 * Hears from the daemon that something changed, while the page is seen. A hidden page
 * keeps no line open: browsers allow six to one host, and a page that is kept for the back
 * button would lose its place. Without this the page asks once a minute anyway.
 */

/** @param {() => void} onchange */
export function listen(onchange) {
    /** @type {EventSource | null} */
    let source = null;
    const close = () => {
        source?.close();
        source = null;
    };
    const open = () => {
        if (source !== null || document.visibilityState !== "visible" ||
            typeof EventSource === "undefined")
            return;
        source = new EventSource("/api/v1/events");
        source.addEventListener("change", onchange);
        source.addEventListener("error", () => {
            if (source?.readyState === EventSource.CLOSED)
                close(); /* refused: the next look at the page tries again */
        });
    };
    document.addEventListener("visibilitychange", () => {
        if (document.visibilityState === "visible")
            open();
        else
            close();
    });
    addEventListener("pagehide", close);
    addEventListener("pageshow", open);
    open();
}
