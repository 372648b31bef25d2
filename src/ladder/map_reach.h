/* What a pad's map may be wrong by, as part of an interval in dB. */
#ifndef EVENHAND_LADDER_MAP_REACH_H
#define EVENHAND_LADDER_MAP_REACH_H

/* How far a map that may be stretched or squeezed by SCALE_SD moves VALUE down and up. */
void pool_map_reach(double value, double scale_sd, double *out_down, double *out_up);

#endif
