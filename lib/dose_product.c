#include "dose_product.h"

#include <math.h>
#include <stddef.h>

#define CHLORINE_G_PER_MOL 70.906
/* Trade acid: 20 degrees Baume, 31.45 % by weight, 145/(145 - 20) kg/L. Common
 * practice, no source. */
#define TRADE_ACID_PERCENT 31.45
#define TRADE_ACID_DENSITY 1.16

/* How a product's strength leads to its reagent. */
struct recipe {
    enum coil_product product;
    enum coil_reagent reagent;
    double g_per_mol; /* of what the strength counts: Cl2, or the substance as sold */
    double per_mol;   /* that much of it in one mol of reagent */
    double
        pure_g_per_mol; /* of the chlorine product as sold, for its highest strength */
};

/* g/mol: [iupac-atomic-weights]. */
static const struct recipe RECIPES[] = {
    {COIL_SODIUM_HYPOCHLORITE, COIL_REAGENT_NAOCL, CHLORINE_G_PER_MOL, 1, 74.442},
    {COIL_CALCIUM_HYPOCHLORITE, COIL_REAGENT_CAOCL2, CHLORINE_G_PER_MOL, 2, 142.982},
    {COIL_LITHIUM_HYPOCHLORITE, COIL_REAGENT_LIOCL, CHLORINE_G_PER_MOL, 1, 58.390},
    {COIL_TRICHLOR, COIL_REAGENT_TRICHLOR, CHLORINE_G_PER_MOL, 3, 232.410},
    {COIL_DICHLOR, COIL_REAGENT_DICHLOR, CHLORINE_G_PER_MOL, 2, 255.980},
    {COIL_CHLORINE_GAS, COIL_REAGENT_CL2, CHLORINE_G_PER_MOL, 1, CHLORINE_G_PER_MOL},
    {COIL_MONOPERSULFATE, COIL_REAGENT_MONOPERSULFATE, 614.76, 1, 0},
    {COIL_HYDROCHLORIC_ACID, COIL_REAGENT_HCL, 36.461, 1, 0},
    {COIL_SODIUM_BISULFATE, COIL_REAGENT_NAHSO4, 120.060, 1, 0},
    {COIL_CARBON_DIOXIDE, COIL_REAGENT_CO2, 44.0095, 1, 0},
    {COIL_SODIUM_CARBONATE, COIL_REAGENT_NA2CO3, 105.988, 1, 0},
    {COIL_SODIUM_BICARBONATE, COIL_REAGENT_NAHCO3, 84.007, 1, 0},
    {COIL_SODIUM_HYDROXIDE, COIL_REAGENT_NAOH, 39.997, 1, 0},
    {COIL_SODIUM_SESQUICARBONATE, COIL_REAGENT_SESQUICARBONATE, 226.025, 1, 0},
    {COIL_BORAX, COIL_REAGENT_BORAX, 381.370, 1, 0},
    {COIL_BORIC_ACID, COIL_REAGENT_BORIC_ACID, 61.833, 1, 0},
    {COIL_CALCIUM_CHLORIDE, COIL_REAGENT_CACL2, 110.984, 1, 0},
    {COIL_CYANURIC_ACID_PRODUCT, COIL_REAGENT_CYANURIC_ACID, 129.074, 1, 0},
    {COIL_SODIUM_CHLORIDE, COIL_REAGENT_NACL, 58.4428, 1, 0},
    {COIL_SODIUM_THIOSULFATE, COIL_REAGENT_THIOSULFATE_FULL, 248.180, 1, 0},
    {COIL_SODIUM_SULFITE, COIL_REAGENT_NA2SO3, 126.043, 1, 0},
};

static const struct recipe *find_recipe(enum coil_product product)
{
    size_t i;

    for (i = 0; i < sizeof RECIPES / sizeof *RECIPES; i++) {
        if (RECIPES[i].product == product)
            return &RECIPES[i];
    }
    return NULL;
}

double coil_product_pure_chlorine_percent(enum coil_product product)
{
    const struct recipe *recipe = find_recipe(product);

    if (recipe == NULL || !(recipe->pure_g_per_mol > 0))
        return 0;
    return 100 * recipe->per_mol * CHLORINE_G_PER_MOL / recipe->pure_g_per_mol;
}

