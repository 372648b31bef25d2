#include <stdlib.h>
#include <string.h>

#include "compare.h"
#include "following.h"
#include "property.h"

/* The answers that were settled when they were first seen as settled. */
struct kept {
    struct eh_match *matches;
    struct eh_fate *fates;
    size_t dues, hits;
};

static void keep(struct kept *kept, const struct following *f) {
    const size_t dues = eh_follower_settled_due(f->follower);
    const size_t hits = eh_follower_settled_hits(f->follower);
    for (; kept->dues < dues; kept->dues++) {
        kept->matches[kept->dues] = f->matches[kept->dues];
    }
    for (; kept->hits < hits; kept->hits++) {
        kept->fates[kept->hits] = f->fates[kept->hits];
    }
}

/* A press that is settled may still gather bounces, each of which is a hit that settles later. */
static bool still_the_same(struct kept *kept, const struct following *f, struct eh_text *why) {
    for (size_t i = 0; i < kept->dues; i++) {
        if (f->matches[i].bounces > kept->matches[i].bounces) {
            kept->matches[i].bounces = f->matches[i].bounces;
        }
    }
    if (!compare_matches(kept->matches, f->matches, kept->dues, why) ||
        !compare_fates(kept->fates, f->fates, kept->hits, why)) {
        eh_text_add(why, " (after it was settled)");
        return false;
    }
    return true;
}

/* As a live run does: a few hits, then the time that nothing can come before any more. */
static void feed_in_chunks(struct following *f, struct chance *chance, struct kept *kept) {
    const struct eh_take *take = &f->sample->take;
    const int most = 1 + chance_below(chance, 12);
    size_t fed = 0;
    int64_t now_ns = 0;
    while (fed < take->count) {
        for (int n = chance_below(chance, most + 1); n > 0 && fed < take->count; n--) {
            (void)eh_follower_feed(f->follower, fed++);
        }
        const int64_t next_ns = fed < take->count ? take->hits[fed].at_ns : f->plan.end_ns;
        if (next_ns > now_ns && chance_of(chance, 70)) {
            now_ns += (int64_t)((double)(next_ns - now_ns) * chance_between(chance, 0.0, 1.0));
            eh_follower_advance(f->follower, now_ns);
        }
        keep(kept, f);
    }
    for (int n = chance_below(chance, 4); n > 0; n--) {
        now_ns += (int64_t)chance_between(chance, 0.0, 2e9);
        eh_follower_advance(f->follower, now_ns);
        keep(kept, f);
    }
}

static void feed_at_once(struct following *f) {
    for (size_t i = 0; i < f->sample->take.count; i++) {
        (void)eh_follower_feed(f->follower, i);
    }
}

static bool same_documents(const struct following *a, const struct following *b,
                           struct eh_text *why) {
    struct eh_text one = {0};
    struct eh_text other = {0};
    following_json(a, &one);
    following_json(b, &other);
    const bool same = compare_bytes(eh_text_string(&one), eh_text_string(&other), why);
    eh_text_deinit(&one);
    eh_text_deinit(&other);
    return same;
}

/* The judgement of the take as a whole, when the take came in pieces that grow its arrays. */
static bool same_judgement(const struct sample *sample, struct eh_text *why) {
    struct sample again;
    struct eh_text one = {0};
    struct eh_text other = {0};
    sample_copy(&again, sample);
    sample_json(sample, &one);
    sample_json(&again, &other);
    const bool same = compare_bytes(eh_text_string(&one), eh_text_string(&other), why);
    eh_text_deinit(&one);
    eh_text_deinit(&other);
    sample_deinit(&again);
    return same;
}

bool property_chunks(const struct sample *sample, struct eh_text *why) {
    struct chance chance = {.state = ~sample->seed};
    struct following whole;
    struct following parts;
    struct kept kept = {0};
    if (sample->take.count == 0 || !following_begin(&whole, sample)) {
        return same_judgement(sample, why);
    }
    (void)following_begin(&parts, sample);
    kept.matches = calloc(whole.plan.due_count, sizeof *kept.matches);
    kept.fates = calloc(sample->take.count, sizeof *kept.fates);
    if (kept.matches == NULL || kept.fates == NULL) {
        abort();
    }
    feed_at_once(&whole);
    following_end(&whole);
    feed_in_chunks(&parts, &chance, &kept);
    following_end(&parts);
    const bool same = compare_matches(whole.matches, parts.matches, whole.plan.due_count, why) &&
                      compare_fates(whole.fates, parts.fates, sample->take.count, why) &&
                      same_documents(&whole, &parts, why) && still_the_same(&kept, &parts, why) &&
                      same_judgement(sample, why);
    free(kept.matches);
    free(kept.fates);
    following_deinit(&whole);
    following_deinit(&parts);
    return same;
}
