#include "cell.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "alike.h"
#include "calibrating.h"
#include "evenhand/settings.h"
#include "knowing.h"
#include "shading.h"

const char *section_name(enum section section) {
    static const char *const names[SECTION_COUNT] = {"align", "detect", "clean"};
    return names[section];
}

/* What a cell's runs have in common, and room that they share. */
struct bench {
    struct cell *cell;
    struct written w, other;
    struct eh_style style;
    struct kit kit;    /* the run's own pad ... */
    struct eh_pad pad; /* ... and what the judge knows of it */
    double contrast;   /* the player's own dB as dB of the stick; 1 where he calibrated no pad */
    struct player player;
    struct intents intents;
    struct blows blows;
    struct reported reported;
};

static void die(const char *what) {
    (void)fprintf(stderr, "%s\n", what);
    abort();
}

static bool open_bench(struct bench *b, struct cell *cell) {
    struct eh_error error;
    const struct spec *spec = &cell->spec;
    memset(b, 0, sizeof *b);
    b->cell = cell;
    if (!written_open(&b->w, spec->exercise, spec->text, spec->bpm, spec->bars)) {
        return false;
    }
    if (spec->course == COURSE_OTHER &&
        !written_open(&b->other, "other", spec->other, spec->bpm, 0)) {
        return false;
    }
    if (eh_style_shipped(&b->style, b->w.style, &error) != EH_OK) {
        die(error.text);
    }
    return true;
}

static void close_bench(struct bench *b) {
    written_close(&b->w);
    written_close(&b->other);
    intents_free(&b->intents);
    blows_free(&b->blows);
    reported_free(&b->reported);
}

static void mix(struct player *p, const struct mixture *m) {
    if (m != NULL) {
        p->missed = m->missed > 0.0 ? m->missed : p->missed;
        p->extra = m->extra > 0.0 ? m->extra : p->extra;
        p->end_percent = m->end_percent != 0.0 ? m->end_percent : p->end_percent;
        p->offset_ms = m->delay_ms != 0.0 ? m->delay_ms : p->offset_ms;
    }
}

/* The run's own pad. Its chance is a stream of its own: the same player plays on every pad. */
static void set_up_pad(struct bench *b, const struct chance *chance) {
    const struct spec *spec = &b->cell->spec;
    struct chance own;
    chance_seed(&own, chance_mix(chance->s[0], 0x6b6974));
    b->kit = kit_draw(spec->kit, &own);
    if (spec->mixture != NULL && spec->mixture->echoes > 0.0) {
        b->kit.echoes = spec->mixture->echoes;
    }
    kit_describe(spec->kit, &b->pad);
    b->contrast = 1.0;
    if (b->kit.told == TOLD_CALIBRATION) {
        b->contrast = shading_draw(&own);
        calibrate(&b->kit, &b->player, b->contrast, &own, &b->pad);
    }
}

/* False when no hand can play what is asked for. */
static bool play(struct bench *b, struct chance *chance) {
    const struct spec *spec = &b->cell->spec;
    const struct written *played = spec->course == COURSE_OTHER ? &b->other : &b->w;
    player_draw(&b->player, spec->player, played, b->style.accent_low_db, b->style.accent_high_db,
                chance);
    set_up_pad(b, chance);
    mix(&b->player, spec->mixture);
    if (spec->fault != NULL && spec->size > 0.0) {
        if (!spec->fault->put(&b->player, &b->style, &b->w, spec->size)) {
            return false;
        }
    }
    player_make_room(&b->player, played);
    b->cell->laid += course_set_out(spec->course, &b->w, &b->other, chance, &b->intents);
    perform(played, &b->intents, &b->player, chance, &b->blows);
    if (b->kit.told == TOLD_CALIBRATION) {
        shade(&b->blows, b->contrast);
    }
    kit_report(&b->kit, &b->blows, chance, &b->reported);
    return true;
}

static enum eh_status judge(struct bench *b, struct eh_take *take, struct eh_judgement **out) {
    struct eh_error error;
    const struct spec *spec = &b->cell->spec;
    const struct eh_metre_change metre = {.at = 0, .beats = 4, .unit = 4};
    if (eh_take_init(take, "bench", metre, 0, eh_ns_per_quarter(spec->bpm)) != EH_OK) {
        die("no memory for a take");
    }
    take->resolution_ns = (int64_t)llround(spec->kit->clock_ms * 1e6);
    for (size_t i = 0; i < b->reported.count; i++) {
        if (eh_take_add(take, &b->reported.hits[i]) != EH_OK) {
            die("no memory for a take");
        }
    }
    const struct eh_judge_request request = {.plan = {.last_bar = b->w.last_bar},
                                             .find_start = spec->entry == ENTRY_FILE,
                                             .start = b->w.start};
    return eh_judge(out, b->w.exercise, take, &b->pad, &b->style, &request, &error);
}

/* ---- What the judge said ---- */

