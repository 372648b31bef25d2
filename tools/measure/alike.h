/* How far two exercises go together: what nobody could tell apart is no other exercise. */
#ifndef MEASURE_ALIKE_H
#define MEASURE_ALIKE_H

#include "written.h"

/* Of the main strokes of both, the share that fall within 30 ms of one of the other's, 0 .. 1, when
 * OTHER is played exactly in time from that bar line of W on where most do. Strokes after the end
 * of the shorter one count only where OTHER outlasts W from a later bar. Accents, levels, grace
 * notes and hands are left aside. */
double alike(const struct written *w, const struct written *other);

#endif
