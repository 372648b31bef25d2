#include "shading.h"

#include <math.h>

static const double contrast_reach = 0.4; /* of the logarithm */
static const double day_sd = 0.05;
static const double loudest_db = -1.5; /* as in player_make_room */

double shading_draw(struct chance *chance) {
    return exp(chance_between(chance, -contrast_reach, contrast_reach));
}

double shading_slip(struct chance *chance) {
    const double size = -log(chance_unit(chance)) / sqrt(2.0);
    return chance_happens(chance, 0.5) ? size : -size;
}

double shading_of_a_day(struct chance *chance) {
    return exp(day_sd * shading_slip(chance));
}

void shade(struct blows *blows, double contrast) {
    for (size_t i = 0; i < blows->count; i++) {
        blows->row[i].level_db = loudest_db + contrast * (blows->row[i].level_db - loudest_db);
    }
}
