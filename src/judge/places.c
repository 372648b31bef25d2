#include "evenhand/places.h"

#include <math.h>
#include <stdlib.h>

#include "places_scan.h"
#include "places_sure.h"

/* Lengths in bars: steps of a half and a third, as far as they are shorter than the run. */
static const int32_t lengths[] = {1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96, 128};

enum { LENGTHS = sizeof lengths / sizeof lengths[0] };

/* A stretch has to be surer than a fault of the whole run by so many standard errors: of so many
 * stretches some are by chance. A choice of ours. */
static const double better = 1.0;

/* Levels against marks are a question to the whole run, and so is its tempo. */
static bool is_looked_for(const struct eh_finding *f) {
    return f->aspect != EH_ASPECT_TEMPO && f->aspect != EH_ASPECT_DYNAMICS &&
           f->aspect != EH_ASPECT_HAIRPIN;
}

/* ---- Looking ---- */

static enum eh_status note(struct scan *scan, const struct look *look) {
    if (scan->count == scan->capacity) {
        const size_t capacity = scan->capacity * 2 + 64;
        struct look *looks = realloc(scan->looks, capacity * sizeof *looks);
        if (looks == NULL) {
            return EH_NO_MEMORY;
        }
        scan->looks = looks;
        scan->capacity = capacity;
    }
    scan->looks[scan->count++] = *look;
    return EH_OK;
}

static enum eh_status note_findings(struct scan *scan, const struct eh_judgement *of, int32_t first,
                                    int32_t last) {
    const struct eh_style *style = scan->judgement->style;
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < of->finding_count && status == EH_OK; i++) {
        const struct eh_finding *f = &of->findings[i];
        const struct look look = {first, last, places_key(f), places_sure(scan->judgement, f)};
        if (first == last) {
            places_note_side(scan, first, f);
        }
        if (!is_looked_for(f) || !isfinite(f->value) || (double)f->n < style->least_n) {
            continue;
        }
        scan->stretches[look.key]++;
        if (look.sure > 0.0) {
            status = note(scan, &look);
        }
    }
    return status;
}

static enum eh_status look_everywhere(struct scan *scan) {
    const int32_t bars = scan->last - scan->first + 1;
    enum eh_status status = note_findings(scan, scan->judgement, scan->first, scan->last);
    for (int k = 0; k < LENGTHS && lengths[k] < bars; k++) {
        for (int32_t bar = scan->first; bar + lengths[k] - 1 <= scan->last; bar++) {
            const int32_t last = bar + lengths[k] - 1;
            if (status == EH_OK && slice_measure(&scan->slice, bar, last, &status)) {
                status = note_findings(scan, scan->slice.part, bar, last);
            }
        }
    }
    return status;
}

/* ---- Choosing ---- */

static bool apart(const struct eh_located *l, const struct look *look) {
    for (size_t i = 0; i < l->place_count; i++) {
        if (look->first <= l->places[i].last_bar && look->last >= l->places[i].first_bar) {
            return false;
        }
    }
    return true;
}

/* Whether LOOK may still be told: of the key, sure enough, no bar shared with what is told. */
static bool is_open(const struct look *look, const struct eh_located *l, uint8_t key,
                    double least) {
    return look->key == key && look->sure > least && apart(l, look);
}

static const struct look *surest(const struct scan *scan, const struct eh_located *l, uint8_t key,
                                 double least) {
    const struct look *best = NULL;
    for (size_t i = 0; i < scan->count; i++) {
        const struct look *look = &scan->looks[i];
        if (is_open(look, l, key, least) && (best == NULL || look->sure > best->sure)) {
            best = look;
        }
    }
    return best;
}

static const struct eh_finding *find_key(const struct eh_judgement *part, uint8_t key) {
    for (size_t i = 0; i < part->finding_count; i++) {
        if (places_key(&part->findings[i]) == key) {
            return &part->findings[i];
        }
    }
    return NULL;
}

