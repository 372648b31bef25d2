#include "play_keep.h"

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "evenhand/exercise_text.h"
#include "evenhand/pad_file.h"
#include "evenhand/settings.h"
#include "history_file.h"
#include "local_time.h"
#include "play_metres.h"
#include "say.h"

/* Hits wait this long at most for the disk, so that a program that is killed loses less than a
 * second. */
static const int64_t store_every_ns = 250 * EH_NS_PER_MS;

static void complain_store(struct play_keep *keep, const char *what) {
    if (!keep->complained) {
        (void)cli_complain("history: %s: %s; the practice goes on", what,
                           eh_store_error(keep->store)->text);
    }
    keep->complained = true;
}

/* What a run is judged by, as texts. */
struct run_texts {
    struct eh_text exercise, style, pad;
};

static enum eh_status write_texts(struct run_texts *out, const struct play_terms *terms) {
    eh_style_print(terms->style, &out->style);
    eh_pad_print(terms->pad, &out->pad);
    const bool good = eh_exercise_print(terms->exercise->exercise, &out->exercise) == EH_OK &&
                      eh_text_status(&out->style) == EH_OK && eh_text_status(&out->pad) == EH_OK;
    return good ? EH_OK : EH_NO_MEMORY;
}

static enum eh_status begin_sitting(struct play_keep *keep, const struct play_terms *terms) {
    struct eh_store_sitting *sitting = terms->sitting;
    if (sitting == NULL || sitting->number != 0) {
        return EH_OK;
    }
    sitting->begun_utc_s = keep->started_utc_s;
    sitting->utc_offset_s = local_offset_s(keep->started_utc_s);
    return eh_store_sitting_begin(keep->store, sitting, &sitting->number);
}

static enum eh_status begin_run(struct play_keep *keep, const struct play_terms *terms,
                                const struct play_source *source, const struct run_texts *texts) {
    const bool demo = terms->options->demo != NULL;
    char seed[24];
    (void)snprintf(seed, sizeof seed, "%lld", (long long)terms->options->seed);
    const struct eh_run_info info = {.started_utc_s = keep->started_utc_s,
                                     .utc_offset_s = local_offset_s(keep->started_utc_s),
                                     .source = demo ? EH_SOURCE_DEMO : EH_SOURCE_LIVE,
                                     .player = terms->options->player,
                                     .port = demo ? "" : play_source_name(source),
                                     .demo_fault = demo ? terms->options->demo : "",
                                     .demo_seed = demo ? seed : "",
                                     .exercise = terms->exercise->name,
                                     .exercise_text = eh_text_string(&texts->exercise),
                                     .style = terms->style->name,
                                     .style_text = eh_text_string(&texts->style),
                                     .pad_text = eh_text_string(&texts->pad),
                                     .plan = terms->practice->request,
                                     .no_click = terms->options->no_click,
                                     .count_off = play_count_off(terms->options),
                                     .sitting = terms->sitting != NULL ? terms->sitting->number : 0,
                                     .stage = terms->stage,
                                     .silent_bars = terms->silent_bars,
                                     .tempo_bpm = terms->bpm,
                                     .zero_ns = 0,
                                     .resolution_ns = keep->take.resolution_ns,
                                     .metres = keep->take.metres,
                                     .metre_count = keep->take.metre_count};
    return eh_store_run_begin(keep->store, &info, &keep->run);
}

static void begin_history(struct play_keep *keep, const struct play_terms *terms,
                          const struct play_source *source) {
    if (history_open(&keep->store, terms->options->db, EH_STORE_WRITE) != CLI_GOOD) {
        (void)cli_complain("history: this run will not be kept; the practice goes on");
        return;
    }
    struct run_texts texts = {.exercise = {0}};
    if (write_texts(&texts, terms) != EH_OK || begin_sitting(keep, terms) != EH_OK ||
        begin_run(keep, terms, source, &texts) != EH_OK) {
        keep->run = 0;
        complain_store(keep, "this run will not be kept");
    }
    eh_text_deinit(&texts.exercise);
    eh_text_deinit(&texts.style);
    eh_text_deinit(&texts.pad);
}

int play_keep_begin(struct play_keep *out, const struct play_terms *terms,
                    const struct play_source *source) {
    *out = (struct play_keep){.started_utc_s = (int64_t)time(NULL)};
    if (play_metres_lay(&out->take, terms->practice, terms->bpm) != EH_OK) {
        return cli_complain("no memory for a run");
    }
    out->take.resolution_ns = play_source_resolution_ns(source);
    begin_history(out, terms, source);
    return CLI_GOOD;
}

