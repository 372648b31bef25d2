/* From the demo player's strokes to the hits of a pad: grace notes, bounces, extras, echoes. */
#include <math.h>
#include <stdlib.h>

#include "demo_row.h"
#include "evenhand/practice.h"

enum { BUZZ_NOTES_MAX = 8 };

struct sound {
    double at_ns;
    double level_db;
    size_t order;
    uint32_t due; /* the stroke that it belongs to, or that it follows */
    uint8_t note;
    bool echo;
};

struct sounds {
    struct sound *list;
    size_t count, capacity;
    bool failed;
};

static void add_sound(struct sounds *sounds, uint32_t due, double at_ns, double level_db,
                      uint8_t note) {
    if (sounds->count == sounds->capacity) {
        const size_t capacity = sounds->capacity * 2 + 64;
        struct sound *list = realloc(sounds->list, capacity * sizeof *list);
        if (list == NULL) {
            sounds->failed = true;
            return;
        }
        sounds->list = list;
        sounds->capacity = capacity;
    }
    sounds->list[sounds->count] = (struct sound){at_ns, level_db, sounds->count, due, note, false};
    sounds->count++;
}

static uint8_t note_of(const struct eh_demo *demo, size_t due) {
    return demo->request.hand_notes[eh_plan_stroke(demo->plan, due)->hand & 1];
}

/* Grace notes: a log-normal gap about the usual lead (professionals' flams: median 24 ms,
 * log-spread 0.3 to 0.4), softer than the main stroke by 6.5 dB (middle half 4 to 9 dB). */
static double grace_db(const struct eh_demo *demo, const struct eh_part *part,
                       struct eh_random *random) {
    const double loud = eh_demo_size_at(demo, EH_DEMO_LOUD_GRACES, part->due);
    const double z = eh_random_normal(random);
    return part->level_db - (isnan(loud) ? 6.5 : loud) + (demo->request.exact ? 0.0 : 1.3 * z);
}

static double grace_gap_ns(const struct eh_demo *demo, const struct eh_part *part, size_t grace,
                           struct eh_random *random) {
    const struct eh_plan *plan = demo->plan;
    const double flat = eh_demo_size_at(demo, EH_DEMO_FLAT_FLAMS, part->due);
    const double wide = eh_demo_size_at(demo, EH_DEMO_WIDE_FLAMS, part->due);
    const double z = eh_random_normal(random);
    const double usual = (double)(plan->due[grace + 1].at_ns - plan->due[grace].at_ns);
    double gap = !isnan(flat) ? flat * EH_NS_PER_MS : !isnan(wide) ? wide * EH_NS_PER_MS : usual;
    if (demo->request.exact) {
        return gap;
    }
    const bool flam =
        plan->due[grace].main - grace == 1 && eh_plan_stroke(plan, part->due)->grace_count == 1;
    return gap * eh_exp_exact((flam ? 0.27 : 0.15) * z);
}

static void add_graces(struct sounds *sounds, const struct eh_demo *demo,
                       const struct eh_part *part, struct eh_random *random) {
    const uint8_t count = eh_plan_stroke(demo->plan, part->due)->grace_count;
    double at_ns = part->at_ns;
    for (size_t i = 1; i <= count && i <= part->due; i++) {
        const size_t grace = part->due - i;
        at_ns -= grace_gap_ns(demo, part, grace, random);
        add_sound(sounds, part->due, at_ns, grace_db(demo, part, random), note_of(demo, grace));
    }
}

/* The time that a buzz has to fill: to the next stroke, at most its written length. */
static double buzz_room_ns(const struct eh_demo *demo, const struct eh_row *row, size_t i) {
    const struct eh_plan *plan = demo->plan;
    const struct eh_due *due = &plan->due[row->parts[i].due];
    const struct eh_plan_bar *bar = &plan->bars[due->bar];
    const double tick_ns = (double)(bar->end_ns - bar->at_ns) / (double)(bar->end - bar->at);
    const double written = tick_ns * (double)eh_plan_stroke(plan, row->parts[i].due)->length;
    if (i + 1 == row->count) {
        return written;
    }
    const double next = row->parts[i + 1].at_ns - row->parts[i].at_ns;
    return next < written ? next : written;
}

