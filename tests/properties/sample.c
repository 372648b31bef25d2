#include "sample.h"

#include <stdio.h>
#include <stdlib.h>

#include "chance.h"
#include "evenhand/exercise_text.h"
#include "evenhand/report.h"
#include "evenhand/settings.h"
#include "evenhand/smf.h"
#include "musician.h"
#include "random_exercise.h"
#include "sheet.h"

static void must(enum eh_status status) {
    if (status != EH_OK) {
        (void)fprintf(stderr, "sample: %s\n", eh_status_text(status));
        abort();
    }
}

/* ---- The click ---- */

/* The take's bars are those of the exercise from START on, a pick-up bar too. */
static void lay_metres(struct eh_take *take, const struct eh_exercise *exercise, eh_ticks start) {
    size_t count = 0;
    const struct eh_bar *bars = eh_exercise_bars(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        const struct eh_metre_change metre = {start + bars[i].at, bars[i].beats, bars[i].unit};
        must(eh_take_add_metre(take, metre));
    }
}

static void lay_click(struct sample *s, struct chance *chance) {
    const struct eh_bar *bars = eh_exercise_bars(s->exercise, NULL);
    const struct eh_metre_change metre = {0, bars[0].beats, bars[0].unit};
    const double bpm = chance_between(chance, 45.0, s->sane ? 140.0 : 220.0);
    const eh_ticks start = (1 + chance_below(chance, 3)) * eh_metre_bar(metre);
    must(eh_take_init(&s->take, "made.mid", metre, 0, eh_ns_per_quarter(bpm)));
    lay_metres(&s->take, s->exercise, start);
    s->request.start = start;
    for (int changes = s->sane ? 0 : chance_below(chance, 4) - 1; changes > 0; changes--) {
        const struct eh_tempo_segment *last = &s->take.click.segments[s->take.click.count - 1];
        const eh_ticks at = last->at + 1 + chance_below(chance, 8 * (int)EH_TICKS_PER_QUARTER);
        must(eh_tempo_map_change(&s->take.click, at,
                                 eh_ns_per_quarter(bpm * chance_between(chance, 0.7, 1.3))));
    }
}

/* ---- What is asked for ---- */

static void choose_request(struct sample *s, struct chance *chance) {
    s->request.find_start = chance_of(chance, 50);
    if (s->sane || chance_of(chance, 60)) {
        return;
    }
    struct eh_plan_request *plan = &s->request.plan;
    const int bars = eh_exercise_bar_count(s->exercise);
    plan->passes = 1 + chance_below(chance, 3);
    plan->gap = chance_of(chance, 50) ? 4 * EH_TICKS_PER_QUARTER : 0;
    if (chance_of(chance, 50)) {
        plan->first_bar = 1 + chance_below(chance, bars);
        plan->last_bar = plan->first_bar + chance_below(chance, bars - plan->first_bar + 1);
    }
}

static void choose_pad(struct sample *s, struct chance *chance) {
    eh_pad_init_default(&s->pad);
    if (!s->sane && chance_of(chance, 25)) {
        s->pad.zones[38] = EH_ZONE_RIGHT;
        s->pad.zones[40] = EH_ZONE_LEFT;
        s->pad.zones[37] = EH_ZONE_HEAD;
    }
    if (!s->sane && chance_of(chance, 25)) {
        s->pad.levels = (struct eh_level_map){
            .name = "bent", .count = 3, .velocity = {10, 60, 120}, .level_db = {-30, -9, -1}};
    }
}

/* On a kit of two pads each hand has its own, most of the time. */
static void part_hands(struct sample *s, const struct eh_plan *plan, struct chance *chance) {
    const struct eh_stroke *strokes = eh_exercise_strokes(plan->exercise, NULL);
    size_t due = 0;
    for (size_t i = 0; s->pad.zones[38] == EH_ZONE_RIGHT && i < s->take.count; i++) {
        while (due + 1 < plan->due_count &&
               plan->due[due + 1].at_ns < s->take.hits[i].at_ns + 20 * EH_NS_PER_MS) {
            due++;
        }
        const bool left = strokes[plan->due[due].stroke].hand == EH_HAND_LEFT;
        if (s->take.hits[i].note == 38 && left && chance_of(chance, 95)) {
            s->take.hits[i].note = 40;
        }
    }
}

/* What is played need not be what is asked for. */
static void play(struct sample *s, struct chance *chance) {
    struct eh_plan plan;
    struct eh_error error;
    if (eh_plan_init(&plan, s->exercise, &s->request.plan, &s->take.click, s->request.start,
                     &error) != EH_OK) {
        return; /* bars without a stroke: refused with words, which must be the same words */
    }
    struct musician musician = s->sane ? musician_sane(chance) : musician_any(chance, &plan);
    if (s->kind == SAMPLE_CLEAN) {
        musician.missed = musician.extra = musician.echoed = 0.0;
    }
    musician_play(&musician, chance, &plan, &s->take);
    part_hands(s, &plan, chance);
    s->take.resolution_ns = musician.step_ns;
    eh_plan_deinit(&plan);
}

