/* Passes that are too short to say anything each, put together. */
#ifndef EVENHAND_AGENDA_TOGETHER_H
#define EVENHAND_AGENDA_TOGETHER_H

#include "evenhand/rule.h"
#include "evidence.h"

/* Where the passes of RUN's turn (its piece and bars, its day, its tempo) stand together on the
 * question; EH_STANDS_FEW also where RUN has no number. */
enum eh_standing together_stands(const struct eh_agenda_input *input,
                                 const struct eh_agenda_run *run, const struct question *question);

#endif