/* A press: gaps of 47, 36, 33 and then 31 ms, each bounce 1.1 to 1.7 dB below the one before, as
 * professionals' presses show; it ends where the next stroke begins. */
static void add_bounces(struct sounds *sounds, const struct eh_demo *demo, const struct eh_row *row,
                        size_t i, struct eh_random *random) {
    static const double gap_ms[BUZZ_NOTES_MAX] = {47, 36, 33, 31, 31, 31, 31, 31};
    static const double step_db[BUZZ_NOTES_MAX] = {-1.1, -1.6, -1.7, -1.5, -1.5, -1.5, -1.5, -1.5};
    const struct eh_part *part = &row->parts[i];
    const double thin = eh_demo_size_at(demo, EH_DEMO_THIN_BUZZ, part->due);
    const double gapped = eh_demo_size_at(demo, EH_DEMO_GAPPED_BUZZ, part->due);
    const double most = isnan(thin) ? BUZZ_NOTES_MAX : thin;
    const double room = buzz_room_ns(demo, row, i) - (isnan(gapped) ? 18.0 : gapped) * EH_NS_PER_MS;
    double at_ns = part->at_ns;
    double level = part->level_db;
    for (int k = 0; k + 1 < most && k < BUZZ_NOTES_MAX; k++) {
        const double z = demo->request.exact ? 0.0 : eh_random_normal(random);
        const double y = demo->request.exact ? 0.0 : eh_random_normal(random);
        at_ns += gap_ms[k] * EH_NS_PER_MS * eh_exp_exact(0.15 * z);
        level += step_db[k] + 0.6 * y;
        if (at_ns > part->at_ns + room) {
            break;
        }
        add_sound(sounds, part->due, at_ns, level, note_of(demo, part->due));
    }
}

static void add_strokes(struct sounds *sounds, const struct eh_row *row,
                        const struct eh_demo *demo) {
    struct eh_random grace;
    struct eh_random buzz;
    eh_random_seed(&grace, demo->request.seed, EH_STREAM_GRACE);
    eh_random_seed(&buzz, demo->request.seed, EH_STREAM_BUZZ);
    for (size_t i = 0; i < row->count; i++) {
        const struct eh_part *part = &row->parts[i];
        if (part->left_out) {
            continue;
        }
        add_graces(sounds, demo, part, &grace);
        add_sound(sounds, part->due, part->at_ns, part->level_db,
                  part->rim ? demo->request.rim_note : note_of(demo, part->due));
        if (eh_plan_stroke(demo->plan, part->due)->kind == EH_KIND_BUZZ) {
            add_bounces(sounds, demo, row, i, &buzz);
        }
    }
}

/* Taps at the player's own tempo, as even as a person's. */
static void add_taps(struct sounds *sounds, const struct eh_demo *demo) {
    static const double scatter_ms = 5.0;
    const struct eh_plan_bar *bar = &demo->plan->bars[0];
    const double beat_ns = (double)(bar->end_ns - bar->at_ns) *
                           (double)eh_beat_ticks(bar->beats, bar->unit) /
                           (double)(bar->end - bar->at);
    struct eh_random random;
    eh_random_seed(&random, demo->request.seed, EH_STREAM_TAPS);
    for (int i = demo->request.count_off; i > 0; i--) {
        const double z = eh_random_normal(&random);
        const double at_ns =
            (double)bar->at_ns + eh_demo_bend(demo, bar->at_ns, -i * beat_ns, beat_ns);
        const double off_ns = demo->request.exact ? 0.0 : scatter_ms * EH_NS_PER_MS * z;
        add_sound(sounds, 0, at_ns + demo->offset_ns + off_ns, demo->mf_db, demo->request.note);
    }
}

static size_t how_many(size_t n, double percent) {
    const size_t count = (size_t)((double)n * percent / 100.0 + 0.5);
    return count < 1 ? 1 : count;
}

