#include "product.h"

#include <math.h>
#include <string.h>

/* Every sanitiser of the list but bromine is sold by its available chlorine. */
static const struct coil_product_info products[] = {
#define X(name, number, key, words, kind, liquid, strength)                            \
    {name,                                                                             \
     key,                                                                              \
     words,                                                                            \
     kind,                                                                             \
     liquid,                                                                           \
     strength,                                                                         \
     kind == COIL_KIND_SANITISER && name != COIL_BROMINE_TABLETS},
    COIL_PRODUCT_LIST(X)
#undef X
};

#define PRODUCT_COUNT ((int)(sizeof products / sizeof products[0]))

const struct coil_product_info *coil_product_at(int index)
{
    return index >= 0 && index < PRODUCT_COUNT ? &products[index] : NULL;
}

const struct coil_product_info *coil_product_info(enum coil_product product)
{
    for (int i = 0; i < PRODUCT_COUNT; i++)
        if (products[i].product == product)
            return &products[i];
    return NULL;
}

enum coil_status coil_product_from_key(const char *key, enum coil_product *out_product)
{
    if (key == NULL)
        return COIL_ERR_UNKNOWN;
    for (int i = 0; i < PRODUCT_COUNT; i++) {
        if (strcmp(products[i].key, key) == 0) {
            *out_product = products[i].product;
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

enum coil_status coil_product_chlorine_rise(enum coil_product product, double amount,
                                            double strength_percent, double volume_m3,
                                            double *out_mg_per_l)
{
    const struct coil_product_info *info = coil_product_info(product);
    double rise;

    if (info == NULL)
        return COIL_ERR_UNKNOWN;
    if (!isfinite(amount) || !isfinite(strength_percent) || !isfinite(volume_m3))
        return COIL_ERR_NOT_FINITE;
    if (amount < 0.0 || !(strength_percent > 0.0 && strength_percent <= 100.0) ||
        volume_m3 <= 0.0)
        return COIL_ERR_DOMAIN;
    /* g of chlorine: of a solid by weight, of a liquid per 100 mL. 1 g/m3 = 1 mg/L. */
    rise = info->is_chlorine ? amount * (strength_percent / 100.0) / volume_m3 : 0.0;
    if (!isfinite(rise))
        return COIL_ERR_DOMAIN; /* a volume next to nothing */
    *out_mg_per_l = rise;
    return COIL_OK;
}
