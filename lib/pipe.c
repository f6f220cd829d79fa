#include "pipe.h"

#include <math.h>
#include <stddef.h>
#include <string.h>

#include "water.h"

#define METRE_PER_INCH 0.0254 /* [nist-sp811], exact */
#define METRE_PER_FOOT 0.3048 /* exact */
#define LAMINAR_END 2000.0
#define TURBULENT_START 4000.0
#define CHART_END 1e8
#define ROUGHEST 0.05

struct size {
    enum coil_pipe_size size;
    const char *key;
    double outside_in;
    double wall_in;
    double copper_in;
};

static const struct size SIZES[] = {
#define X(name, number, key, nominal, outside, wall, copper)                           \
    {name, key, outside, wall, copper},
    COIL_PIPE_SIZE_LIST(X)
#undef X
};

#define SIZE_COUNT (sizeof SIZES / sizeof *SIZES)

static const struct size *find(enum coil_pipe_size size)
{
    for (size_t i = 0; i < SIZE_COUNT; i++)
        if (SIZES[i].size == size)
            return &SIZES[i];
    return NULL;
}

const char *coil_pipe_size_key(enum coil_pipe_size size)
{
    const struct size *found = find(size);

    return found != NULL ? found->key : NULL;
}

enum coil_status coil_pipe_size_from_key(const char *key, enum coil_pipe_size *out_size)
{
    for (size_t i = 0; key != NULL && i < SIZE_COUNT; i++) {
        if (strcmp(SIZES[i].key, key) == 0) {
            *out_size = SIZES[i].size;
            return COIL_OK;
        }
    }
    return COIL_ERR_UNKNOWN;
}

enum coil_status coil_pipe_inside_m(enum coil_pipe_material material,
                                    enum coil_pipe_size size, double *out_inside_m)
{
    const struct size *found = find(size);

    if (found == NULL)
        return COIL_ERR_UNKNOWN;
    switch (material) {
    case COIL_PIPE_PLASTIC:
        *out_inside_m = (found->outside_in - 2.0 * found->wall_in) * METRE_PER_INCH;
        return COIL_OK;
    case COIL_PIPE_COPPER:
        *out_inside_m = found->copper_in * METRE_PER_INCH;
        return COIL_OK;
    }
    return COIL_ERR_UNKNOWN;
}

static double area_m2(double inside_m)
{
    static const double PI = 3.14159265358979323846;

    return 0.25 * PI * inside_m * inside_m;
}

double coil_pipe_l_per_m(double inside_m)
{
    return 1000.0 * area_m2(inside_m);
}

enum coil_status coil_pipe_velocity(double flow_l_per_s, double inside_m,
                                    double *out_m_per_s)
{
    double velocity;

    if (!isfinite(flow_l_per_s) || !isfinite(inside_m))
        return COIL_ERR_NOT_FINITE;
    if (!(flow_l_per_s >= 0.0 && inside_m > 0.0))
        return COIL_ERR_DOMAIN;
    velocity = flow_l_per_s / coil_pipe_l_per_m(inside_m);
    if (!isfinite(velocity))
        return COIL_ERR_NOT_FINITE;
    *out_m_per_s = velocity;
    return COIL_OK;
}

enum coil_status coil_water_viscosity(double temp_c, double *out_pa_s)
{
    double t = (temp_c + 273.15) / 300.0;