enum eh_status places_find_again(struct scan *scan, uint8_t key, int32_t first, int32_t last,
                                 struct eh_place *out) {
    enum eh_status status = EH_OK;
    *out = (struct eh_place){.first_bar = first, .last_bar = last};
    if (!slice_measure(&scan->slice, first, last, &status)) {
        return status;
    }
    const struct eh_finding *found = find_key(scan->slice.part, key);
    if (found == NULL) {
        found = find_key(scan->slice.part, (uint8_t)(key / 4 * 4 + EH_SIDE_BOTH));
    }
    if (found != NULL) {
        out->finding = *found;
    }
    return EH_OK;
}

/* A buzz is called gapped for one gap in ten, so many bars at the edges may be fine: they are left
 * out where the judge names all of the others, and these fail by themselves. That there is a fault
 * the longer stretch has made sure. */
static enum eh_status trim(struct scan *scan, uint8_t key, struct eh_place *place,
                           bool *out_trimmed) {
    enum { NAMED_MOST = 6 };
    const struct eh_finding *f = &place->finding;
    struct eh_place less;
    if (f->aspect != EH_ASPECT_BUZZ || f->bar_count == 0 || f->bar_count >= NAMED_MOST) {
        return EH_OK;
    }
    const enum eh_status status =
        places_find_again(scan, key, f->bars[0], f->bars[f->bar_count - 1], &less);
    if (status == EH_OK && less.finding.fault == EH_FAULT_YES) {
        *place = less;
        *out_trimmed = true;
    }
    return status;
}

/* The place of LOOK, its interval the one that all stretches have together. */
static enum eh_status take_place(struct scan *scan, const struct look *look,
                                 const struct eh_located *l, struct eh_place *out) {
    const double least = places_least_sure(l->stretches);
    bool trimmed = false;
    enum eh_status status = places_find_again(scan, look->key, look->first, look->last, out);
    if (status == EH_OK) {
        status = trim(scan, look->key, out, &trimmed);
    }
    if (status == EH_OK && !trimmed) {
        status = places_settle_ends(scan, look->key, least, l, out, &trimmed);
    }
    places_widen(scan->judgement, trimmed ? 1 : l->stretches, &out->finding);
    out->finding.bar_count = 0;
    return status;
}

static void insert(struct eh_located *l, const struct eh_place *place) {
    size_t at = l->place_count++;
    for (; at > 0 && l->places[at - 1].first_bar > place->first_bar; at--) {
        l->places[at] = l->places[at - 1];
    }
    l->places[at] = *place;
}

/* How sure the whole run's fault is; 0: it has none. */
static double whole_sure(const struct scan *scan, uint8_t key) {
    for (size_t i = 0; i < scan->count; i++) {
        const struct look *look = &scan->looks[i];
        if (look->key == key && look->first == scan->first && look->last == scan->last) {
            return look->sure;
        }
    }
    return 0.0;
}

static enum eh_status locate(struct scan *scan, struct eh_located *l) {
    const uint8_t key = places_key(&l->finding);
    l->stretches = scan->stretches[key];
    const double least = places_least_sure(l->stretches);
    const double whole = l->finding.of_bars ? 0.0 : whole_sure(scan, key);
    enum eh_status status = EH_OK;
    while (l->place_count < EH_PLACES_MAX && status == EH_OK) {
        const struct look *look = surest(scan, l, key, least);
        struct eh_place place;
        if (look == NULL || (l->place_count == 0 && whole > 0.0 && look->sure < whole + better)) {
            l->throughout = look != NULL;
            break;
        }
        status = take_place(scan, look, l, &place);
        if (status == EH_OK) {
            insert(l, &place);
        }
    }
    l->throughout = l->throughout || (l->finding.fault == EH_FAULT_YES && l->place_count == 0 &&
                                      l->finding.bar_count == 0);
    return status;
}

