/* Tuplets: brackets as they are written, or, where there are none or they do not add up, groups
 * that close as soon as they hold what they say. */
#include "read.h"

#define WHOLE (4 * EH_TICKS_PER_QUARTER)

struct group {
    int actual, normal;
    eh_ticks sum;      /* plain lengths in it */
    eh_ticks shortest; /* plain, without dots */
    bool written;      /* a bracket */
};

struct grouping {
    struct mx_reading *reading;
    bool brackets; /* believe them */
    struct group open[EH_WRITTEN_DEPTH_MAX];
    int depth;
    bool failed; /* does not add up */
    bool no_memory;
};

static void push(struct grouping *grouping, const struct mx_piece *piece) {
    struct mx_rows *rows = &grouping->reading->rows;
    if (!mx_grow(&rows->pieces, &rows->piece_capacity, rows->piece_count, sizeof *rows->pieces)) {
        grouping->no_memory = true;
        return;
    }
    rows->pieces[rows->piece_count++] = *piece;
}

/* The length of one of the equal notes that the group holds, counted from the shortest that is in
 * it; 0: it does not add up (yet). */
static eh_ticks unit_of(const struct group *group) {
    for (int value = 0; value <= EH_WRITTEN_VALUE_LAST; value++) {
        if (group->sum == (WHOLE >> value) * group->actual &&
            (group->written || (WHOLE >> value) >= group->shortest)) {
            return WHOLE >> value;
        }
    }
    return 0;
}

static void open_group(struct grouping *grouping, int actual, int normal, bool written,
                       const struct mx_piece *before) {
    if (grouping->depth == EH_WRITTEN_DEPTH_MAX || actual < 2 || actual > EH_WRITTEN_ACTUAL_MAX ||
        normal < 1 || normal > EH_WRITTEN_NORMAL_MAX || actual == normal) {
        grouping->failed = true;
        return;
    }
    grouping->open[grouping->depth++] =
        (struct group){.actual = actual, .normal = normal, .shortest = WHOLE, .written = written};
    push(grouping, &(struct mx_piece){.kind = MX_GROUP,
                                      .actual = (uint8_t)actual,
                                      .normal = (uint8_t)normal,
                                      .at = before->at,
                                      .line = before->line});
}

static void close_group(struct grouping *grouping, const struct mx_piece *after) {
    if (grouping->depth == 0 || unit_of(&grouping->open[grouping->depth - 1]) == 0) {
        grouping->failed = true;
        return;
    }
    const struct group *group = &grouping->open[--grouping->depth];
    if (grouping->depth > 0) {
        struct group *outer = &grouping->open[grouping->depth - 1];
        outer->sum += unit_of(group) * group->normal;
        outer->shortest = group->shortest < outer->shortest ? group->shortest : outer->shortest;
    }
    push(grouping, &(struct mx_piece){
                       .kind = MX_GROUP_END, .at = after->at + after->length, .line = after->line});
}

/* What is open scales by *OUT_ACTUAL : *OUT_NORMAL. */
static void product(const struct grouping *grouping, int count, int64_t *out_actual,
                    int64_t *out_normal) {
    *out_actual = 1;
    *out_normal = 1;
    for (int i = 0; i < count; i++) {
        *out_actual *= grouping->open[i].actual;
        *out_normal *= grouping->open[i].normal;
    }
}

static bool fits(const struct grouping *grouping, const struct mx_piece *piece) {
    int64_t actual = 1;
    int64_t normal = 1;
    product(grouping, grouping->depth, &actual, &normal);
    return actual * piece->cum_normal == normal * piece->cum_actual;
}

/* The ratio that leads from what is open to what the piece says. In lowest terms only where there
 * is something open: 6 in 4 is not 3 in 2. */
static void missing_ratio(const struct grouping *grouping, const struct mx_piece *piece,
                          int *out_actual, int *out_normal) {
    int64_t actual = 1;
    int64_t normal = 1;
    product(grouping, grouping->depth, &actual, &normal);
    int64_t over = piece->cum_actual * normal;
    int64_t under = piece->cum_normal * actual;
    if (grouping->depth > 0) {
        const int64_t common = eh_common_divisor(over, under);
        over /= common;
        under /= common;
    }
    *out_actual = over > EH_WRITTEN_ACTUAL_MAX ? 0 : (int)over;
    *out_normal = under > EH_WRITTEN_NORMAL_MAX ? 0 : (int)under;
}

