/* What a listener can notice, against what was published. */
#include <criterion/criterion.h>
#include <math.h>

#include "measure.h"

/* Friberg & Sundberg 1995, "Time discrimination in a monotonic, isochronous sequence", JASA 98(5),
 * 2524-2531 (abstract): 6 ms below spacings of about 240 ms, 2.5 % of the spacing above. It was
 * measured from 100 to 1000 ms; below 100 ms the rule is carried on. */
Test(limen, of_time_follows_the_published_rule) {
    static const struct {
        double spacing_ms, limen_ms;
    } rows[] = {{41.67, 6}, {62.5, 6},   {83.33, 6}, {100, 6},     {125, 6},
                {150, 6},   {200, 6},    {240, 6},   {250, 6.25},  {300, 7.5},
                {400, 10},  {500, 12.5}, {600, 15},  {750, 18.75}, {1000, 25}};
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        cr_expect_float_eq(limen_ms(rows[i].spacing_ms), rows[i].limen_ms, 1e-9, "%.2f ms",
                           rows[i].spacing_ms);
    }
}

/* Jesteadt, Wier & Green 1977, JASA 61, 169-177: dI/I = 0.463 (I/I0)^-0.072; the formula is quoted
 * from memory. The program's 1 dB must be no finer than what it gives at a soft practice level of
 * 30 dB over threshold, and no coarser than at 5 dB. */
Test(limen, of_level_lies_within_the_published_curve) {
    static const double levels[] = {5.0, 30.0};
    double limens[2];
    for (int i = 0; i < 2; i++) {
        const double weber = 0.463 * pow(10.0, -0.072 * levels[i] / 10.0);
        limens[i] = 10.0 * log10(1.0 + weber);
    }
    cr_expect_float_eq(limens[0], 1.54, 0.01);
    cr_expect_leq(LIMEN_DB, limens[0]);
    cr_expect_geq(LIMEN_DB, limens[1] - 0.1);
}
