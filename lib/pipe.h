/*
 * Water in one pipe: size, volume, velocity, friction, and how fast copper bears it.
 *
 * Knows nothing of what the pipe belongs to or of what is dissolved in the water.
 */
#ifndef COIL_PIPE_H
#define COIL_PIPE_H

#include <stdbool.h>

#include "status.h"

/* The numbers below are written into databases: never reuse or renumber one. */
enum coil_pipe_material {
    COIL_PIPE_PLASTIC = 0, /* schedule 40 */
    COIL_PIPE_COPPER = 1   /* tube, type L */
};

/*
 * X(enum name, number, key, nominal inch, schedule 40 outside diameter and least wall,
 *   inch, copper type L inside diameter, inch)
 *
 * Inside of schedule 40 is the outside diameter less two least walls: [astm-d1785],
 * from memory. Copper: [astm-b88], from memory.
 */
#define COIL_PIPE_SIZE_LIST(X)                                                         \
    X(COIL_PIPE_0_5, 1, "0.5", 0.5, 0.840, 0.109, 0.545)                               \
    X(COIL_PIPE_0_75, 2, "0.75", 0.75, 1.050, 0.113, 0.785)                            \
    X(COIL_PIPE_1, 3, "1", 1, 1.315, 0.133, 1.025)                                     \
    X(COIL_PIPE_1_25, 4, "1.25", 1.25, 1.660, 0.140, 1.265)                            \
    X(COIL_PIPE_1_5, 5, "1.5", 1.5, 1.900, 0.145, 1.505)                               \
    X(COIL_PIPE_2, 6, "2", 2, 2.375, 0.154, 1.985)                                     \
    X(COIL_PIPE_2_5, 7, "2.5", 2.5, 2.875, 0.203, 2.465)                               \
    X(COIL_PIPE_3, 8, "3", 3, 3.500, 0.216, 2.945)                                     \
    X(COIL_PIPE_4, 9, "4", 4, 4.500, 0.237, 3.905)                                     \
    X(COIL_PIPE_6, 10, "6", 6, 6.625, 0.280, 5.845)                                    \
    X(COIL_PIPE_8, 11, "8", 8, 8.625, 0.322, 7.725)

enum coil_pipe_size {
    COIL_PIPE_SIZE_NONE = 0, /* not a pipe, or not said */
#define X(name, number, key, nominal, outside, wall, copper) name = number,
    COIL_PIPE_SIZE_LIST(X)
#undef X
};

/* "1.5"; NULL when not of the list. Lives as long as the program. */
const char *coil_pipe_size_key(enum coil_pipe_size size);
/* COIL_OK or COIL_ERR_UNKNOWN (also for NULL). */
enum coil_status coil_pipe_size_from_key(const char *key,
                                         enum coil_pipe_size *out_size);

/*
 * Inside diameter.
 *
 * out_inside_m untouched unless COIL_OK is returned
 * COIL_OK, or COIL_ERR_UNKNOWN for a material or size that is not of the lists.
 * Checked by fixtures/tables/pipe_schedule40.csv.
 */
enum coil_status coil_pipe_inside_m(enum coil_pipe_material material,
                                    enum coil_pipe_size size, double *out_inside_m);

/* Litres in one metre of pipe; inside_m > 0, not checked. */
double coil_pipe_l_per_m(double inside_m);

/*
 * Mean velocity.
 *
 * flow_l_per_s >= 0; 0 stands still
 * inside_m     > 0
 * COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 */
enum coil_status coil_pipe_velocity(double flow_l_per_s, double inside_m,
                                    double *out_m_per_s);

/*
 * Dynamic viscosity of water at 1 bar.
 *
 * temp_c   degC, -20 to 110, the range of the source
 * out_pa_s receives Pa s
 * COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 * Method: [patek-2009], four powers of T/300 K; from memory, gives 0.8900 mPa s at 25
 * degC and 1.0016 at 20 degC as printed everywhere.
 */
enum coil_status coil_water_viscosity(double temp_c, double *out_pa_s);

/*
 * Darcy's friction factor (four times Fanning's) in a round pipe.
 *
 * reynolds           > 0
 * relative_roughness height of the roughness by inside diameter, 0 (smooth) to 0.05
 * out_factor         untouched unless >= 0 is returned
 *
 * Up to 2000 it is 64/Re. From 4000 on Colebrook's equation is solved to 1e-12
 * [colebrook-1939] [moody-1944]. Between, flow is neither: the larger of the two, for
 * pressure is lost rather more than less, and COIL_WARN_RANGE; likewise above 1e8,
 * where the chart ends. COIL_OK, COIL_WARN_RANGE, COIL_ERR_NOT_FINITE or
 * COIL_ERR_DOMAIN.
 */
enum coil_status coil_friction_factor(double reynolds, double relative_roughness,
                                      double *out_factor);

/* Height of the roughness of new pipe, m: plastic and drawn tube 0.0015 mm, as printed
 * beside the chart of [moody-1944], from memory. */
#define COIL_PIPE_ROUGHNESS_M 0.0000015

/* One pipe with water flowing through it. */
struct coil_pipe_state {
    double inside_m;
    double volume_l;
    double velocity_m_per_s;
    double reynolds;             /* 0 when the water stands still */
    double friction_factor;      /* Darcy; 0 when the water stands still */
    double pressure_loss_pa;     /* straight pipe only, no bends or fittings */
    double wall_shear_pa;        /* on the wall, N/m2 */
    double copper_limit_m_per_s; /* of coil_copper_velocity_limit */
    bool is_too_fast;            /* copper, and faster than that */
};

/*
 * All of it for one pipe.
 *
 * length_m     > 0
 * flow_l_per_s >= 0
 * temp_c       0 to 100
 * out          untouched unless >= 0 is returned
 *
 * Pressure loss by Darcy and Weisbach: f L/D rho v2/2; shear f rho v2/8.
 * COIL_OK; COIL_WARN_RANGE as for the friction factor; COIL_ERR_NOT_FINITE;
 * COIL_ERR_DOMAIN; COIL_ERR_UNKNOWN (material or size).
 */
enum coil_status coil_pipe_state(enum coil_pipe_material material,
                                 enum coil_pipe_size size, double length_m,
                                 double flow_l_per_s, double temp_c,
                                 struct coil_pipe_state *out);

/*
 * Velocity that plumbers keep below in copper tube: 8 ft/s cold, 5 ft/s hot up to 60
 * degC, 2 ft/s (the lower of 2 to 3) above. [copper-tube-handbook], from memory. It
 * does not say where cold ends; 25 degC here is our choice.
 *
 * temp_c 0 to 100; COIL_OK, COIL_ERR_NOT_FINITE or COIL_ERR_DOMAIN.
 */
enum coil_status coil_copper_velocity_limit(double temp_c, double *out_m_per_s);

#endif