/* Hits that nobody wrote: near the middle between two strokes of one pass, as loud as a tap. */
static void add_extras(struct sounds *sounds, const struct eh_row *row, const struct eh_demo *demo,
                       const struct eh_demo_fault *fault, struct eh_random *random) {
    size_t strokes = 0;
    size_t places = 0;
    for (size_t i = 0; i < row->count; i++) {
        const bool here = eh_demo_fault_at(demo, fault, row->parts[i].due);
        strokes += here;
        places += here && i + 1 < row->count;
    }
    for (size_t left = places > 0 ? how_many(strokes, fault->size) : 0; left > 0;) {
        const struct eh_part *part = &row->parts[eh_random_index(random, row->count - 1)];
        if (!eh_demo_fault_at(demo, fault, part->due)) {
            continue;
        }
        const double gap = part[1].at_ns - part->at_ns;
        const double usual = gap < 1.0e9 ? gap : 1.0e9; /* not in the rest between two passes */
        const double at_ns = part->at_ns + usual * (0.4 + 0.2 * eh_random_unit(random));
        add_sound(sounds, part->due, at_ns, demo->mf_db + 1.5 * eh_random_normal(random),
                  demo->request.note);
        left--;
    }
}

/* The pad's echoes: 4 to 16 ms after a stroke and 8 to 16 dB softer (assumed: the kit that was
 * measured masks its echoes). Of the HITS that came before. */
static void add_echoes(struct sounds *sounds, size_t hits, const struct eh_demo *demo,
                       const struct eh_demo_fault *fault, struct eh_random *random) {
    size_t count = 0;
    for (size_t i = 0; i < hits; i++) {
        count += eh_demo_fault_at(demo, fault, sounds->list[i].due);
    }
    for (size_t left = count > 0 ? how_many(count, fault->size) : 0; left > 0;) {
        const struct sound of = sounds->list[eh_random_index(random, hits)];
        if (!eh_demo_fault_at(demo, fault, of.due)) {
            continue;
        }
        add_sound(sounds, of.due, of.at_ns + (4.0 + 12.0 * eh_random_unit(random)) * EH_NS_PER_MS,
                  of.level_db - 8.0 - 8.0 * eh_random_unit(random), of.note);
        if (!sounds->failed) {
            sounds->list[sounds->count - 1].echo = true;
        }
        left--;
    }
}

/* What is no stroke of the exercise. */
static void add_others(struct sounds *sounds, const struct eh_row *row,
                       const struct eh_demo *demo) {
    struct eh_random extra;
    struct eh_random echo;
    eh_random_seed(&extra, demo->request.seed, EH_STREAM_EXTRA);
    eh_random_seed(&echo, demo->request.seed, EH_STREAM_ECHO);
    for (size_t i = 0; i < demo->request.fault_count; i++) {
        if (demo->request.faults[i].kind == EH_DEMO_EXTRA) {
            add_extras(sounds, row, demo, &demo->request.faults[i], &extra);
        }
    }
    const size_t hits = sounds->count;
    for (size_t i = 0; i < demo->request.fault_count && !sounds->failed; i++) {
        if (demo->request.faults[i].kind == EH_DEMO_DOUBLE_TRIGGERS) {
            add_echoes(sounds, hits, demo, &demo->request.faults[i], &echo);
        }
    }
}

static int compare_sounds(const void *a, const void *b) {
    const struct sound *x = a;
    const struct sound *y = b;
    if (x->at_ns < y->at_ns || x->at_ns > y->at_ns) {
        return x->at_ns < y->at_ns ? -1 : 1;
    }
    return (x->order > y->order) - (x->order < y->order);
}

enum eh_status eh_row_hits(const struct eh_row *row, const struct eh_demo *demo,
                           struct eh_take *take) {
    struct sounds sounds = {0};
    struct eh_demo_through through = {.pad = demo->request.through, .reported = false};
    add_taps(&sounds, demo);
    add_strokes(&sounds, row, demo);
    add_others(&sounds, row, demo);
    enum eh_status status = sounds.failed ? EH_NO_MEMORY : EH_OK;
    if (sounds.count > 0) {
        qsort(sounds.list, sounds.count, sizeof *sounds.list, compare_sounds);
    }
    for (size_t i = 0; i < sounds.count && status == EH_OK; i++) {
        const struct sound *sound = &sounds.list[i];
        struct eh_hit hit = {.note = sound->note, .channel = 9};
        if (eh_demo_report(&through, sound->at_ns, sound->level_db, sound->echo, &hit)) {
            status = eh_take_add(take, &hit);
        }
    }
    free(sounds.list);
    return status;
}
