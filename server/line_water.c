#include "line_water.h"

#include <string.h>

#include "lib/composition.h"

/* Where the constants of chlorine were measured, and what an ordinary pool is like
 * (common practice, no source): used for what nobody tested. */
#define TEMP_ASSUMED_C 25.0
#define PH_ASSUMED 7.5
#define ALKALINITY_ASSUMED_MG_PER_L 100.0

static bool newest(const struct coil_permit_facts *facts, enum coil_quantity quantity,
                   double *out_value)
{
    const struct coil_history *history = &facts->history[quantity];

    if (history->count == 0)
        return false;
    *out_value = history->newest[0].value;
    return true;
}

static int64_t oldest_at(const struct coil_permit_facts *facts)
{
    static const enum coil_quantity used[] = {COIL_PH, COIL_FREE_CHLORINE,
                                              COIL_TOTAL_ALKALINITY};
    int64_t at = INT64_MAX;

    for (size_t i = 0; i < sizeof used / sizeof *used; i++)
        if (facts->history[used[i]].newest[0].at_s < at)
            at = facts->history[used[i]].newest[0].at_s;
    return at;
}

static enum coil_status solve(const struct coil_composition *composition,
                              struct line_water *out)
{
    struct coil_totals totals;
    struct coil_equilibrium solved;
    enum coil_status status =
        coil_water_from_composition(composition, COIL_CYANURATE_WAHMAN_2019,
                                    &out->constants, &totals, &solved, NULL);

    if (status >= 0)
        coil_closed_from_equilibrium(&totals, &solved, &out->pool);
    return status;
}

static void take_known(const struct coil_permit_facts *facts, struct line_water *out)
{
    struct coil_composition c = {.water_temp_c = out->water_temp_c};

    if (!newest(facts, COIL_PH, &c.ph) ||
        !newest(facts, COIL_FREE_CHLORINE, &c.chlorine_mg_per_l) ||
        !newest(facts, COIL_TOTAL_ALKALINITY, &c.total_alkalinity_mg_per_l_caco3))
        return;
    newest(facts, COIL_CALCIUM_HARDNESS, &c.calcium_hardness_mg_per_l_caco3);
    newest(facts, COIL_SALT, &c.salt_mg_per_l_nacl);
    newest(facts, COIL_BORATE, &c.borate_mg_per_l_b);
    newest(facts, COIL_CYANURIC_ACID, &c.cyanuric_acid_mg_per_l);
    if (solve(&c, out) < 0)
        return;
    out->is_known = true;
    out->at = oldest_at(facts);
    out->ph = c.ph;
    out->free_chlorine_mg_per_l = c.chlorine_mg_per_l;
}

enum db_status line_water_read(struct db *db, int64_t heater_id, int64_t water_id,
                               int64_t as_of, struct line_water *out)
{
    struct coil_permit_facts facts;
    struct coil_composition usual = {.ph = PH_ASSUMED,
                                     .total_alkalinity_mg_per_l_caco3 =
                                         ALKALINITY_ASSUMED_MG_PER_L};
    double temp_c, unused;
    enum db_status status =
        db_permit_facts(db, heater_id, water_id, as_of, false, &facts);

    if (status != DB_OK)
        return status;
    memset(out, 0, sizeof *out);
    out->water_temp_c = TEMP_ASSUMED_C;
    out->has_temp = newest(&facts, COIL_WATER_TEMP, &temp_c) && temp_c >= 0.0;
    if (out->has_temp)
        out->water_temp_c = temp_c;
    out->has_cyanuric_acid = newest(&facts, COIL_CYANURIC_ACID, &unused);
    take_known(&facts, out);
    usual.water_temp_c = out->water_temp_c;
    if (!out->is_known && solve(&usual, out) < 0)
        return DB_FAILED;
    return DB_OK;
}