/* ---- Making ---- */

/* Puts the take on the ticks of a file, so that what is judged here can be judged from a file. */
static void through_a_file(struct sample *s) {
    const int64_t step_ns = s->take.resolution_ns;
    struct eh_text bytes = {0};
    struct eh_take read = {0};
    struct eh_error error;
    must(eh_smf_write(&bytes, &s->take, NULL, &error));
    must(eh_smf_read(&read, (const uint8_t *)bytes.data, bytes.length, "made.mid", &error));
    eh_text_deinit(&bytes);
    eh_take_deinit(&s->take);
    s->take = read;
    eh_pad_keep_own(&s->pad, &s->take);
    if (!s->sane && step_ns > s->take.resolution_ns) {
        s->take.resolution_ns = step_ns;
    }
}

void sample_make(struct sample *out, uint64_t seed, enum sample_kind kind) {
    struct chance chance = {.state = seed};
    *out = (struct sample){.seed = seed, .kind = kind};
    out->sane = chance_of(&chance, 50) || kind != SAMPLE_ANY;
    const bool playable = out->sane || chance_of(&chance, 60);
    out->exercise =
        playable ? sheet_playable(&chance) : random_exercise(chance_next(&chance) >> 32);
    must(eh_style_shipped(&out->style, chance_of(&chance, 50) ? "concert" : "rudimental", NULL));
    out->style.rim_forbidden = out->style.rim_forbidden || (!out->sane && chance_of(&chance, 30));
    choose_pad(out, &chance);
    lay_click(out, &chance);
    choose_request(out, &chance);
    play(out, &chance);
    through_a_file(out);
}

void sample_copy(struct sample *out, const struct sample *from) {
    struct eh_text text = {0};
    *out = *from;
    must(eh_exercise_print(from->exercise, &text));
    must(eh_exercise_parse(&out->exercise, text.data, text.length, NULL));
    eh_text_deinit(&text);
    out->take.hits = NULL;
    out->take.metres = NULL;
    out->take.count = out->take.capacity = 0;
    out->take.metre_count = out->take.metre_capacity = 0;
    must(eh_tempo_map_copy(&out->take.click, &from->take.click));
    for (size_t i = 0; i < from->take.metre_count; i++) {
        must(eh_take_add_metre(&out->take, from->take.metres[i]));
    }
    for (size_t i = 0; i < from->take.count; i++) {
        must(eh_take_add(&out->take, &from->take.hits[i]));
    }
}

void sample_deinit(struct sample *sample) {
    eh_exercise_free(sample->exercise);
    eh_take_deinit(&sample->take);
    *sample = (struct sample){0};
}

/* ---- Judging ---- */

static struct eh_judgement *judge(const struct sample *s, struct eh_error *error) {
    struct eh_judgement *judgement = NULL;
    eh_error_clear(error);
    error->status =
        eh_judge(&judgement, s->exercise, &s->take, &s->pad, &s->style, &s->request, error);
    return judgement;
}

struct eh_judgement *sample_judge(const struct sample *sample, enum eh_status *out_status) {
    struct eh_error error;
    struct eh_judgement *judgement = judge(sample, &error);
    *out_status = error.status;
    return judgement;
}

void sample_json(const struct sample *sample, struct eh_text *out) {
    struct eh_error error;
    struct eh_judgement *judgement = judge(sample, &error);
    if (judgement != NULL) {
        must(eh_report_json(judgement, out));
    } else {
        eh_text_printf(out, "%s: %s\n", eh_status_text(error.status), error.text);
    }
    eh_judgement_free(judgement);
}

/* ---- Files ---- */

static bool write_bytes(const char *path, const char *ending, const struct eh_text *bytes) {
    char name[512];
    (void)snprintf(name, sizeof name, "%s.%s", path, ending);
    FILE *file = fopen(name, "wb");
    if (file == NULL) {
        return false;
    }
    const bool written = fwrite(bytes->data, 1, bytes->length, file) == bytes->length;
    return fclose(file) == 0 && written;
}

static void add_start(const struct sample *s, struct eh_text *command) {
    int bar = 0;
    eh_ticks in_bar = 0;
    if (!s->request.find_start) {
        eh_take_locate(&s->take, s->request.start, &bar, &in_bar);
        eh_text_printf(command, " --start %d", bar);
    }
}

bool sample_write(const struct sample *sample, const char *path, struct eh_text *command) {
    struct eh_text text = {0};
    struct eh_text bytes = {0};
    struct eh_error error;
    must(eh_exercise_print(sample->exercise, &text));
    must(eh_smf_write(&bytes, &sample->take, NULL, &error));
    const bool written = write_bytes(path, "txt", &text) && write_bytes(path, "mid", &bytes);
    eh_text_printf(command, "evenhand judge %s.txt %s.mid --style %s --json", path, path,
                   sample->style.name);
    add_start(sample, command);
    eh_text_deinit(&text);
    eh_text_deinit(&bytes);
    return written;
}
