#include "play_run.h"

#include <stdlib.h>
#include <string.h>

#include "evenhand/clock.h"

#include "say.h"

enum { BATCH = 128, HITS_MOST = 1 << 17 };

/* How long the loop sleeps: short against what an ear or eye notices. */
static const int64_t step_ns = 3 * EH_NS_PER_MS;
static const int64_t virtual_step_ns = 20 * EH_NS_PER_MS;

/* A hit may be on its way through the driver for so long before it is seen. */
static const int64_t in_flight_ns = 60 * EH_NS_PER_MS;

int play_run_prepare(struct play_run *run) {
    const size_t due = run->practice->plan.due_count;
    run->hits = calloc(HITS_MOST, sizeof *run->hits);
    run->fates = calloc(HITS_MOST, sizeof *run->fates);
    run->matches = calloc(due, sizeof *run->matches);
    run->last_ns = INT64_MIN;
    run->followed_ns = INT64_MIN;
    const struct eh_follow_room room = {
        .hits = run->hits, .matches = run->matches, .fates = run->fates, .hit_capacity = HITS_MOST};
    const bool has_room = run->hits != NULL && run->fates != NULL && run->matches != NULL;
    const struct eh_plan *plan = &run->practice->plan;
    const int32_t taps = play_count_off(run->terms.options);
    const enum eh_status status =
        !has_room ? EH_NO_MEMORY
        : run->practice->no_click
            ? eh_free_follower_new(&run->own_tempo, plan, run->terms.pad, taps, run->hits)
            : eh_follower_new(&run->follower, plan, run->terms.pad, &room);
    if (status != EH_OK) {
        return cli_complain("no memory for a run of %zu strokes", due);
    }
    return CLI_GOOD;
}

void play_run_deinit(struct play_run *run) {
    eh_follower_free(run->follower);
    eh_free_follower_free(run->own_tempo);
    free(run->hits);
    free(run->fates);
    free(run->matches);
    run->follower = NULL;
    run->own_tempo = NULL;
    run->hits = NULL;
    run->fates = NULL;
    run->matches = NULL;
}

static void follow_hit(struct play_run *run, const struct eh_hit *hit) {
    const bool counted = !eh_practice_hit(run->practice, hit->at_ns);
    if (run->hit_count == HITS_MOST || (counted && run->own_tempo != NULL)) {
        return;
    }
    run->hits[run->hit_count] = *hit;
    if (run->own_tempo != NULL) {
        eh_free_follower_feed(run->own_tempo, run->hit_count);
    } else {
        (void)eh_follower_feed(run->follower, run->hit_count);
    }
    run->hit_count++;
}

/* A hit on the run's clock. Stamps never fall: drivers that correct theirs may put one before its
 * neighbour. Every hit is kept; the pad's own are followed. Where nothing is counted the pad's
 * first one opens the run. */
static void take_hit(struct play_run *run, struct eh_hit hit) {
    const enum eh_control control = eh_control_feed(&run->control, run->terms.pad, &hit, false);
    if (control != EH_CONTROL_NONE && run->wish == PLAY_WISH_NONE) {
        run->wish = play_wish_of(control);
        eh_practice_stop(run->practice, EH_END_STOPPED);
    }
    if (!run->open && !eh_pad_owns(run->terms.pad, hit.note)) {
        return;
    }
    if (!run->open) {
        run->click->zero_ns = hit.at_ns;
        run->open = true;
    }
    hit.at_ns -= run->click->zero_ns;
    hit.at_ns = hit.at_ns < run->last_ns ? run->last_ns : hit.at_ns;
    run->last_ns = hit.at_ns;
    play_keep_hit(run->keep, &hit);
    if (!eh_pad_owns(run->terms.pad, hit.note)) {
        return;
    }
    hit.at_ns -= run->lag_ns;
    hit.at_ns = hit.at_ns < run->followed_ns ? run->followed_ns : hit.at_ns;
    run->followed_ns = hit.at_ns;
    follow_hit(run, &hit);
}

static void take_hits(struct play_run *run, int64_t now_ns) {
    struct eh_hit batch[BATCH];
    size_t n = BATCH;
    while (n == BATCH) {
        n = play_source_poll(run->source, now_ns, run->source_zero_ns, batch, BATCH);
        for (size_t i = 0; i < n; i++) {
            take_hit(run, batch[i]);
        }
    }
}

static int compare_lags(const void *a, const void *b) {
    const int64_t x = *(const int64_t *)a;
    const int64_t y = *(const int64_t *)b;
    return (x > y) - (x < y);
}

/* What is shown while playing goes by the latest clicks, as the judgement of the whole run goes by
 * all of them. */
static void update_lag(struct play_run *run, const struct eh_run_click *click) {
    run->lags[run->lag_count++ % EH_CLICK_WINDOW] =
        click->at_ns - eh_tempo_map_ns(&run->practice->click, click->at);
    if (run->lag_count >= EH_CLICK_WINDOW) {
        int64_t sorted[EH_CLICK_WINDOW];
        memcpy(sorted, run->lags, sizeof sorted);
        qsort(sorted, EH_CLICK_WINDOW, sizeof sorted[0], compare_lags);
        run->lag_ns = sorted[EH_CLICK_WINDOW / 2];
    }
}

