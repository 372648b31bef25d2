/* Finding out a pad's notes by hitting each part of it when asked: the course of it, without a
 * keyboard. The caller hands over hits and the time, and passes on what happens.
 *
 * Each part is asked for in turn: head, rim, cross-stick, a pad for the left hand only, one for
 * the right hand only; then, where the player wants them, what is to mean again, next and stop. It
 * is settled by four strokes in a row on one note, or by twelve on several
 * of which each came three times (a head whose spots send different notes; not for a control, which
 * has one note). It is passed over when
 * nothing new comes for six seconds (before the first stroke of all: twenty). A note that belongs
 * to an earlier part is told and does not count. What falls within 30 ms is one stroke, on the
 * loudest of its notes: a cross-stick brings a soft head note with it, a rim shot may bring both.
 *
 * Pure; nothing is allocated. Times are those of the hits' clock. */
#ifndef EVENHAND_PAD_GUIDE_H
#define EVENHAND_PAD_GUIDE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "evenhand/hit.h"
#include "evenhand/pad.h"

enum { EH_GUIDE_IN_A_ROW = 4, EH_GUIDE_SEVERAL = 12, EH_GUIDE_EACH = 3 };

#define EH_GUIDE_STROKE_NS (30 * EH_NS_PER_MS)
#define EH_GUIDE_PATIENCE_NS (6 * EH_NS_PER_S)
#define EH_GUIDE_FIRST_PATIENCE_NS (20 * EH_NS_PER_S)
/* The hands come to rest before the next part is asked for. */
#define EH_GUIDE_REST_NS (900 * EH_NS_PER_MS)

/* What is asked for: an enum eh_zone, or beyond them a control. */
enum eh_guide_part {
    EH_GUIDE_NOTHING = EH_ZONE_NONE,
    EH_GUIDE_CONTROLS = EH_ZONE_RIGHT, /* + enum eh_control */
    EH_GUIDE_PARTS = EH_GUIDE_CONTROLS + EH_CONTROL_COUNT
};

/* The control that PART is; NONE where it is a zone. */
static inline enum eh_control eh_guide_control(int part) {
    return part > EH_GUIDE_CONTROLS ? (enum eh_control)(part - EH_GUIDE_CONTROLS) : EH_CONTROL_NONE;
}

enum eh_guide_event_kind {
    EH_GUIDE_ASK,     /* PART is wanted now */
    EH_GUIDE_HEARD,   /* a stroke on NOTE, the COUNTth in a row */
    EH_GUIDE_TAKEN,   /* a stroke on NOTE, which is OWNER's; told once for each ask */
    EH_GUIDE_MIXED,   /* the notes change too much: the strokes are counted anew */
    EH_GUIDE_SETTLED, /* NOTE is PART's; one event for each of its notes */
    EH_GUIDE_SKIPPED, /* PART was passed over */
    EH_GUIDE_OVER     /* that was all */
};

struct eh_guide_event {
    enum eh_guide_event_kind kind;
    int part, owner; /* enum eh_guide_part */
    uint8_t note;
    int count;
};

enum { EH_GUIDE_EVENTS = 256 };

/* Private to pad_guide.c. */
struct eh_pad_guide {
    int part, last;      /* the one that is asked for, EH_GUIDE_NOTHING: over; the last one */
    bool resting;        /* settled: the next is asked for after a rest */
    bool anything;       /* any stroke was heard since the beginning */
    int64_t since_ns;    /* the ask, or the last stroke that counted */
    int64_t last_ns;     /* the last hit of any kind */
    uint8_t owners[128]; /* enum eh_guide_part by note */
    uint8_t told[128];   /* conflicts told in this ask */
    uint8_t counts[128];
    int total, row;
    uint8_t row_note;
    bool open; /* a stroke whose other notes may still come */
    struct eh_hit stroke, first;
    struct eh_guide_event events[EH_GUIDE_EVENTS];
    size_t event_first, event_count;
};

/* Begins at NOW_NS; the first event is the first ask. CONTROLS: they are asked for too. */
void eh_pad_guide_init(struct eh_pad_guide *guide, int64_t now_ns, bool controls);

/* A hit; times do not fall. */
void eh_pad_guide_hit(struct eh_pad_guide *guide, const struct eh_hit *hit);

/* The time is NOW_NS, and every hit before it has been handed over. */
void eh_pad_guide_advance(struct eh_pad_guide *guide, int64_t now_ns);

/* What has happened, in order; false: nothing more. Take all of it after each call of the two
 * above. */
bool eh_pad_guide_next(struct eh_pad_guide *guide, struct eh_guide_event *out_event);

bool eh_pad_guide_is_over(const struct eh_pad_guide *guide);

/* How many notes were found to play on. */
size_t eh_pad_guide_found(const struct eh_pad_guide *guide);

/* Gives PAD the notes that were found, and no others. Controls that were not asked for stay, unless
 * the pad turned out to be played on their notes. */
void eh_pad_guide_apply(const struct eh_pad_guide *guide, struct eh_pad *pad);

#endif
