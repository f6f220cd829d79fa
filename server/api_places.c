/* Cities that stand for a place: the system's zone table, for Setup. */
#include <stdlib.h>

#include "api.h"
#include "api_common.h"
#include "places.h"

#define PLACES_MAX 800 /* the table of 2025 has 418 */

void api_places_get(struct app *app, struct db *db, const struct request *req,
                    struct reply *out)
{
    const uint64_t changes = api_changes(app);
    struct place *places = calloc(PLACES_MAX, sizeof *places);
    FILE *file = places_open();
    size_t count = 0;
    cJSON *object = cJSON_CreateObject(), *array;

    (void)db;
    (void)req;
    if (file != NULL && places != NULL)
        count = places_read(file, places, PLACES_MAX);
    array = cJSON_AddArrayToObject(object, "places");
    for (size_t i = 0; i < count; i++) {
        cJSON *place = cJSON_CreateObject();

        cJSON_AddStringToObject(place, "zone", places[i].zone);
        api_add_e6(place, "latitude", places[i].latitude_e6);
        api_add_e6(place, "longitude", places[i].longitude_e6);
        cJSON_AddItemToArray(array, place);
    }
    if (file != NULL)
        fclose(file);
    free(places);
    api_send(out, 200, object);
    api_tag(app, out, changes);
}