void play_keep_hit(struct play_keep *keep, const struct eh_hit *hit) {
    if (eh_take_add(&keep->take, hit) != EH_OK) {
        keep->memory_failed = true;
    }
}

void play_keep_clicks(struct play_keep *keep, const struct eh_run_click *clicks, size_t n) {
    if (keep->click_count + n > keep->click_capacity) {
        const size_t capacity = keep->click_capacity * 2 + n + 256;
        struct eh_run_click *grown = realloc(keep->clicks, capacity * sizeof *grown);
        if (grown == NULL) {
            keep->memory_failed = true;
            return;
        }
        keep->clicks = grown;
        keep->click_capacity = capacity;
    }
    for (size_t i = 0; i < n; i++) {
        keep->clicks[keep->click_count++] = clicks[i];
    }
}

/* What could not be written now is offered again the next time. */
static void store_new(struct play_keep *keep) {
    if (keep->run == 0) {
        return;
    }
    const size_t hits = keep->take.count;
    if (hits > keep->stored_hits) {
        if (eh_store_run_add_hits(keep->store, keep->run, keep->take.hits + keep->stored_hits,
                                  hits - keep->stored_hits) == EH_OK) {
            keep->stored_hits = hits;
        } else {
            complain_store(keep, "hits cannot be written now");
        }
    }
    if (keep->click_count > keep->stored_clicks) {
        if (eh_store_run_add_clicks(keep->store, keep->run, keep->clicks + keep->stored_clicks,
                                    keep->click_count - keep->stored_clicks) == EH_OK) {
            keep->stored_clicks = keep->click_count;
        } else {
            complain_store(keep, "clicks cannot be written now");
        }
    }
}

void play_keep_step(struct play_keep *keep, int64_t now_ns) {
    if (now_ns - keep->stored_at_ns >= store_every_ns) {
        store_new(keep);
        keep->stored_at_ns = now_ns;
    }
}

static enum eh_run_ended ended_of(enum eh_practice_end end) {
    switch (end) {
    case EH_END_EXERCISE:
        return EH_RUN_COMPLETE;
    case EH_END_SILENCE:
        return EH_RUN_SILENCE;
    case EH_END_GONE:
        return EH_RUN_VANISHED;
    case EH_END_NOTHING:
    case EH_END_STOPPED:
    case EH_END_NOT_YET:
        break;
    }
    return EH_RUN_STOPPED;
}

static void end_history(struct play_keep *keep, enum eh_practice_end end, uint32_t dropped) {
    if (keep->run == 0) {
        return;
    }
    if (keep->take.count == 0) {
        struct eh_error error;
        if (eh_store_run_delete(keep->store, keep->run, &error) == EH_OK) {
            keep->run = 0;
        }
        return;
    }
    keep->complained = false;
    store_new(keep);
    if (eh_store_run_end(keep->store, keep->run, ended_of(end), dropped) != EH_OK) {
        complain_store(keep, "the end of the run cannot be written");
    }
}

int play_keep_end(struct play_keep *keep, enum eh_practice_end end, const struct play_terms *terms,
                  uint32_t dropped) {
    keep->take.dropped = dropped;
    end_history(keep, end, dropped);
    struct eh_tempo_map heard = {0};
    if (keep->memory_failed ||
        eh_click_map_from_times(&heard, keep->clicks, keep->click_count, 0,
                                eh_ns_per_quarter(terms->bpm), false) != EH_OK) {
        eh_tempo_map_deinit(&heard);
        return cli_complain("no memory: the run is incomplete and cannot be judged");
    }
    eh_tempo_map_deinit(&keep->take.click);
    keep->take.click = heard;
    if (keep->run > 0) {
        (void)snprintf(keep->take.source, sizeof keep->take.source, "run:%lld",
                       (long long)keep->run);
    }
    return CLI_GOOD;
}

void play_keep_judgement(struct play_keep *keep, const struct eh_run_verdict *verdict) {
    if (keep->run > 0 && eh_store_run_set_judgement(keep->store, keep->run, verdict) != EH_OK) {
        complain_store(keep, "the judgement cannot be written");
    }
}

void play_keep_close(struct play_keep *keep) {
    eh_store_close(keep->store);
    eh_take_deinit(&keep->take);
    free(keep->clicks);
    *keep = (struct play_keep){0};
}