static void take_clicks(struct play_run *run, int64_t now_ns) {
    struct eh_run_click batch[BATCH];
    const size_t n = play_click_step(run->click, now_ns, batch, BATCH);
    play_keep_clicks(run->keep, batch, n);
    for (size_t i = 0; i < n; i++) {
        update_lag(run, &batch[i]);
    }
}

/* One line about a bar; none about bars after the player has stopped. */
static void report_bar(struct play_run *run, size_t bar) {
    const struct eh_measure_input input = {.plan = &run->practice->plan,
                                           .hits = run->hits,
                                           .hit_count = run->hit_count,
                                           .matches = run->matches,
                                           .fates = run->fates,
                                           .pad = run->terms.pad,
                                           .style = run->terms.style,
                                           .resolution_ns = run->keep->take.resolution_ns};
    struct eh_bar_summary summary;
    eh_measure_bar(&input, bar, &summary);
    const bool broken_off =
        eh_practice_is_over(run->practice) && eh_practice_end(run->practice) != EH_END_EXERCISE;
    if (!broken_off || summary.matched > 0) {
        play_screen_bar(run->screen, &summary);
    }
}

static void report(struct play_run *run) {
    struct eh_practice_event event;
    while (eh_practice_next(run->practice, &event)) {
        if (event.kind == EH_EVENT_BAR_SETTLED) {
            report_bar(run, event.bar);
        } else if (event.kind == EH_EVENT_BAR_HEARD) {
            play_screen_heard(run->screen, &run->practice->plan, &event.heard);
        }
    }
}

static void look_for_trouble(struct play_run *run) {
    const char *click = play_click_trouble(run->click);
    const char *source = play_source_trouble(run->source);
    if (click != NULL || source != NULL) {
        play_screen_end(run->screen);
    }
    if (click != NULL) {
        (void)cli_complain("%s", click);
    }
    if (source != NULL) {
        (void)cli_complain("%s; what was played is kept", source);
        eh_practice_stop(run->practice, EH_END_GONE);
    }
    if (play_signals_caught()) {
        eh_practice_stop(run->practice, EH_END_STOPPED);
    }
}

static void show_beat(struct play_run *run, int64_t now_ns) {
    const struct eh_beat *beat = play_click_beat(run->click, now_ns);
    const bool silent = run->click->audio == NULL || run->click->gone;
    if (beat != NULL && silent && !run->clock.is_virtual) {
        play_screen_beat(run->screen, run->practice, beat);
    }
}

static void follow_click(struct play_run *run, int64_t now_ns) {
    const int64_t in_run_ns = now_ns - run->click->zero_ns - run->lag_ns;
    eh_follower_advance(run->follower,
                        run->source->midi != NULL ? in_run_ns - in_flight_ns : in_run_ns);
    eh_practice_advance(run->practice, in_run_ns, eh_follower_settled_due(run->follower));
}

static void step(struct play_run *run, int64_t now_ns) {
    take_hits(run, now_ns);
    take_clicks(run, now_ns);
    if (run->own_tempo != NULL) {
        play_free_step(run, now_ns);
    } else {
        follow_click(run, now_ns);
    }
    look_for_trouble(run);
    show_beat(run, now_ns);
    if (!eh_practice_is_over(run->practice)) {
        report(run);
    }
    play_keep_step(run->keep, eh_clock_now_ns());
}

static int64_t next_step_ns(const struct play_run *run, int64_t now_ns) {
    const int64_t next = play_source_next_ns(run->source, run->source_zero_ns);
    const int64_t usual = now_ns + (run->clock.is_virtual ? virtual_step_ns : step_ns);
    return next > now_ns && next < usual ? next : usual;
}

/* Where nothing is counted the demo player begins after the usual lead, and the run with it. */
static void begin(struct play_run *run) {
    run->began_ns = play_clock_now(&run->clock);
    run->open = !run->practice->uncounted;
    run->source_zero_ns = run->click->zero_ns;
    if (!run->open) {
        run->source_zero_ns -= play_source_first_ns(run->source);
    }
}

void play_run_play(struct play_run *run) {
    play_source_clear(run->source);
    play_click_start(run->click, &run->clock);
    begin(run);
    while (!eh_practice_is_over(run->practice)) {
        const int64_t now_ns = play_clock_now(&run->clock);
        step(run, now_ns);
        play_clock_wait(&run->clock, next_step_ns(run, now_ns));
    }
    play_click_hush(run->click);
    take_clicks(run, play_clock_now(&run->clock));
    if (run->follower != NULL) {
        eh_follower_finish(run->follower);
    }
    eh_practice_finish(run->practice);
    report(run);
    play_screen_end(run->screen);
}
