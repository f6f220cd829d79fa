/*
 * Every route of the API, with what a call must bring. docs/api.md describes them in the
 * same order; a test proves that both agree.
 */
#include "api.h"
#include "router.h"

#define FACT_QUERIES(subject) subject " limit before from until history"
#define CREATES (ROUTE_CHANGES | ROUTE_KEY | ROUTE_JSON_BODY)
#define REPLACES (ROUTE_CHANGES | ROUTE_MATCH | ROUTE_JSON_BODY)
#define SUPERSEDES (CREATES | ROUTE_MATCH)
/* No key: its answer would be kept, secret and all; a second call does no harm. */
#define LOOKS_AT_SECRET (ROUTE_CHANGES | ROUTE_OUTSIDE_TRANSACTION | ROUTE_JSON_BODY)

#define FACT_ROUTES(path, handlers, subject)                                           \
    {"GET", "/api/v1/" path, ROUTE_READS, api_##handlers##_list,                       \
     FACT_QUERIES(subject)},                                                           \
        {"POST", "/api/v1/" path, CREATES, api_##handlers##_create, NULL},             \
        {"GET", "/api/v1/" path "/{id}", ROUTE_READS, api_##handlers##_get, NULL},     \
        {"POST", "/api/v1/" path "/{id}/correction", SUPERSEDES,                       \
         api_##handlers##_correct, NULL},                                              \
    {                                                                                  \
        "POST", "/api/v1/" path "/{id}/withdrawal", SUPERSEDES,                        \
            api_##handlers##_withdraw, NULL                                            \
    }

const struct route routes[] = {
    {"GET", "/healthz", ROUTE_READS, api_healthz, NULL},
    {"GET", "/metrics", ROUTE_READS, api_metrics_get, NULL},
    {"GET", "/readyz", ROUTE_ON_WRITER, api_readyz, NULL},

    {"GET", "/api/v1/openapi.json", ROUTE_READS, api_openapi_get, NULL},

    {"GET", "/api/v1/permit", ROUTE_READS, api_permit_get, "heater water as_of known"},
    {"GET", "/api/v1/permits", ROUTE_READS, api_permits_list,
     "heater water from until"},

    {"GET", "/api/v1/events", ROUTE_READS | ROUTE_EVENTS, api_events, NULL},
    {"GET", "/api/v1/exposure", ROUTE_READS, api_exposure_get,
     "heater water from until as_of known"},
    {"GET", "/api/v1/forecast", ROUTE_READS, api_forecast_get,
     "water from until step_s as_of known"},

    {"GET", "/api/v1/site", ROUTE_READS, api_site_get, NULL},
    {"PUT", "/api/v1/site", REPLACES, api_site_put, NULL},
    {"GET", "/api/v1/places", ROUTE_READS, api_places_get, NULL},
    {"GET", "/api/v1/waters", ROUTE_READS, api_waters_list, NULL},
    {"POST", "/api/v1/waters", CREATES, api_waters_create, NULL},
    {"GET", "/api/v1/waters/{id}", ROUTE_READS, api_waters_get, NULL},
    {"PUT", "/api/v1/waters/{id}", REPLACES, api_waters_put, NULL},
    {"GET", "/api/v1/waters/{id}/fill", ROUTE_READS, api_fill_get, NULL},
    {"PUT", "/api/v1/waters/{id}/fill", REPLACES, api_fill_put, NULL},
    {"GET", "/api/v1/waters/{id}/wanted", ROUTE_READS, api_wanted_get, NULL},
    {"PUT", "/api/v1/waters/{id}/wanted", REPLACES, api_wanted_put, NULL},
    {"GET", "/api/v1/heaters", ROUTE_READS, api_heaters_list, NULL},
    {"POST", "/api/v1/heaters", CREATES, api_heaters_create, NULL},
    {"GET", "/api/v1/heaters/{id}", ROUTE_READS, api_heaters_get, NULL},
    {"PUT", "/api/v1/heaters/{id}", REPLACES, api_heaters_put, NULL},
    {"GET", "/api/v1/heaters/{id}/tariff", ROUTE_READS, api_tariff_get, NULL},
    {"PUT", "/api/v1/heaters/{id}/tariff", REPLACES, api_tariff_put, NULL},
    {"GET", "/api/v1/heaters/{id}/versions", ROUTE_READS, api_heaters_versions, NULL},

    FACT_ROUTES("readings", readings, "water"),
    FACT_ROUTES("doses", doses, "water"),
    FACT_ROUTES("runs", runs, "water"),
    FACT_ROUTES("heater-states", heater_states, "heater"),
    {"GET", "/api/v1/quantities", ROUTE_READS, api_quantities_get, NULL},

    {"GET", "/api/v1/line", ROUTE_READS, api_line_get, "heater hours"},
    {"PUT", "/api/v1/line", REPLACES, api_line_put, "heater hours"},
    {"POST", "/api/v1/line/trial", ROUTE_CHANGES | ROUTE_AT_ONCE | ROUTE_JSON_BODY,
     api_line_trial, "heater hours"},

    {"GET", "/api/v1/series", ROUTE_READS, api_series_get,
     "water values from until columns"},

    {"GET", "/api/v1/export", ROUTE_READS, api_export_get,
     "what water heater from until format style"},
    {"POST", "/api/v1/import", ROUTE_CHANGES | ROUTE_KEY | ROUTE_CSV_BODY,
     api_import_create, "water dry_run zone dates decimal separator units method by file"},
    {"GET", "/api/v1/import/progress", ROUTE_READS, api_import_progress, NULL},
    {"POST", "/api/v1/import/cancel", ROUTE_CHANGES | ROUTE_AT_ONCE | ROUTE_JSON_BODY,
     api_import_cancel, NULL},
    {"POST", "/api/v1/import/{id}/withdrawal", CREATES, api_import_withdraw, NULL},

    {"GET", "/api/v1/warm-by", ROUTE_READS, api_warm_by_get,
     "heater water wanted_temp_c by temp_c air_low_c air_high_c wind_m_per_s"
     " cloud_fraction cover"},
    FACT_ROUTES("warm-ups", warm_ups, "heater"),
    FACT_ROUTES("meter-changes", meter_changes, "heater"),
    {"GET", "/api/v1/efficiency", ROUTE_READS, api_efficiency_get, "heater"},
    {"GET", "/api/v1/metal", ROUTE_READS, api_metal_get,
     "heater water metal from until out_l fill_l fill_mg_per_l dosed_g"},
    {"POST", "/api/v1/heater-checks", ROUTE_CHANGES | ROUTE_AT_ONCE | ROUTE_JSON_BODY,
     api_checks_create, NULL},

    {"GET", "/api/v1/shed", ROUTE_READS, api_shed_list, NULL},
    {"POST", "/api/v1/shed", CREATES, api_shed_create, NULL},
    {"GET", "/api/v1/shed/{id}", ROUTE_READS, api_shed_get, NULL},
    {"PUT", "/api/v1/shed/{id}", REPLACES, api_shed_put, NULL},
    {"GET", "/api/v1/treatment", ROUTE_READS, api_treatment_get, "heater water"},
    {"POST", "/api/v1/treatment/trial",
     ROUTE_CHANGES | ROUTE_AT_ONCE | ROUTE_JSON_BODY, api_treatment_trial, NULL},
    {"POST", "/api/v1/drift/trial", ROUTE_CHANGES | ROUTE_AT_ONCE | ROUTE_JSON_BODY,
     api_drift_trial, NULL},
    {"POST", "/api/v1/volume/trial", ROUTE_CHANGES | ROUTE_AT_ONCE | ROUTE_JSON_BODY,
     api_volume_trial, NULL},

    {"GET", "/api/v1/super-chlorination", ROUTE_READS, api_super_get, "heater water"},
    {"POST", "/api/v1/super-chlorination", CREATES, api_super_create, NULL},
    {"GET", "/api/v1/super-chlorination/{id}", ROUTE_READS, api_super_one, NULL},
    {"POST", "/api/v1/super-chlorination/{id}/step", SUPERSEDES, api_super_step, NULL},
    {"POST", "/api/v1/super-chlorination/{id}/abandonment", SUPERSEDES,
     api_super_abandon, NULL},
    {"GET", "/api/v1/super-chlorinations", ROUTE_READS, api_super_list,
     "water from until"},

    {"GET", "/api/v1/care", ROUTE_READS, api_care_get, "heater"},
    {"POST", "/api/v1/care-tasks", CREATES, api_care_tasks_create, NULL},
    {"GET", "/api/v1/care-tasks/{id}", ROUTE_READS, api_care_tasks_get, NULL},
    {"PUT", "/api/v1/care-tasks/{id}", REPLACES, api_care_tasks_put, NULL},
    FACT_ROUTES("visits", visits, "heater"),
    {"GET", "/api/v1/heaters/{id}/plate", ROUTE_READS, api_plate_get, NULL},
    {"PUT", "/api/v1/heaters/{id}/plate", REPLACES, api_plate_put, NULL},
    FACT_ROUTES("flue-tests", flue_tests, "heater"),
    {"GET", "/api/v1/flue", ROUTE_READS, api_flue_get, "heater from until"},
    FACT_ROUTES("symptoms", symptoms, "heater"),
    {"GET", "/api/v1/symptom-kinds", ROUTE_READS, api_symptom_kinds_get, NULL},
    {"GET", "/api/v1/photos", ROUTE_READS, api_photos_list, FACT_QUERIES("heater")},
    {"POST", "/api/v1/photos", ROUTE_CHANGES | ROUTE_KEY | ROUTE_PHOTO_BODY,
     api_photos_create, "of id by"},
    {"GET", "/api/v1/photos/{id}", ROUTE_READS, api_photos_get, NULL},
    {"GET", "/api/v1/photos/{id}/image", ROUTE_READS, api_photos_image, NULL},
    {"POST", "/api/v1/photos/{id}/withdrawal", SUPERSEDES, api_photos_withdraw, NULL},
    {"GET", "/calendar/{token}.ics", ROUTE_READS, api_calendar_get, NULL},
    {"GET", "/api/v1/record", ROUTE_READS, api_record_get, "heater from until format"},
    {"GET", "/api/v1/waters/{id}/season", ROUTE_READS, api_season_get, NULL},
    {"PUT", "/api/v1/waters/{id}/season", REPLACES, api_season_put, NULL},

    {"GET", "/api/v1/clock", ROUTE_READS, api_clock_get, NULL},
    {"POST", "/api/v1/clock/confirmation", CREATES, api_clock_confirm, NULL},

    {"GET", "/api/v1/session", ROUTE_READS, api_session_get, NULL},
    {"POST", "/api/v1/session", LOOKS_AT_SECRET, api_session_create, NULL,
     api_session_prepare},
    {"POST", "/api/v1/session/end", ROUTE_CHANGES | ROUTE_JSON_BODY, api_session_end,
     NULL},
    {"POST", "/api/v1/session/proof", LOOKS_AT_SECRET, api_session_proof, NULL,
     api_proof_prepare},
    {"POST", "/api/v1/claim", LOOKS_AT_SECRET, api_claim, NULL, api_claim_prepare},
    {"GET", "/api/v1/sessions", ROUTE_READS, api_sessions_list, NULL},
    {"POST", "/api/v1/sessions/{id}/revocation", CREATES, api_sessions_revoke, NULL},
    {"GET", "/api/v1/people", ROUTE_READS, api_people_list, NULL},
    {"POST", "/api/v1/people", CREATES, api_people_create, NULL},
    {"GET", "/api/v1/people/{id}", ROUTE_READS, api_people_get, NULL},
    {"PUT", "/api/v1/people/{id}", REPLACES, api_people_put, NULL},
    {"POST", "/api/v1/people/{id}/pin", ROUTE_CHANGES | ROUTE_JSON_BODY, api_people_pin,
     NULL, api_pin_prepare},
    {"POST", "/api/v1/people/{id}/passphrase", ROUTE_CHANGES | ROUTE_JSON_BODY,
     api_people_passphrase, NULL, api_passphrase_prepare},
    {"GET", "/api/v1/tokens", ROUTE_READS, api_tokens_list, NULL},
    {"POST", "/api/v1/tokens", CREATES, api_tokens_create, NULL},
    {"POST", "/api/v1/tokens/{id}/issue", ROUTE_CHANGES | ROUTE_JSON_BODY,
     api_tokens_issue, NULL},
    {"POST", "/api/v1/tokens/{id}/revocation", CREATES, api_tokens_revoke, NULL},
    {"GET", "/api/v1/door", ROUTE_READS, api_door_get, NULL},
    {"PUT", "/api/v1/door", REPLACES, api_door_put, NULL},
    {"GET", "/api/v1/backups", ROUTE_READS, api_backups_list, NULL},
    {"POST", "/api/v1/backups", CREATES | ROUTE_OUTSIDE_TRANSACTION, api_backups_create,
     NULL},
    {"GET", "/api/v1/backups/{id}/file", ROUTE_READS, api_backups_file, NULL},
    {"POST", "/api/v1/backups/{id}/restoration", LOOKS_AT_SECRET, api_backups_restore,
     NULL},
    {"GET", "/api/v1/journal", ROUTE_READS, api_journal_get, "before limit"},

    {0},
};