static void tally_agreement(struct bench *b, const struct eh_judgement *j) {
    struct cell *cell = b->cell;
    const struct agreement a = agree(&b->w, &b->blows, &b->reported, j->matches);
    agreement_add(&cell->agreement, &a);
    for (int how = 0; how < STRICTNESS_COUNT; how++) {
        const double f = agreement_f(&a, (enum strictness)how);
        cell->worst[how] = fmin(cell->worst[how], f);
        cell->below[how] += f < 0.99;
    }
}

static void tally_known(struct bench *b) {
    const struct knowing knowing = {&b->w, &b->blows, &b->reported, &b->player, &b->kit};
    struct eh_match *matches = calloc(b->w.plan.due_count, sizeof *matches);
    if (matches == NULL) {
        die("no memory for a matching");
    }
    b->cell->presses = knowing_presses(&b->w);
    if (b->cell->presses) {
        knowing_match_presses(&knowing, matches);
    } else {
        knowing_match(&knowing, matches);
    }
    const struct agreement a = agree(&b->w, &b->blows, &b->reported, matches);
    agreement_add(&b->cell->known, &a);
    free(matches);
}

/* Which of the judge's words a course deserves; -1: none. */
static int deserved(enum course course) {
    switch (course) {
    case COURSE_LATE_START:
        return EH_COURSE_LATE_START;
    case COURSE_BREAK_OFF:
    case COURSE_GAP:
        return EH_COURSE_STOP;
    case COURSE_RESUME:
    case COURSE_RESUME_EARLIER:
    case COURSE_RESTART:
    case COURSE_REPEAT:
        return EH_COURSE_REPEAT;
    case COURSE_RESUME_LATER:
    case COURSE_SKIP:
        return EH_COURSE_SKIP;
    default:
        return -1;
    }
}

static void tally_course(struct bench *b, const struct eh_judgement *j) {
    bool named = false;
    for (size_t i = 0; i < j->course_count; i++) {
        named = named || j->courses[i].kind == deserved(b->cell->spec.course);
    }
    b->cell->named += named;
    b->cell->called += j->course_count > 0;
}

static uint8_t side_bit(enum eh_side side) {
    return side == EH_SIDE_LEFT ? SIDE_LEFT : side == EH_SIDE_RIGHT ? SIDE_RIGHT : SIDE_BOTH;
}

static void tally_cover(struct aspect_tally *t, const struct eh_finding *f, double truth) {
    if (isfinite(truth) && isfinite(f->low) && isfinite(f->value)) {
        t->measured++;
        t->covered += f->low <= truth && truth <= f->high;
        t->error_sum += f->value - truth;
        t->error_squares += (f->value - truth) * (f->value - truth);
    }
}

static bool names_fault(const struct fault *fault, const struct eh_finding *f) {
    return f->fault == EH_FAULT_YES && f->aspect == fault->aspect &&
           (side_bit((enum eh_side)f->side) & fault->sides) != 0 && f->verdict == fault->verdict &&
           f->direction == fault->direction;
}

static void tally_findings(struct bench *b, const struct eh_judgement *j) {
    enum { SEEN = 1, ALARM = 2, UNCLEAR = 4 };
    const struct fault *fault = b->cell->spec.fault;
    uint8_t said[EH_ASPECT_COUNT] = {0};
    bool right = false;
    bool elsewhere = false;
    for (size_t i = 0; i < j->finding_count; i++) {
        const struct eh_finding *f = &j->findings[i];
        const double truth =
            fault_truth(&b->player, &b->w, (enum eh_aspect)f->aspect, (enum eh_side)f->side);
        tally_cover(&b->cell->aspects[f->aspect], f, truth);
        said[f->aspect] |= SEEN;
        said[f->aspect] |= f->fault == EH_FAULT_YES ? ALARM : 0;
        said[f->aspect] |= f->fault == EH_FAULT_UNCLEAR ? UNCLEAR : 0;
        if (fault == NULL) {
            continue;
        }
        right = right || names_fault(fault, f);
        elsewhere = elsewhere || (f->fault == EH_FAULT_YES && f->aspect != fault->aspect);
        if (f->aspect == fault->aspect && (side_bit((enum eh_side)f->side) & fault->sides) != 0) {
            b->cell->aimed.runs++;
            b->cell->aimed.unclear += f->fault == EH_FAULT_UNCLEAR;
            tally_cover(&b->cell->aimed, f, truth);
        }
    }
    for (int a = 0; a < EH_ASPECT_COUNT; a++) {
        b->cell->aspects[a].runs += (said[a] & SEEN) != 0;
        b->cell->aspects[a].alarms += (said[a] & ALARM) != 0;
        b->cell->aspects[a].unclear += (said[a] & UNCLEAR) != 0;
    }
    if (fault != NULL) {
        b->cell->right += right;
        b->cell->hit += (said[fault->aspect] & ALARM) != 0;
        b->cell->elsewhere += elsewhere;
    }
}

