#include "play_click.h"

#include "say.h"

/* Beats are handed over this long before they are due: far more than any device's latency. */
static const int64_t ahead_ns = 3 * EH_NS_PER_S;

/* From the start to the first click. */
static const int64_t lead_ns = 700 * EH_NS_PER_MS;

enum { BATCH = 64 };

void play_click_open(struct play_click *out, const struct eh_practice *practice,
                     const struct play_options *options) {
    *out = (struct play_click){.practice = practice};
    if (options->no_sound || options->fast || practice->beat_count == 0) {
        return;
    }
    const struct eh_click_request request = {.device = options->audio,
                                             .volume = (double)options->volume / 100.0};
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_click_open(&out->audio, &request, &error) != EH_OK) {
        out->audio = NULL;
        (void)cli_complain("no click: %s (the practice goes on)", error.text);
    }
}

void play_click_start(struct play_click *click, const struct play_clock *clock) {
    const int64_t start_ns = eh_practice_start_ns(click->practice);
    click->zero_ns = play_clock_now(clock) + (clock->is_virtual ? 0 : lead_ns) - start_ns;
    if (click->audio == NULL) {
        return;
    }
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_click_start(click->audio, lead_ns) == EH_OK) {
        click->zero_ns = eh_click_zero_ns(click->audio) - start_ns;
    }
}

static enum eh_click_sound sound_of(const struct eh_beat *beat) {
    switch ((enum eh_beat_weight)beat->weight) {
    case EH_BEAT_ONE:
        return EH_CLICK_ACCENT;
    case EH_BEAT_PLAIN:
        return EH_CLICK_BEAT;
    case EH_BEAT_SUBDIVISION:
        break;
    }
    return EH_CLICK_SUB;
}

/* Beats of silent bars are passed over: nothing is asked of the sound, and its times in between
 * lead from the last click before them to the first one after. */
static void pass_over_silence(struct play_click *click) {
    const struct eh_practice *practice = click->practice;
    while (click->scheduled < practice->beat_count && practice->beats[click->scheduled].silent) {
        click->scheduled++;
    }
}

static void schedule(struct play_click *click, int64_t now_ns) {
    const struct eh_practice *practice = click->practice;
    struct eh_click_beat batch[BATCH];
    size_t n = 0;
    pass_over_silence(click);
    while (n < BATCH && click->scheduled + n < practice->beat_count) {
        const struct eh_beat *beat = &practice->beats[click->scheduled + n];
        if (beat->silent || click->zero_ns + beat->at_ns > now_ns + ahead_ns) {
            break;
        }
        batch[n++] = (struct eh_click_beat){.due_ns = beat->at_ns - eh_practice_start_ns(practice),
                                            .sound = (uint8_t)sound_of(beat),
                                            .at = beat->at};
    }
    click->scheduled += n > 0 ? eh_click_schedule(click->audio, batch, n) : 0;
}

size_t play_click_step(struct play_click *click, int64_t now_ns, struct eh_run_click *out_clicks,
                       size_t room) {
    if (click->audio == NULL || click->gone) {
        return 0;
    }
    schedule(click, now_ns);
    struct eh_click_sounded sounded[BATCH];
    const size_t n = eh_click_sounded(click->audio, sounded, room < BATCH ? room : BATCH);
    size_t kept = 0;
    for (size_t i = 0; i < n; i++) {
        if (!sounded[i].late) {
            out_clicks[kept++] = (struct eh_run_click){
                .at = sounded[i].at, .at_ns = sounded[i].sounds_ns - click->zero_ns};
        }
    }
    return kept;
}

const struct eh_beat *play_click_beat(struct play_click *click, int64_t now_ns) {
    const struct eh_practice *practice = click->practice;
    const struct eh_beat *latest = NULL;
    while (click->shown < practice->beat_count &&
           click->zero_ns + practice->beats[click->shown].at_ns <= now_ns) {
        const struct eh_beat *beat = &practice->beats[click->shown++];
        latest = beat->weight != EH_BEAT_SUBDIVISION ? beat : latest;
    }
    return latest;
}

const char *play_click_trouble(struct play_click *click) {
    if (click->audio == NULL || click->gone || eh_click_health(click->audio) == EH_CLICK_WELL) {
        return NULL;
    }
    click->gone = true;
    if (click->practice->no_click && click->shown == click->practice->beat_count) {
        return NULL; /* it had fallen silent anyway */
    }
    return "the click's device has gone; the practice goes on, with the beat in the terminal";
}

void play_click_hush(struct play_click *click) {
    if (click->audio != NULL && !click->gone) {
        eh_click_hush(click->audio);
    }
}

void play_click_close(struct play_click *click) {
    eh_click_close(click->audio);
    click->audio = NULL;
}