/* ---- All questions ---- */

static bool has_key(const struct eh_places *places, uint8_t key) {
    for (size_t i = 0; i < places->count; i++) {
        if (places_key(&places->located[i].finding) == key) {
            return true;
        }
    }
    return false;
}

/* Both hands together fail in a stretch where a hand is known to: the hand says it better. */
static void drop_said(const struct eh_places *places, struct eh_located *both) {
    size_t kept = 0;
    for (size_t i = 0; i < both->place_count; i++) {
        bool said = false;
        for (size_t k = 0; k < places->count; k++) {
            const struct eh_located *l = &places->located[k];
            const struct look look = {both->places[i].first_bar, both->places[i].last_bar, 0, 0.0};
            said = said || (l->finding.aspect == both->finding.aspect && !apart(l, &look));
        }
        if (!said) {
            both->places[kept++] = both->places[i];
        }
    }
    both->place_count = kept;
}

static void locate_others(struct scan *scan, struct eh_places *out, enum eh_status *status) {
    for (int key = 0; key < PLACES_KEYS && *status == EH_OK; key++) {
        struct eh_located *l = &out->located[out->count];
        if (scan->stretches[key] == 0 || has_key(out, (uint8_t)key) ||
            out->count == EH_FINDINGS_MAX) {
            continue;
        }
        *l = (struct eh_located){.finding = {.aspect = (uint8_t)(key / 4),
                                             .side = (uint8_t)(key % 4),
                                             .verdict = EH_VERDICT_UNCLEAR,
                                             .fault = EH_FAULT_UNCLEAR,
                                             .value = NAN,
                                             .low = NAN,
                                             .high = NAN,
                                             .limit_low = NAN,
                                             .limit_high = NAN}};
        *status = locate(scan, l);
        drop_said(out, l);
        out->count += l->place_count > 0;
    }
}

static enum eh_status locate_all(struct scan *scan, struct eh_places *out) {
    const struct eh_judgement *j = scan->judgement;
    enum eh_status status = EH_OK;
    for (size_t i = 0; i < j->finding_count && status == EH_OK; i++) {
        out->located[i] = (struct eh_located){.finding = j->findings[i]};
        out->count++;
        if (is_looked_for(&j->findings[i])) {
            status = locate(scan, &out->located[i]);
        }
    }
    locate_others(scan, out, &status);
    return status;
}

static void find_ends(struct scan *scan) {
    const struct eh_plan *plan = &scan->judgement->plan;
    scan->first = scan->last = plan->bars[0].written;
    for (size_t i = 0; i < plan->bar_count; i++) {
        const int32_t bar = plan->bars[i].written;
        scan->first = bar < scan->first ? bar : scan->first;
        scan->last = bar > scan->last ? bar : scan->last;
    }
}

enum eh_status eh_places_find(struct eh_places *out, const struct eh_judgement *judgement) {
    struct scan scan = {.judgement = judgement};
    *out = (struct eh_places){.located = calloc(EH_FINDINGS_MAX, sizeof *out->located)};
    enum eh_status status =
        out->located == NULL ? EH_NO_MEMORY : slice_init(&scan.slice, judgement);
    find_ends(&scan);
    scan.sides = calloc((size_t)(scan.last - scan.first + 1) * PLACES_KEYS, sizeof *scan.sides);
    status = scan.sides == NULL ? EH_NO_MEMORY : status;
    if (status == EH_OK) {
        status = look_everywhere(&scan);
    }
    if (status == EH_OK) {
        status = locate_all(&scan, out);
    }
    slice_deinit(&scan.slice);
    free(scan.looks);
    free(scan.sides);
    if (status != EH_OK) {
        eh_places_deinit(out);
    }
    return status;
}

void eh_places_deinit(struct eh_places *places) {
    free(places->located);
    *places = (struct eh_places){.located = NULL};
}
