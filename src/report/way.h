/* Where the player left the written way. */
#ifndef EVENHAND_REPORT_WAY_H
#define EVENHAND_REPORT_WAY_H

#include "evenhand/judgement.h"
#include "paper.h"

/* A heading and a line a place; nothing where the way was kept. */
void report_way(const struct report_paper *paper, const struct eh_judgement *judgement);

#endif