/* HEAR, if not NULL, is told the judgement. */
static void one_run(struct bench *b, struct chance *chance,
                    void (*hear)(const struct bench *b, const struct eh_judgement *j)) {
    struct cell *cell = b->cell;
    if (!play(b, chance)) {
        cell->impossible = 1;
        return;
    }
    struct eh_take take;
    struct eh_judgement *j = NULL;
    const enum eh_status status = judge(b, &take, &j);
    cell->played++;
    if (status == EH_OK) {
        tally_agreement(b, j);
        if (cell->spec.section == SECTION_ALIGN && cell->spec.course == COURSE_STRAIGHT) {
            tally_known(b);
        }
        tally_course(b, j);
        tally_findings(b, j);
        if (hear != NULL) {
            hear(b, j);
        }
    } else {
        cell->refused += status == EH_NO_FIT;
        cell->failed += status != EH_NO_FIT;
    }
    eh_judgement_free(j);
    eh_take_deinit(&take);
}

static uint64_t seed_of(const struct spec *s, uint64_t seed) {
    char words[256];
    /* The size is left out: the same player makes the fault small and large. */
    (void)snprintf(words, sizeof words, "%d %s %s %s %d %d %s %g %s %s", (int)s->section,
                   course_name(s->course), s->mixture != NULL ? s->mixture->name : "",
                   s->fault != NULL ? s->fault->name : "", s->strokes, s->bars, s->exercise, s->bpm,
                   player_name(s->player), s->kit->name);
    return chance_mix(seed, chance_hash(words));
}

/* Nobody plays doubles faster: 32nds at 180 to the quarter are 42 ms apart. */
static const double least_spacing_ms = 40.0;

static bool begin(struct bench *b, struct cell *cell) {
    for (int how = 0; how < STRICTNESS_COUNT; how++) {
        cell->worst[how] = 1.0;
    }
    return open_bench(b, cell);
}

void cell_measure(struct cell *cell, uint64_t seed) {
    struct bench b;
    if (!begin(&b, cell)) {
        exit(1);
    }
    const uint64_t own_seed = seed_of(&cell->spec, seed);
    cell->impossible = b.w.nearest_ms < least_spacing_ms;
    cell->alike = cell->spec.course == COURSE_OTHER ? alike(&b.w, &b.other) : 1.0;
    for (int run = 0; run < cell->spec.runs && cell->impossible == 0; run++) {
        struct chance chance;
        chance_seed(&chance, chance_mix(own_seed, (uint64_t)run));
        one_run(&b, &chance, NULL);
    }
    close_bench(&b);
}

/* ---- One run, to be looked at ---- */

static void show_strokes(const struct bench *b, const struct eh_judgement *j) {
    const char *const roles[] = {"stroke", "bounce", "foreign", "echo"};
    (void)printf("stroke  bar hand kind     due ms     hit  at ms  from click  what it was\n");
    for (size_t i = 0; i < j->plan.due_count; i++) {
        const struct eh_stroke *s = written_stroke(&b->w, i);
        const double due_ms = (double)b->w.plan.due[i].at_ns / 1e6;
        (void)printf("%6zu %4d    %s %-7s %8.1f  ", i, s->bar, eh_hand_letter(s->hand),
                     eh_kind_text((enum eh_kind)s->kind), due_ms);
        const int32_t hit = j->matches[i].hit;
        if (hit == EH_NO_HIT) {
            (void)printf("   -\n");
            continue;
        }
        const struct blow *was = &b->reported.truth[hit];
        const double at_ms = (double)b->reported.hits[hit].at_ns / 1e6;
        (void)printf(
            "%6d %8.1f %8.1f  %s %d%s\n", hit, at_ms, at_ms - due_ms, roles[was->role], was->due,
            was->role == ROLE_STROKE && agree_means(&b->w, was, (uint32_t)i, STRICT) ? ""
                                                                                     : "  WRONG");
    }
}

static void show(const struct bench *b, const struct eh_judgement *j) {
    show_strokes(b, j);
    for (size_t h = 0; h < b->reported.count; h++) {
        const struct blow *was = &b->reported.truth[h];
        if (j->fates[h].kind != EH_FATE_STROKE && was->role == ROLE_STROKE) {
            (void)printf("hit %zu at %.1f, stroke %d, was left over\n", h, was->at_ms, was->due);
        }
    }
    for (size_t i = 0; i < j->course_count; i++) {
        (void)printf("course: %s at stroke %u\n",
                     eh_course_text((enum eh_course_kind)j->courses[i].kind), j->courses[i].due);
    }
    for (size_t i = 0; i < j->finding_count; i++) {
        (void)printf("%s\n", j->findings[i].text);
    }
}

void cell_show(struct cell *cell, uint64_t seed, int run) {
    struct bench b;
    struct chance chance;
    if (!begin(&b, cell)) {
        exit(1);
    }
    const struct spec *s = &cell->spec;
    (void)printf("%s, %s, %s, %s, %g, %s, run %d\n", section_name(s->section),
                 course_name(s->course), s->mixture != NULL ? s->mixture->name : "", s->exercise,
                 s->bpm, player_name(s->player), run);
    chance_seed(&chance, chance_mix(seed_of(s, seed), (uint64_t)run));
    one_run(&b, &chance, show);
    (void)printf("F %.4f\n\n", agreement_f(&cell->agreement, STRICT));
    close_bench(&b);
}
