/*
 * How wide a band has to be, learnt from errors that were made before.
 *
 * A forecaster states its error as a multiple of the deviation that it had expected.
 * The multiples of the last readings are kept; their quantiles stretch the next band.
 * Works whatever the errors look like, as long as the next one comes from where the
 * last ones came from. Knows nothing of what is forecast.
 */
#ifndef COIL_BAND_H
#define COIL_BAND_H

#define COIL_BAND_MEMORY 96

/* Zeroed: nothing remembered. */
struct coil_band_memory {
    float ring[COIL_BAND_MEMORY];
    float sorted[COIL_BAND_MEMORY];
    int count;
    int next;
};

/* Adds an error (observed less expected, in expected deviations); the oldest goes when
 * the memory is full. Beyond +-50 counts as 50; NaN is left out. */
void coil_band_remember(struct coil_band_memory *memory, double error);

/*
 * Quantile of the remembered errors, together with ten that are taken for granted:
 * those of Student's t with 4 degrees (heavier tails than Gauss; a convention of ours).
 * So it has an answer from the first day on, and the pool's own errors soon outweigh
 * it.
 *
 * p  0.005 to 0.995; outside, the end is taken
 */
double coil_band_quantile(const struct coil_band_memory *memory, double p);

/* The same for one kind of errors out of several: memory of this kind, drawn towards
 * the quantile of all kinds as long as it holds few. */
double coil_band_quantile_of(const struct coil_band_memory *kind,
                             const struct coil_band_memory *all, double p);

#endif
