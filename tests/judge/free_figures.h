/* The parts of free_figures, each of which prints what it measures. */
#ifndef TESTS_JUDGE_FREE_FIGURES_H
#define TESTS_JUDGE_FREE_FIGURES_H

void free_courses(int seeds, const char *only);
void free_others(int seeds);
void free_random(int seeds);

#endif
