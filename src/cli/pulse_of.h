/* What the player's beat did in the silent bars of a run: live and from the history alike. */
#ifndef EVENHAND_CLI_PULSE_OF_H
#define EVENHAND_CLI_PULSE_OF_H

#include "evenhand/judgement.h"
#include "evenhand/pulse.h"

/* Measures it. SILENT_BARS is what is kept with the run (NULL or "": none). OUT is empty where no
 * bar that was judged is silent, or there was no click at all. Errors: EH_NO_MEMORY, EH_DAMAGED. */
EH_MUST_USE enum eh_status pulse_of(struct eh_pulse *out, const struct eh_judgement *judgement,
                                    const char *silent_bars, struct eh_error *error);

#endif
