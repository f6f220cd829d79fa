/* Doses: a product of known strength put into a water. */
#include "api.h"
#include "api_facts.h"

static const char *const entries[] = {"pool", "skimmer", "before_heater",
                                      "after_heater", NULL};

static void read_product(struct form *form, struct db_dose *dose)
{
    char key[48] = "";

    if (form_text(form, "product", FORM_REQUIRED, key, sizeof key) &&
        coil_product_from_key(key, &dose->product) != COIL_OK)
        problem_add(form->problem, "not_in_list", "product",
                    "That product is not in the list; take \"other\".");
}

static void read_dose(struct app *app, struct db *db, struct form *form, void *out)
{
    struct db_dose *dose = out;
    struct db_water water;
    int entry = DB_ENTRY_POOL;

    (void)app;
    form_integer(form, "water", 1, INT64_MAX / 2, FORM_REQUIRED, &dose->water_id);
    if (dose->water_id != 0 && db_water_get(db, dose->water_id, &water) == DB_NOT_FOUND)
        problem_add(form->problem, "not_found", "water", "There is no such water.");
    read_product(form, dose);
    form_e6(form, "amount", 0.001, 1e6, FORM_REQUIRED, &dose->amount_e6);
    form_e6(form, "strength_percent", 0.01, 100.0, FORM_OPTIONAL, &dose->strength_e6);
    form_choice(form, "entry", entries, FORM_OPTIONAL, &entry);
    dose->entry = (enum db_entry)entry;
    form_flag(form, "super_chlorination", FORM_OPTIONAL, &dose->super_chlorination);
}

static void write_dose(cJSON *object, const void *fact)
{
    const struct db_dose *dose = fact;
    const struct coil_product_info *info = coil_product_info(dose->product);

    cJSON_AddNumberToObject(object, "water", (double)dose->water_id);
    cJSON_AddStringToObject(object, "product", info != NULL ? info->key : "other");
    api_add_e6(object, "amount", dose->amount_e6);
    cJSON_AddStringToObject(object, "unit", info != NULL && info->is_liquid ? "mL" : "g");
    api_add_e6_or_null(object, "strength_percent", dose->strength_e6);
    cJSON_AddStringToObject(object, "entry", entries[dose->entry]);
    cJSON_AddBoolToObject(object, "super_chlorination", dose->super_chlorination);
}

static enum db_status add(struct db *db, void *fact)
{
    return db_dose_add(db, fact);
}

static enum db_status get(struct db *db, int64_t id, void *out)
{
    return db_dose_get(db, id, out);
}

static enum db_status list(struct db *db, const struct db_window *window, void *out,
                           size_t *out_count)
{
    return db_dose_list(db, window, out, out_count);
}

const struct fact_kind fact_doses = {"dose", "doses", "doses", "water",
                                       sizeof(struct db_dose), add, get, list,
                                       read_dose, write_dose, NULL};

FACT_HANDLERS(doses, fact_doses)
