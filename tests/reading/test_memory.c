/* Every allocation of a reading fails once: the status says so, and nothing leaks. */
#include <stdio.h>
#include <string.h>

#include "evenhand/exercise_text.h"
#include "evenhand/reading.h"
#include "failing_malloc.h"

static const char text[] =
    "|: p cresc 16:R/L/R/L/ 4:lR> 8:3[RLR] 4:Rz | f 16:R/L/R/L/ 4:R 8:RL RL | "
    "16:RLRL RLRL RLRL RLRL :| mf 16:RLRL dim RLRL R/L/R/L/ R/L/ end 8:L |";

int main(void) {
    struct eh_exercise *exercise = NULL;
    if (eh_exercise_parse(&exercise, text, strlen(text), NULL) != EH_OK) {
        return 1;
    }
    const long before = alive;
    int failed = 0;
    bool reached = true;
    for (long at = 0; reached; at++) {
        struct eh_reading reading;
        until_failure = at;
        const enum eh_status status = eh_reading_make(&reading, exercise);
        reached = until_failure < 0;
        until_failure = -1;
        failed += status != (reached ? EH_NO_MEMORY : EH_OK);
        failed += reached && (reading.bars != NULL || reading.places != NULL);
        failed += !reached && at < 5;
        eh_reading_deinit(&reading);
        failed += alive != before;
        printf("allocation %ld: %s\n", at, eh_status_text(status));
    }
    eh_exercise_free(exercise);
    return failed > 0;
}
