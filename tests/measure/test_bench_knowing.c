/* The matcher that knows where presses are played: it is a bound only while it errs less than
 * anyone who has to find out. */
#include <criterion/criterion.h>
#include <criterion/new/assert.h>
#include <stdlib.h>
#include <string.h>

#include "knowing.h"
#include "scores.h"

struct stage {
    struct written w;
    struct player player;
    struct intents intents;
    struct blows blows;
    struct reported reported;
    struct kit kit;
};

static void close_stage(struct stage *s) {
    written_close(&s->w);
    intents_free(&s->intents);
    blows_free(&s->blows);
    reported_free(&s->reported);
}

/* Eight runs of a press roll in 16ths; what is left out, added and echoed is a share. */
static struct agreement matched(const char *pad, double bpm, double missed, double extra,
                                double echoes) {
    struct stage s;
    struct chance chance;
    struct agreement sum = {0};
    char text[SCORES_TEXT];
    memset(&s, 0, sizeof s);
    pattern_bars(PATTERN_BUZZ, 4, bpm, text);
    cr_assert(written_open(&s.w, "roll", text, bpm, 0));
    cr_assert(knowing_presses(&s.w));
    chance_seed(&chance, 11);
    for (int run = 0; run < 8; run++) {
        player_draw(&s.player, PLAYER_PROFESSIONAL, &s.w, 4.5, 12.0, &chance);
        s.player.missed = missed;
        s.player.extra = extra;
        s.kit = kit_draw(kit_named(pad), &chance);
        s.kit.echoes = echoes;
        (void)course_set_out(COURSE_STRAIGHT, &s.w, NULL, &chance, &s.intents);
        perform(&s.w, &s.intents, &s.player, &chance, &s.blows);
        kit_report(&s.kit, &s.blows, &chance, &s.reported);
        struct eh_match *m = calloc(s.w.plan.due_count, sizeof *m);
        cr_assert_not_null(m);
        const struct knowing knowing = {&s.w, &s.blows, &s.reported, &s.player, &s.kit};
        knowing_match_presses(&knowing, m);
        const struct agreement a = agree(&s.w, &s.blows, &s.reported, m);
        agreement_add(&sum, &a);
        free(m);
    }
    close_stage(&s);
    return sum;
}

Test(bench_knowing, presses_that_do_not_meet_are_told_apart) {
    const struct agreement a = matched("good", 60.0, 0.0, 0.0, 0.0);
    cr_expect(a.played > 200);
    cr_expect(agreement_f(&a, NEAR) == 1.0, "F %.4f", agreement_f(&a, NEAR));
    cr_expect(agreement_f(&a, STRICT) > 0.995, "F %.4f", agreement_f(&a, STRICT));
}

Test(bench_knowing, a_pad_that_hides_nothing_leaves_hardly_a_doubt) {
    const struct agreement a = matched("open", 150.0, 0.0, 0.0, 0.0);
    cr_expect(agreement_f(&a, STRICT) > 0.99, "F %.4f", agreement_f(&a, STRICT));
}

Test(bench_knowing, hidden_onsets_are_found_nearly) {
    const struct agreement a = matched("good", 150.0, 0.0, 0.0, 0.0);
    cr_expect(agreement_f(&a, NEAR) > 0.998, "F %.4f", agreement_f(&a, NEAR));
}

Test(bench_knowing, strokes_left_out_and_added_and_echoes_are_told_from_presses) {
    const struct agreement a = matched("good", 150.0, 0.05, 0.05, 0.03);
    cr_expect(agreement_f(&a, NEAR) > 0.995, "F %.4f", agreement_f(&a, NEAR));
}
