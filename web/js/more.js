/*
 * The More page: its text stands in the HTML; only the head comes from the daemon.
 */
import { openPlace } from "./frame.js";

try {
    await openPlace();
} catch (error) {
    console.info(error); /* the text is worth reading without the daemon */
}
