#include "chlorine.h"

#include <math.h>
#include <string.h>

#define LN_10 2.302585092994045684
#define WATER_ACTIVITY_SLOPE 0.017 /* [phreeqc-3] */
#define ROOT_STEPS_MAX 100
#define OUTER_STEPS_MAX 60

/* Forms in the order of their list. */
static const signed char CHLORINES[] = {
#define X(name, chlorines, charges) chlorines,
    COIL_CYANURATE_FORM_LIST(X)
#undef X
};
static const signed char CHARGES[] = {
#define X(name, chlorines, charges) charges,
    COIL_CYANURATE_FORM_LIST(X)
#undef X
};

void coil_chlorine_kernel_at(const struct coil_constants *constants,
                             double gamma_neutral, double gamma_charge_1,
                             double water_activity, struct coil_chlorine_kernel *out)
{
    double inverse = 1 / gamma_charge_1;
    double g4 = inverse * inverse * inverse * inverse;
    double per_charge[4] = {1, gamma_neutral * inverse, gamma_neutral * g4,
                            gamma_neutral * g4 * g4 * inverse};
    double per_chlorine = gamma_neutral / water_activity;
    double powers[4] = {1, per_chlorine, per_chlorine * per_chlorine,
                        per_chlorine * per_chlorine * per_chlorine};
    int form;

    memset(out->weight, 0, sizeof out->weight);
    for (form = 0; form < COIL_CYANURATE_FORM_COUNT; form++)
        out->weight[CHLORINES[form]][CHARGES[form]] =
            constants->cyanurate.formation[form] * per_charge[CHARGES[form]] *
            powers[CHLORINES[form]];
    out->ocl = constants->k_hocl * gamma_neutral * inverse;
}

/* Sums over the charges of the forms with n chlorine atoms. */
struct row_sums {
    double amount[4];
    double charge[4];
    double charge_squares[4];
};

/* rows: only the first, for waters without chlorine, or all four. */
static void sum_rows(const struct coil_chlorine_kernel *kernel, double h, int rows,
                     struct row_sums *out)
{
    double inverse = 1 / h, square = inverse * inverse, cube = square * inverse;
    int n;

    for (n = 0; n < rows; n++) {
        double w1 = kernel->weight[n][1] * inverse;
        double w2 = kernel->weight[n][2] * square;
        double w3 = kernel->weight[n][3] * cube;

        out->amount[n] = kernel->weight[n][0] + w1 + w2 + w3;
        out->charge[n] = w1 + 2 * w2 + 3 * w3;
        out->charge_squares[n] = w1 + 4 * w2 + 9 * w3;
    }
}

/* Means over all forms of one cyanurate. */
struct means {
    double partition; /* [total] / [H3Cy] */
    double chlorines;
    double chlorine_variance;
    double charges;
    double charge_squares;
    double covariance;
};

static void mean_of_forms(const struct row_sums *rows, double hocl, struct means *out)
{
    double z = rows->amount[0], n1 = 0, n2 = 0, na = 0, a1 = rows->charge[0];
    double a2 = rows->charge_squares[0], power = 1, inverse;
    int n;

    for (n = 1; n < 4 && hocl > 0; n++) {
        double amount, charge;

        power *= hocl;
        amount = rows->amount[n] * power;
        charge = rows->charge[n] * power;
        z += amount;
        n1 += n * amount;
        n2 += n * n * amount;
        a1 += charge;
        a2 += rows->charge_squares[n] * power;
        na += n * charge;
    }
    inverse = 1 / z;
    out->partition = z;
    out->chlorines = n1 * inverse;
    out->charges = a1 * inverse;
    out->charge_squares = a2 * inverse;
    out->chlorine_variance = n2 * inverse - out->chlorines * out->chlorines;
    out->covariance = na * inverse - out->chlorines * out->charges;
}

/* Bound chlorine per cyanurate and its slope times HOCl: all that the search needs. */
static void bound_chlorine(const struct row_sums *rows, double x, double *out_bound,
                           double *out_slope)
{
    double t1 = rows->amount[1] * x, t2 = rows->amount[2] * x * x;
    double t3 = rows->amount[3] * x * x * x;
    double inverse = 1 / (rows->amount[0] + t1 + t2 + t3);
    double mean = (t1 + 2 * t2 + 3 * t3) * inverse;

    *out_bound = mean;
    *out_slope = (t1 + 4 * t2 + 9 * t3) * inverse - mean * mean;
}

