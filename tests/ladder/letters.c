#include "letters.h"

#include <criterion/criterion.h>
#include <stdio.h>

static struct eh_finding finding(uint8_t aspect, uint8_t side, double value, double half,
                                 double low, double high, const char *unit) {
    struct eh_finding f = {.aspect = aspect,
                           .side = side,
                           .fault = EH_FAULT_NO,
                           .value = value,
                           .low = value - half,
                           .high = value + half,
                           .limit_low = low,
                           .limit_high = high,
                           .n = 16};
    (void)snprintf(f.unit, sizeof f.unit, "%s", unit);
    return f;
}

size_t letter_findings(char letter, struct eh_finding *f) {
    f[0] = finding(EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT, 0.51, 0.02, 0.45, 0.55, "share");
    f[1] = finding(EH_ASPECT_DIDDLE_LEVEL, EH_SIDE_LEFT, -0.5, 0.8, -3, 3, "dB");
    f[2] = finding(EH_ASPECT_MISSED, EH_SIDE_BOTH, 0, 0, 0, 2, "strokes");
    f[3] = finding(EH_ASPECT_ACCENT, EH_SIDE_RIGHT, 7, 1, 4.5, 12, "dB");
    switch (letter) {
    case 'l':
        f[0] = finding(EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT, 0.61, 0.02, 0.45, 0.55, "share");
        f[0].fault = EH_FAULT_YES;
        f[0].verdict = EH_VERDICT_UNEVEN;
        f[0].direction = EH_DIRECTION_LATE;
        break;
    case 'w':
        f[1] = finding(EH_ASPECT_DIDDLE_LEVEL, EH_SIDE_LEFT, -6.0, 1.0, -3, 3, "dB");
        f[1].fault = EH_FAULT_YES;
        f[1].verdict = EH_VERDICT_UNEVEN;
        f[1].direction = EH_DIRECTION_WEAK;
        break;
    case 'm':
        f[2] = finding(EH_ASPECT_MISSED, EH_SIDE_BOTH, 7, 0, 0, 2, "strokes");
        f[2].fault = EH_FAULT_YES;
        f[2].verdict = EH_VERDICT_SOME;
        break;
    case 'u':
        f[0] = finding(EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT, 0.52, 0.08, 0.45, 0.55, "share");
        f[0].fault = EH_FAULT_UNCLEAR;
        break;
    case 'o':
        f[0] = finding(EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT, 0.56, 0.05, 0.45, 0.55, "share");
        f[0].fault = EH_FAULT_UNCLEAR;
        break;
    case 'f':
        f[0].n = 5;
        f[0].fault = EH_FAULT_UNCLEAR;
        break;
    case 't':
        f[0] = finding(EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT, 0.576, 0.03, 0.45, 0.55, "share");
        f[0].fault = EH_FAULT_UNCLEAR;
        break;
    case 'e':
        f[0] = finding(EH_ASPECT_DIDDLE_SPACING, EH_SIDE_LEFT, 0.39, 0.02, 0.45, 0.55, "share");
        f[0].fault = EH_FAULT_YES;
        f[0].verdict = EH_VERDICT_UNEVEN;
        f[0].direction = EH_DIRECTION_EARLY;
        break;
    case 's':
        f[3].fault = EH_FAULT_UNCLEAR;
        break;
    case 'n':
        return 0;
    default:
        break;
    }
    return FINDINGS;
}

void letter_ladder(struct eh_ladder *ladder, const struct eh_ladder_request *request) {
    struct eh_error error = {0};
    cr_assert_eq(eh_ladder_init(ladder, request, &error), EH_OK, "%s", error.text);
}

void letter_play(struct eh_ladder *ladder, char letter, int32_t sitting) {
    struct eh_finding findings[FINDINGS];
    const struct eh_ladder_pass pass = {.bpm = ladder->step.bpm,
                                        .stage = ladder->step.stage,
                                        .sitting = sitting,
                                        .seconds = 20.0,
                                        .broken_off = letter == 'x',
                                        .level_scale_sd = 0.1,
                                        .findings = findings,
                                        .finding_count = letter_findings(letter, findings)};
    struct eh_error error = {0};
    cr_assert_eq(eh_ladder_pass(ladder, &pass, &error), EH_OK, "%s", error.text);
}
