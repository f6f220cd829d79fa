/*
 * What the form for an inspection says; it is loaded only where one is asked for.
 */
export const inspectionWords = {
    heading: "Inspection by a technician",
    means: "A technician has to look inside the heater. Clear water proves nothing. Nobody in the house can stand in for that.",
    open: "Log an inspection",
    technician: "Who inspected it?",
    technicianHint: "Name of the technician or of the firm",
    result: "What was found?",
    mayRun: "It may run",
    mustNot: "It must not run",
    note: "Note",
    save: "Save the inspection",
    saving: "Saving …",
    saved: "The inspection is logged.",
    nameFirst: "Say who inspected it.",
    resultFirst: "Say what was found.",
};
