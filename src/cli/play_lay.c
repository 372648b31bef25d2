#include "play_lay.h"

#include <math.h>

#include "command.h"
#include "say.h"

int play_lay(struct eh_practice *out_practice, const struct found_exercise *exercise,
             struct eh_practice_request request, double tempo, double *out_bpm) {
    struct eh_error error;
    eh_error_clear(&error);
    if (!isnan(tempo) && !(tempo >= EH_TEMPO_MIN && tempo <= EH_TEMPO_MAX)) {
        (void)eh_fail(&error, EH_OUT_OF_RANGE, "%g is outside %d to %d quarter notes a minute",
                      tempo, (int)EH_TEMPO_MIN, (int)EH_TEMPO_MAX);
        return cli_complain_error("--tempo", &error);
    }
    *out_bpm = isnan(tempo) ? eh_exercise_tempo_start(exercise->exercise) : tempo;
    request.bpm = *out_bpm;
    return eh_practice_init(out_practice, exercise->exercise, &request, &error) == EH_OK
               ? CLI_GOOD
               : cli_complain_error(exercise->name, &error);
}
