/* Two texts beside each other. */
#ifndef EVENHAND_REPORT_BESIDE_H
#define EVENHAND_REPORT_BESIDE_H

#include "paper.h"

/* LEFT and RIGHT in two columns of the paper's width, indented by two; each is wrapped by itself,
 * and a newline in it begins a new line. Errors: EH_NO_MEMORY, which the paper's text remembers. */
void report_beside(const struct report_paper *paper, const char *left, const char *right);

#endif
