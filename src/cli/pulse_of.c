#include "pulse_of.h"

#include <stdlib.h>

#include "evenhand/silent.h"

enum eh_status pulse_of(struct eh_pulse *out, const struct eh_judgement *judgement,
                        const char *silent_bars, struct eh_error *error) {
    const struct eh_plan *plan = &judgement->plan;
    *out = (struct eh_pulse){.stretches = NULL};
    if (silent_bars == NULL || silent_bars[0] == '\0' || judgement->no_click) {
        return EH_OK;
    }
    bool *silent = calloc(plan->bar_count, sizeof *silent);
    if (silent == NULL) {
        return eh_fail(error, EH_NO_MEMORY, "no memory for the silent bars");
    }
    enum eh_status status = eh_silent_parse(silent_bars, silent, plan->bar_count, error);
    if (status == EH_OK) {
        status = eh_pulse_measure(out, plan, judgement->matches, judgement->take->hits, silent);
    }
    free(silent);
    return status == EH_EMPTY       ? EH_OK
           : status == EH_NO_MEMORY ? eh_fail(error, status, "no memory for the silent bars")
                                    : status;
}