double coil_hydrochloric_density(double percent)
{
    return 1 + (TRADE_ACID_DENSITY - 1) * percent / TRADE_ACID_PERCENT;
}

enum coil_status coil_hydrochloric_percent(double degrees_baume, double *out_percent)
{
    if (!isfinite(degrees_baume))
        return COIL_ERR_NOT_FINITE;
    if (!(degrees_baume >= 0 && degrees_baume <= 25))
        return COIL_ERR_DOMAIN;
    *out_percent = TRADE_ACID_PERCENT * (145 / (145 - degrees_baume) - 1) /
                   (TRADE_ACID_DENSITY - 1);
    return COIL_OK;
}

/* Grams of what the strength counts. Only sodium hypochlorite's strength is by volume;
 * other liquids are weighed by their density. */
static double counted_grams(const struct recipe *recipe, double amount, double percent)
{
    double grams = amount * percent / 100;

    if (recipe->product == COIL_HYDROCHLORIC_ACID)
        grams *= coil_hydrochloric_density(percent);
    return grams;
}

static enum coil_status check_numbers(double amount, double strength_percent,
                                      double volume_m3)
{
    if (!isfinite(amount) || !isfinite(strength_percent) || !isfinite(volume_m3))
        return COIL_ERR_NOT_FINITE;
    if (!(amount >= 0) || !(strength_percent > 0 && strength_percent <= 100) ||
        !(volume_m3 > 0))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

enum coil_status coil_dose_from_product(enum coil_product product, double amount,
                                        double strength_percent, double volume_m3,
                                        struct coil_dose *out)
{
    const struct recipe *recipe = find_recipe(product);
    enum coil_status status = check_numbers(amount, strength_percent, volume_m3);
    double mol, pure;

    if (status != COIL_OK)
        return status;
    if (recipe == NULL)
        return COIL_ERR_UNKNOWN;
    mol = counted_grams(recipe, amount, strength_percent) /
          (recipe->g_per_mol * recipe->per_mol * 1000 * volume_m3);
    if (!isfinite(mol))
        return COIL_ERR_DOMAIN;
    out->count = 1;
    out->parts[0] = (struct coil_dose_part){recipe->reagent, mol};
    if (product == COIL_SODIUM_HYPOCHLORITE)
        out->parts[out->count++] = (struct coil_dose_part){COIL_REAGENT_NACL, mol};
    pure = coil_product_pure_chlorine_percent(product);
    if (pure > 0 && product != COIL_SODIUM_HYPOCHLORITE && strength_percent > pure)
        return COIL_WARN_RANGE;
    return COIL_OK;
}

void coil_dose_thiosulfate_half(struct coil_dose *dose)
{
    int i;

    for (i = 0; i < dose->count; i++) {
        if (dose->parts[i].reagent == COIL_REAGENT_THIOSULFATE_FULL)
            dose->parts[i].reagent = COIL_REAGENT_THIOSULFATE_HALF;
    }
}

enum coil_status coil_dose_apply(const struct coil_closed_water *water,
                                 const struct coil_dose *dose,
                                 struct coil_closed_water *out)
{
    struct coil_closed_water dosed = *water;
    enum coil_status status = COIL_OK;
    int i;

    for (i = 0; i < dose->count && status == COIL_OK; i++)
        status = coil_dose_add(&dosed, dose->parts[i].reagent,
                               dose->parts[i].mol_per_kg, &dosed);
    if (status == COIL_OK)
        *out = dosed;
    return status;
}

enum coil_status coil_dose_undo(const struct coil_closed_water *water,
                                const struct coil_dose *dose,
                                struct coil_closed_water *out)
{
    struct coil_closed_water before = *water;
    enum coil_status status = COIL_OK;
    int i;

    for (i = dose->count - 1; i >= 0 && status == COIL_OK; i--)
        status = coil_dose_take(&before, dose->parts[i].reagent,
                                dose->parts[i].mol_per_kg, &before);
    if (status == COIL_OK)
        *out = before;
    return status;
}
