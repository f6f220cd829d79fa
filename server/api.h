/* All handlers of the API, for the table in routes.c. Each is described in docs/api.md. */
#ifndef API_H
#define API_H

#include "app.h"

#define API_HANDLER(name)                                                              \
    void name(struct app *app, struct db *db, const struct request *req,               \
              struct reply *out)
#define API_FACT_HANDLERS(plural)                                                      \
    API_HANDLER(api_##plural##_list);                                                  \
    API_HANDLER(api_##plural##_create);                                                \
    API_HANDLER(api_##plural##_get);                                                   \
    API_HANDLER(api_##plural##_correct);                                               \
    API_HANDLER(api_##plural##_withdraw)

API_FACT_HANDLERS(readings);
API_FACT_HANDLERS(doses);
API_FACT_HANDLERS(runs);
API_FACT_HANDLERS(heater_states);
API_FACT_HANDLERS(warm_ups);
API_FACT_HANDLERS(meter_changes);
API_FACT_HANDLERS(visits);
API_FACT_HANDLERS(flue_tests);
API_FACT_HANDLERS(symptoms);

API_HANDLER(api_openapi_get);
API_HANDLER(api_permit_get);
API_HANDLER(api_permits_list);
API_HANDLER(api_events);
API_HANDLER(api_exposure_get);
API_HANDLER(api_forecast_get);
API_HANDLER(api_series_get);
API_HANDLER(api_quantities_get);
API_HANDLER(api_places_get);

API_HANDLER(api_site_get);
API_HANDLER(api_site_put);
API_HANDLER(api_waters_list);
API_HANDLER(api_waters_create);
API_HANDLER(api_waters_get);
API_HANDLER(api_waters_put);
API_HANDLER(api_heaters_list);
API_HANDLER(api_heaters_create);
API_HANDLER(api_heaters_get);
API_HANDLER(api_heaters_put);
API_HANDLER(api_heaters_versions);

API_HANDLER(api_export_get);
API_HANDLER(api_import_create);
API_HANDLER(api_import_progress);
API_HANDLER(api_import_cancel);
API_HANDLER(api_import_withdraw);

API_HANDLER(api_warm_by_get);
API_HANDLER(api_efficiency_get);
API_HANDLER(api_metal_get);
API_HANDLER(api_checks_create);
API_HANDLER(api_tariff_get);
API_HANDLER(api_tariff_put);

API_HANDLER(api_fill_get);
API_HANDLER(api_fill_put);
API_HANDLER(api_wanted_get);
API_HANDLER(api_wanted_put);
API_HANDLER(api_shed_list);
API_HANDLER(api_shed_create);
API_HANDLER(api_shed_get);
API_HANDLER(api_shed_put);
API_HANDLER(api_line_get);
API_HANDLER(api_line_put);
API_HANDLER(api_line_trial);
API_HANDLER(api_treatment_get);
API_HANDLER(api_treatment_trial);
API_HANDLER(api_drift_trial);
API_HANDLER(api_volume_trial);

API_HANDLER(api_super_get);
API_HANDLER(api_super_one);
API_HANDLER(api_super_list);
API_HANDLER(api_super_create);
API_HANDLER(api_super_step);
API_HANDLER(api_super_abandon);

API_HANDLER(api_care_get);
API_HANDLER(api_care_tasks_create);
API_HANDLER(api_care_tasks_get);
API_HANDLER(api_care_tasks_put);
API_HANDLER(api_season_get);
API_HANDLER(api_season_put);
API_HANDLER(api_plate_get);
API_HANDLER(api_plate_put);
API_HANDLER(api_flue_get);
API_HANDLER(api_symptom_kinds_get);
API_HANDLER(api_photos_list);
API_HANDLER(api_photos_create);
API_HANDLER(api_photos_get);
API_HANDLER(api_photos_image);
API_HANDLER(api_photos_withdraw);
API_HANDLER(api_record_get);
API_HANDLER(api_calendar_get);

API_HANDLER(api_clock_get);
API_HANDLER(api_clock_confirm);

API_HANDLER(api_healthz);
API_HANDLER(api_readyz);

API_HANDLER(api_metrics_get);
API_HANDLER(api_backups_list);
API_HANDLER(api_backups_create);
API_HANDLER(api_backups_file);
API_HANDLER(api_backups_restore);
API_HANDLER(api_session_get);
API_HANDLER(api_session_create);
API_HANDLER(api_session_end);
API_HANDLER(api_session_proof);
API_HANDLER(api_session_touch);
API_HANDLER(api_claim);
API_HANDLER(api_people_list);
API_HANDLER(api_people_create);
API_HANDLER(api_people_get);
API_HANDLER(api_people_put);
API_HANDLER(api_people_pin);
API_HANDLER(api_people_passphrase);
API_HANDLER(api_sessions_list);
API_HANDLER(api_sessions_revoke);
API_HANDLER(api_tokens_list);
API_HANDLER(api_tokens_create);
API_HANDLER(api_tokens_issue);
API_HANDLER(api_tokens_revoke);
API_HANDLER(api_door_get);
API_HANDLER(api_door_put);
API_HANDLER(api_journal_get);

#define API_PREPARE(name)                                                              \
    bool name(struct app *app, struct db *db, const struct request *req,               \
              struct reply *out)

API_PREPARE(api_session_prepare);
API_PREPARE(api_proof_prepare);
API_PREPARE(api_claim_prepare);
API_PREPARE(api_pin_prepare);
API_PREPARE(api_passphrase_prepare);

#endif