/*
 * HOCl from free + bound = chlorine. Bound chlorine rises with HOCl, and less and less,
 * so that Newton from below never passes the root; the bracket guards constants that a
 * caller changed. The start takes the first chlorine's strength for all: not above.
 */
static double find_hocl(const struct row_sums *rows, double free_per_hocl,
                        double chlorine, double cyanurate, double start,
                        int *out_iterations)
{
    double low = 0, high = chlorine / free_per_hocl;
    double least =
        chlorine / (free_per_hocl + cyanurate * rows->amount[1] / rows->amount[0]);
    double x = start > least && start < high ? start : least;
    int i;

    for (i = 1; i <= ROOT_STEPS_MAX; i++) {
        double bound, slope, excess, next;

        bound_chlorine(rows, x, &bound, &slope);
        excess = x * free_per_hocl + cyanurate * bound - chlorine;
        slope = free_per_hocl + cyanurate * slope / x;
        if (excess > 0)
            high = x;
        else
            low = x;
        next = x - excess / slope;
        if (!(next >= low && next <= high))
            next = (low + high) / 2;
        if (fabs(next - x) <= 1e-8 * x) {
            x = next; /* Newton squares the error: exact now */
            break;
        }
        x = next;
    }
    *out_iterations = i;
    return x;
}

/*
 * With n chlorine atoms and a charges per form, totals kept, the fluctuation of the two
 * over the forms gives the slopes exactly: d ln HOCl / d ln h = (OCl + Cy cov(n, a)) /
 * (HOCl + OCl + Cy var(n)).
 */
void coil_chlorine_split_at(const struct coil_chlorine_kernel *kernel, double h,
                            double chlorine, double cyanurate,
                            struct coil_chlorine_split *out)
{
    struct row_sums rows;
    struct means means;
    double ocl_per_hocl = kernel->ocl / h;
    double push, hold;

    sum_rows(kernel, h, chlorine > 0 ? 4 : 1, &rows);
    out->iterations = 0;
    if (chlorine > 0 && cyanurate > 0) {
        out->hocl = find_hocl(&rows, 1 + ocl_per_hocl, chlorine, cyanurate, out->hocl,
                              &out->iterations);
        mean_of_forms(&rows, out->hocl, &means);
    } else {
        out->hocl = chlorine / (1 + ocl_per_hocl);
        mean_of_forms(&rows, 0, &means);
    }
    out->ocl = ocl_per_hocl * out->hocl;
    out->h3cy = cyanurate / means.partition;
    out->alkalinity = out->ocl + cyanurate * means.charges;
    out->charge_squares = out->ocl + cyanurate * means.charge_squares;
    push = out->ocl + cyanurate * means.covariance;
    hold = out->hocl + out->ocl + cyanurate * means.chlorine_variance;
    out->alkalinity_slope =
        (hold > 0 ? push * push / hold : 0) - out->ocl -
        cyanurate * (means.charge_squares - means.charges * means.charges);
}

void coil_chlorine_forms(const struct coil_chlorine_kernel *kernel, double h,
                         const struct coil_chlorine_split *split, double *out_forms)
{
    int form, i;

    for (form = 0; form < COIL_CYANURATE_FORM_COUNT; form++) {
        int n = CHLORINES[form], a = CHARGES[form];
        double amount = kernel->weight[n][a] * split->h3cy;

        for (i = 0; i < n; i++)
            amount *= split->hocl;
        for (i = 0; i < a; i++)
            amount /= h;
        out_forms[form] = amount;
    }
}

static enum coil_status check_input(const struct coil_chlorine_input *in)
{
    if (!isfinite(in->ph) || !isfinite(in->chlorine_mol_per_kg) ||
        !isfinite(in->cyanurate_mol_per_kg) || !isfinite(in->salt_mol_per_kg))
        return COIL_ERR_NOT_FINITE;
    if (!(in->ph >= 0 && in->ph <= 14) ||
        !(in->chlorine_mol_per_kg >= 0 && in->chlorine_mol_per_kg <= 1) ||
        !(in->cyanurate_mol_per_kg >= 0 && in->cyanurate_mol_per_kg <= 1) ||
        !(in->salt_mol_per_kg >= 0 && in->salt_mol_per_kg <= 1))
        return COIL_ERR_DOMAIN;
    return COIL_OK;
}