/* A bracket says its own ratio, or it is what leads to the note's. */
static void open_written(struct grouping *grouping, const struct mx_piece *piece) {
    const struct mx_note *note = &grouping->reading->rows.notes[piece->source];
    for (int k = 0; k < piece->starts && !grouping->failed; k++) {
        int actual = note->start_actual[k];
        int normal = note->start_normal[k];
        const bool last = k + 1 == piece->starts;
        if (last || actual == 0 || normal == 0) {
            missing_ratio(grouping, piece, &actual, &normal);
        }
        if (last && note->start_actual[k] * normal == note->start_normal[k] * actual &&
            note->start_actual[k] > 0) {
            actual = note->start_actual[k];
            normal = note->start_normal[k];
        }
        open_group(grouping, actual, normal, true, piece);
    }
}

static void open_unwritten(struct grouping *grouping, const struct mx_piece *piece) {
    int actual = 1;
    int normal = 1;
    if (grouping->depth > 0) {
        grouping->failed = true;
        return;
    }
    missing_ratio(grouping, piece, &actual, &normal);
    open_group(grouping, actual, normal, false, piece);
}

static void place(struct grouping *grouping, const struct mx_piece *piece) {
    push(grouping, piece);
    if (grouping->depth > 0) {
        struct group *group = &grouping->open[grouping->depth - 1];
        const eh_ticks undotted = WHOLE >> piece->value;
        group->sum += eh_written_length(piece->value, piece->dots);
        group->shortest = undotted < group->shortest ? undotted : group->shortest;
    }
}

static void close_unwritten(struct grouping *grouping, const struct mx_piece *piece) {
    while (grouping->depth > 0 && !grouping->open[grouping->depth - 1].written &&
           unit_of(&grouping->open[grouping->depth - 1]) > 0) {
        close_group(grouping, piece);
    }
}

static void add(struct grouping *grouping, const struct mx_piece *piece) {
    if (grouping->brackets && piece->starts > 0) {
        open_written(grouping, piece);
    } else if (!fits(grouping, piece)) {
        open_unwritten(grouping, piece);
    }
    if (grouping->failed || !fits(grouping, piece)) {
        grouping->failed = true;
        return;
    }
    place(grouping, piece);
    for (int k = 0; grouping->brackets && k < piece->stops && !grouping->failed; k++) {
        close_group(grouping, piece);
    }
    close_unwritten(grouping, piece);
}

static bool try_grouping(struct grouping *grouping) {
    struct mx_rows *rows = &grouping->reading->rows;
    for (size_t i = 0; i < rows->raw_count && !grouping->failed && !grouping->no_memory; i++) {
        add(grouping, &rows->raw[i]);
    }
    return !grouping->failed && grouping->depth == 0;
}

enum eh_status mx_group_pieces(struct mx_reading *reading, int bar) {
    struct mx_rows *rows = &reading->rows;
    const size_t first = rows->piece_count;
    rows->bars[bar].first_piece = first;
    bool done = false;
    for (int attempt = 0; attempt < 2 && !done; attempt++) {
        struct grouping grouping = {.reading = reading, .brackets = attempt == 0};
        rows->piece_count = first;
        done = try_grouping(&grouping);
        if (grouping.no_memory) {
            return mx_no_memory(reading);
        }
    }
    rows->bars[bar].piece_count = rows->piece_count - first;
    return done ? EH_OK
                : mx_fail(reading, EH_BAD_SYNTAX, bar, rows->bars[bar].line,
                          "expected tuplets that hold as many equal notes as they say (up to %d in "
                          "%d, %d deep), found one that does not add up",
                          EH_WRITTEN_ACTUAL_MAX, EH_WRITTEN_NORMAL_MAX, EH_WRITTEN_DEPTH_MAX);
}
