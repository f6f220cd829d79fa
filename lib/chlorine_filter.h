/*
 * The two filters inside chlorine_fit.h: how an estimate moves over a stretch of time,
 * by a dose and by a reading. Knows nothing of the sun's position or of errors of the
 * past.
 */
#ifndef COIL_CHLORINE_FILTER_H
#define COIL_CHLORINE_FILTER_H

#include "chlorine_fit.h"

/* Deviation that a reading has by itself, on the filter's scale. */
double coil_filter_chlorine_sd(double resolution, double near_mg_per_l);
double coil_filter_ph_sd(double resolution);

/* Where a stretch that is not closed yet would lead; also its variance as if each step
 * of noise had been added at its end. */
void coil_filter_chlorine_close(struct coil_fit_chlorine *track, double noise);
void coil_filter_ph_close(struct coil_fit_ph *track, double noise);

/* A dose at the end of a closed stretch: rise or, below 0, fall (mg/L). */
void coil_filter_chlorine_dose(struct coil_fit_chlorine *track, double rise_mg_per_l);
void coil_filter_ph_dose(struct coil_fit_ph *track, double change);
/* Part of the water replaced; ph_known keeps pH. */
void coil_filter_chlorine_fill(struct coil_fit_chlorine *track, double fraction);
/* A dose of unknown size. */
void coil_filter_chlorine_lose(struct coil_fit_chlorine *track);
void coil_filter_ph_lose(struct coil_fit_ph *track);

/* A reading at the end of a closed stretch. sd of the reading by itself. Returns how
 * far it lay from what was expected, in expected deviations. is_first: nothing was
 * known. */
double coil_filter_chlorine_read(struct coil_fit_chlorine *track, double y, double sd,
                                 bool is_first);
double coil_filter_ph_read(struct coil_fit_ph *track, double ph, double sd,
                           bool is_first);

/* An error beyond this many deviations is not believed to be chance. */
#define COIL_FILTER_ODD 2.5

#endif