/* What one pass at a given ionic strength found. */
struct pass {
    struct coil_chlorine_kernel kernel;
    struct coil_chlorine_split split;
    double ionic_strength;
    double water_activity;
};

static double davies_gamma(const struct coil_constants *k, double ionic_strength)
{
    double root = sqrt(ionic_strength);

    return exp(-k->debye_a * (root / (1 + root) - 0.3 * ionic_strength));
}

/* Species at the pass's ionic strength; then the two that follow from the species. */
static void make_pass(const struct coil_constants *k, enum coil_activity activity,
                      const struct coil_chlorine_input *in, double h, struct pass *pass)
{
    int ideal = activity == COIL_ACTIVITY_IDEAL;
    double gamma = ideal ? 1 : davies_gamma(k, pass->ionic_strength);
    double neutral = ideal ? 1 : exp(0.1 * LN_10 * pass->ionic_strength);
    double hydrogen = h / gamma;
    double hydroxide = k->k_w * pass->water_activity / (h * gamma);
    double sodium, solutes;

    coil_chlorine_kernel_at(k, neutral, gamma, pass->water_activity, &pass->kernel);
    coil_chlorine_split_at(&pass->kernel, h, in->chlorine_mol_per_kg,
                           in->cyanurate_mol_per_kg, &pass->split);
    sodium = pass->split.alkalinity + hydroxide - hydrogen; /* below 0: chloride */
    solutes = pass->split.hocl + pass->split.ocl + in->cyanurate_mol_per_kg + hydrogen +
              hydroxide + fabs(sodium) + 2 * in->salt_mol_per_kg;
    pass->ionic_strength =
        in->salt_mol_per_kg +
        0.5 * (pass->split.charge_squares + hydrogen + hydroxide + fabs(sodium));
    pass->water_activity = fmax(1 - WATER_ACTIVITY_SLOPE * solutes, 0.8);
}

enum coil_status coil_chlorine_solve(const struct coil_constants *constants,
                                     enum coil_activity activity,
                                     const struct coil_chlorine_input *input,
                                     struct coil_chlorine *out)
{
    struct pass pass = {.water_activity = 1};
    enum coil_status status = check_input(input);
    double h, before;
    int i, steps = 0;

    if (status != COIL_OK)
        return status;
    h = exp(-LN_10 * input->ph);
    pass.ionic_strength = input->salt_mol_per_kg;
    for (i = 0; i < OUTER_STEPS_MAX; i++) {
        before = pass.ionic_strength;
        make_pass(constants, activity, input, h, &pass);
        if (pass.split.iterations > steps)
            steps = pass.split.iterations;
        if (i > 0 && fabs(pass.ionic_strength - before) <= 1e-13 * before)
            break;
    }
    if (!isfinite(pass.split.hocl) || !isfinite(pass.ionic_strength))
        return COIL_ERR_NO_SOLUTION;
    out->hocl_mol_per_kg = pass.split.hocl;
    out->ocl_mol_per_kg = pass.split.ocl;
    coil_chlorine_forms(&pass.kernel, h, &pass.split, out->forms_mol_per_kg);
    out->ionic_strength_mol_per_kg = pass.ionic_strength;
    out->water_activity = pass.water_activity;
    out->alkalinity_eq_per_kg = pass.split.alkalinity;
    out->iterations = steps;
    if (!(constants->temp_c >= 5 && constants->temp_c <= 35) ||
        pass.ionic_strength > 0.5 ||
        (input->cyanurate_mol_per_kg > 0 &&
         !coil_cyanurate_measured_at(constants->cyanurate.source, constants->temp_c)))
        return COIL_WARN_RANGE;
    return COIL_OK;
}

enum coil_status coil_hocl_fraction(double temp_c, double ph, double *out_fraction)
{
    double temp_k = temp_c + 273.15;
    double pk = 3000 / temp_k - 10.0686 + 0.0253 * temp_k; /* [morris-1966] */

    if (!isfinite(temp_c) || !isfinite(ph))
        return COIL_ERR_NOT_FINITE;
    if (!(temp_c >= COIL_EQUILIBRIUM_TEMP_MIN_C &&
          temp_c <= COIL_EQUILIBRIUM_TEMP_MAX_C && ph >= 0 && ph <= 14))
        return COIL_ERR_DOMAIN;
    *out_fraction = 1 / (1 + exp(LN_10 * (ph - pk)));
    return temp_c >= 5 && temp_c <= 35 ? COIL_OK : COIL_WARN_RANGE;
}
