/*
 * Reads a whole water out of one row, and the tolerances that several tables share.
 *
 * Exact molal columns are taken where a row has them, else mg per kg of water. 1 L is
 * 1 kg.
 */
#ifndef COIL_TABLES_ROWS_H
#define COIL_TABLES_ROWS_H

#include "lib/dose.h"
#include "lib/equilibrium.h"
#include "tests/lib/tables.h"

/*
 * The exact gate: the same published constants, other program (PHREEQC 3.8.8 with
 * wateq4f.dat).
 */
#define GATE_SI 0.002
#define GATE_HEATED_PH 0.003
#define GATE_DOSED 0.005       /* pH and SI */
#define GATE_DOSED_MIXED 0.015 /* with cyanurate, borate or sulfate */
#define GATE_OUTGAS_PH 0.005
#define GATE_DIC 0.001           /* relative */
#define GATE_ALKALINITY_PART 0.5 /* mg/L as CaCO3: cyanurate's or borate's */

/*
 * Honesty bands: other evaluations of the same measurements. Their distance says how
 * well a number is known; nothing tighter may be asked against them. Published largest
 * distances of the databases from each other: phreeqc.dat 0.046 in pools, 0.137 at
 * films, 0.146 in all; heated 0.179, pH 0.066; pitzer.dat 0.061, 0.156, 0.201.
 */
#define BAND_PHREEQC_POOL 0.06
#define BAND_PHREEQC_FILM 0.16
#define BAND_PHREEQC_ALL 0.18
#define BAND_PHREEQC_HEATED_PH 0.07
#define BAND_PITZER_POOL 0.07
#define BAND_PITZER_FILM 0.18
#define BAND_PITZER_ALL 0.23

struct row_water {
    struct coil_constants constants;
    struct coil_totals totals;
    double temp_c;
    double ph;               /* NaN when the cell is empty */
    double alkalinity;       /* eq/kg */
    enum coil_status status; /* of coil_constants_at */
};

/* 1, or 0 with a message when a column is absent or holds other text. source: of the
 * constants of chlorine with cyanurate. */
int row_water_read(const struct table *table, size_t row,
                   enum coil_cyanurate_source source, struct row_water *out,
                   char *message);

/* pH and alkalinity solved; a refusal of the constants comes out as the status. */
enum coil_status row_water_solve(const struct row_water *water,
                                 struct coil_equilibrium *out);

/* An amount: the exact column where it is there and not empty, else the other times
 * factor; 0 when the table has neither. */
int row_amount(const struct table *table, size_t row, const char *exact,
               const char *other, double factor, double *out_value, char *message);

/* The bands by the word in the column `kind`: pool, film, else wide. */
double row_band_phreeqc(const struct table *table, size_t row);
double row_band_pitzer(const struct table *table, size_t row);

/*
 * A band for one row: where the row's own exact column and the other database's lie
 * farther apart than the band, their distance and GATE_SI, at most a quarter more than
 * the band. Other waters than those that the bands were found on go a little beyond.
 */
double row_band(const struct table *table, size_t row, double band, const char *exact,
                const char *other);

#endif