    if (!isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (!(temp_c >= -20.0 && temp_c <= 110.0))
        return COIL_ERR_DOMAIN;
    *out_pa_s = 1e-6 * (280.68 * pow(t, -1.9) + 511.45 * pow(t, -7.7) +
                        61.131 * pow(t, -19.6) + 0.45903 * pow(t, -40.0));
    return COIL_OK;
}

/*
 * Colebrook: x = -2 log10(e/3.7 + 2.51 x / Re) with x = 1/sqrt(f). The right side falls
 * slowly with x (slope above -0.3 from Re 2000 on), so that Newton from any start is
 * quick and safe.
 */
static double colebrook(double reynolds, double relative_roughness)
{
    static const double LN10 = 2.302585092994045684;
    double rough = relative_roughness / 3.7;
    double smooth = 2.51 / reynolds;
    double x = 7.0;

    for (int i = 0; i < 50; i++) {
        double inner = rough + smooth * x;
        double error = x + 2.0 * log10(inner);
        double step = error / (1.0 + 2.0 * smooth / (LN10 * inner));

        x -= step;
        if (fabs(step) < 1e-13 * x)
            break;
    }
    return 1.0 / (x * x);
}

enum coil_status coil_friction_factor(double reynolds, double relative_roughness,
                                      double *out_factor)
{
    if (!isfinite(reynolds) || !isfinite(relative_roughness))
        return COIL_ERR_NOT_FINITE;
    if (!(reynolds > 0.0 && relative_roughness >= 0.0 &&
          relative_roughness <= ROUGHEST))
        return COIL_ERR_DOMAIN;
    if (reynolds <= LAMINAR_END) {
        *out_factor = 64.0 / reynolds;
        return COIL_OK;
    }
    *out_factor = colebrook(reynolds, relative_roughness);
    if (reynolds >= TURBULENT_START)
        return reynolds <= CHART_END ? COIL_OK : COIL_WARN_RANGE;
    *out_factor = fmax(*out_factor, 64.0 / reynolds);
    return COIL_WARN_RANGE;
}

enum coil_status coil_copper_velocity_limit(double temp_c, double *out_m_per_s)
{
    if (!isfinite(temp_c))
        return COIL_ERR_NOT_FINITE;
    if (!(temp_c >= 0.0 && temp_c <= 100.0))
        return COIL_ERR_DOMAIN;
    *out_m_per_s = METRE_PER_FOOT * (temp_c <= 25.0 ? 8.0 : temp_c <= 60.0 ? 5.0 : 2.0);
    return COIL_OK;
}

/* Fills what depends on friction; the water moves. */
static enum coil_status put_friction(struct coil_pipe_state *state, double length_m,
                                     double temp_c)
{
    double density = 0.0, viscosity = 0.0, pressure_pa;
    enum coil_status status = coil_water_density(temp_c, &density);

    if (status < 0)
        return status;
    status = coil_water_viscosity(temp_c, &viscosity);
    if (status < 0)
        return status;
    state->reynolds = density * state->velocity_m_per_s * state->inside_m / viscosity;
    status =
        coil_friction_factor(state->reynolds, COIL_PIPE_ROUGHNESS_M / state->inside_m,
                             &state->friction_factor);
    if (status < 0)
        return status;
    pressure_pa = 0.5 * density * state->velocity_m_per_s * state->velocity_m_per_s;
    state->pressure_loss_pa =
        state->friction_factor * length_m / state->inside_m * pressure_pa;
    state->wall_shear_pa = 0.25 * state->friction_factor * pressure_pa;
    return isfinite(state->pressure_loss_pa) ? status : COIL_ERR_NOT_FINITE;
}

enum coil_status coil_pipe_state(enum coil_pipe_material material,
                                 enum coil_pipe_size size, double length_m,
                                 double flow_l_per_s, double temp_c,
                                 struct coil_pipe_state *out)
{
    struct coil_pipe_state state = {0};
    enum coil_status status = coil_pipe_inside_m(material, size, &state.inside_m);

    if (status != COIL_OK)
        return status;
    if (!isfinite(length_m))
        return COIL_ERR_NOT_FINITE;
    if (!(length_m > 0.0))
        return COIL_ERR_DOMAIN;
    status = coil_pipe_velocity(flow_l_per_s, state.inside_m, &state.velocity_m_per_s);
    if (status == COIL_OK)
        status = coil_copper_velocity_limit(temp_c, &state.copper_limit_m_per_s);
    if (status != COIL_OK)
        return status;
    state.volume_l = coil_pipe_l_per_m(state.inside_m) * length_m;
    state.is_too_fast = material == COIL_PIPE_COPPER &&
                        state.velocity_m_per_s > state.copper_limit_m_per_s;
    if (state.velocity_m_per_s > 0.0)
        status = put_friction(&state, length_m, temp_c);
    if (status >= 0)
        *out = state;
    return status;
}
