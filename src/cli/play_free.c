/* A run without a click: what the follower of the player's own tempo sees. */
#include "play_run.h"

#include <stdio.h>

/* Says once that the taps are none. */
static void tell_uneven(struct play_run *run) {
    if (run->place.uneven_taps && !run->uneven_told) {
        run->uneven_told = true;
        play_screen_line(run->screen, "Those were no even taps. Stop and begin again, or play on "
                                      "and judge the run");
        play_screen_line(run->screen, "later with --count-off 0.");
    }
}

/* The line that is drawn over: on a terminal, and not faster than time. */
static void show_place(struct play_run *run, int64_t now_ns) {
    const bool counting = now_ns < run->click->zero_ns && run->hit_count == 0;
    if (counting || run->hit_count + 1 == run->shown || run->clock.is_virtual) {
        return;
    }
    run->shown = run->hit_count + 1;
    play_screen_place(run->screen, &run->practice->plan, &run->place, run->hit_count);
}

void play_free_step(struct play_run *run, int64_t now_ns) {
    if (!run->open) {
        eh_practice_wait(run->practice, now_ns - run->began_ns);
        return;
    }
    eh_free_follower_place(run->own_tempo, &run->place);
    eh_practice_follow(run->practice, now_ns - run->click->zero_ns - run->lag_ns, &run->place);
    tell_uneven(run);
    show_place(run, now_ns);
}
