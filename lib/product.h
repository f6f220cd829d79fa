/*
 * Products that people add to a water, by active substance, never by brand.
 *
 * The numbers of the enum are written into databases: never reuse or renumber one.
 */
#ifndef COIL_PRODUCT_H
#define COIL_PRODUCT_H

#include "status.h"

enum coil_product_kind {
    COIL_KIND_SANITISER,
    COIL_KIND_ACID,
    COIL_KIND_OTHER
};

/*
 * X(enum name, number, key, words, kind, is liquid, usual strength in percent)
 * strength: available chlorine as Cl2 for chlorine products (by weight for solids, g per
 * 100 mL "trade percent" for liquids), else active substance by weight. 0: no usual one.
 * Usual strengths: common practice, no source; the label decides.
 */
#define COIL_PRODUCT_LIST(X)                                                           \
    X(COIL_SODIUM_HYPOCHLORITE, 1, "sodium_hypochlorite", "Liquid chlorine (sodium hypochlorite)", COIL_KIND_SANITISER, 1, 12.5) \
    X(COIL_CALCIUM_HYPOCHLORITE, 2, "calcium_hypochlorite", "Calcium hypochlorite", COIL_KIND_SANITISER, 0, 65) \
    X(COIL_LITHIUM_HYPOCHLORITE, 3, "lithium_hypochlorite", "Lithium hypochlorite", COIL_KIND_SANITISER, 0, 35) \
    X(COIL_TRICHLOR, 4, "trichlor", "Trichlor tablets or granules", COIL_KIND_SANITISER, 0, 90) \
    X(COIL_DICHLOR, 5, "dichlor", "Dichlor granules", COIL_KIND_SANITISER, 0, 55)      \
    X(COIL_CHLORINE_GAS, 6, "chlorine_gas", "Chlorine gas", COIL_KIND_SANITISER, 0, 100) \
    X(COIL_BROMINE_TABLETS, 7, "bromine_tablets", "Bromine tablets", COIL_KIND_SANITISER, 0, 61) \
    X(COIL_MONOPERSULFATE, 8, "monopersulfate", "Non-chlorine oxidiser (monopersulfate)", COIL_KIND_OTHER, 0, 43) \
    X(COIL_HYDROCHLORIC_ACID, 9, "hydrochloric_acid", "Hydrochloric (muriatic) acid", COIL_KIND_ACID, 1, 31.45) \
    X(COIL_SODIUM_BISULFATE, 10, "sodium_bisulfate", "Dry acid (sodium bisulfate)", COIL_KIND_ACID, 0, 93) \
    X(COIL_CARBON_DIOXIDE, 11, "carbon_dioxide", "Carbon dioxide", COIL_KIND_ACID, 0, 100) \
    X(COIL_SODIUM_CARBONATE, 12, "sodium_carbonate", "Soda ash (sodium carbonate)", COIL_KIND_OTHER, 0, 99) \
    X(COIL_SODIUM_BICARBONATE, 13, "sodium_bicarbonate", "Baking soda (sodium bicarbonate)", COIL_KIND_OTHER, 0, 99) \
    X(COIL_SODIUM_HYDROXIDE, 14, "sodium_hydroxide", "Sodium hydroxide", COIL_KIND_OTHER, 0, 0) \
    X(COIL_SODIUM_SESQUICARBONATE, 15, "sodium_sesquicarbonate", "Sodium sesquicarbonate", COIL_KIND_OTHER, 0, 99) \
    X(COIL_BORAX, 16, "borax", "Borax", COIL_KIND_OTHER, 0, 99)                        \
    X(COIL_BORIC_ACID, 17, "boric_acid", "Boric acid", COIL_KIND_OTHER, 0, 99)         \
    X(COIL_CALCIUM_CHLORIDE, 18, "calcium_chloride", "Calcium chloride", COIL_KIND_OTHER, 0, 77) \
    X(COIL_CYANURIC_ACID_PRODUCT, 19, "cyanuric_acid", "Cyanuric acid (stabiliser)", COIL_KIND_OTHER, 0, 99) \
    X(COIL_SODIUM_CHLORIDE, 20, "sodium_chloride", "Salt (sodium chloride)", COIL_KIND_OTHER, 0, 99) \
    X(COIL_SODIUM_THIOSULFATE, 21, "sodium_thiosulfate", "Sodium thiosulfate", COIL_KIND_OTHER, 0, 99) \
    X(COIL_SODIUM_SULFITE, 22, "sodium_sulfite", "Sodium sulfite", COIL_KIND_OTHER, 0, 97) \
    X(COIL_OTHER_PRODUCT, 99, "other", "Something else", COIL_KIND_OTHER, 0, 0)

enum coil_product {
#define X(name, number, key, words, kind, liquid, strength) name = number,
    COIL_PRODUCT_LIST(X)
#undef X
};

struct coil_product_info {
    enum coil_product product;
    const char *key;
    const char *words;
    enum coil_product_kind kind;
    int is_liquid;            /* amounts in mL, else g */
    double strength_percent;  /* usual, see above */
    int is_chlorine;          /* strength counts available chlorine as Cl2 */
};

/* NULL when not of the list; lives as long as the program. */
const struct coil_product_info *coil_product_info(enum coil_product product);
enum coil_status coil_product_from_key(const char *key, enum coil_product *out_product);

/* Number of products and the n-th in list order (NULL past the end). */
const struct coil_product_info *coil_product_at(int index);

/*
 * Rise of chlorine that a dose brings, mg/L as Cl2.
 *
 * amount           g of a solid or mL of a liquid, >= 0
 * strength_percent available chlorine, (0, 100]
 * volume_m3        > 0
 * out_mg_per_l     receives the rise; 0 for products without chlorine
 *
 * COIL_OK, COIL_ERR_UNKNOWN (product), COIL_ERR_NOT_FINITE, COIL_ERR_DOMAIN.
 * Definition: trade percent is g available chlorine per 100 mL [white-1972]; 1 L of
 * pool water counts as 1 kg.
 */
enum coil_status coil_product_chlorine_rise(enum coil_product product, double amount,
                                            double strength_percent, double volume_m3,
                                            double *out_mg_per_l);

#endif
