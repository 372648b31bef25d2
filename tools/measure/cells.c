#include "cells.h"

#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/settings.h"

/* ---- Exercises ---- */

static char *read_text(const char *path) {
    FILE *file = fopen(path, "rb");
    char *text = NULL;
    if (file != NULL && fseek(file, 0, SEEK_END) == 0) {
        const long size = ftell(file);
        text = size >= 0 ? calloc((size_t)size + 1, 1) : NULL;
        rewind(file);
        if (text != NULL && fread(text, 1, (size_t)size, file) != (size_t)size) {
            free(text);
            text = NULL;
        }
    }
    if (file != NULL) {
        (void)fclose(file);
    }
    return text;
}

static bool ends_in(const char *name, const char *end) {
    const size_t length = strlen(name);
    return length > strlen(end) && strcmp(name + length - strlen(end), end) == 0;
}

static bool take_exercise(struct cells *cells, const char *path, const char *name, bool collected) {
    struct source *s = &cells->shipped[cells->shipped_count];
    if (cells->shipped_count == EXERCISES_MAX || (s->text = read_text(path)) == NULL) {
        (void)fprintf(stderr, "%s: cannot be read, or too many exercises\n", path);
        return false;
    }
    (void)snprintf(s->name, sizeof s->name, "%.*s", (int)strlen(name) - 4, name);
    s->collected = collected;
    cells->shipped_count++;
    return true;
}

/* Exercises in FOLDER and in the folders in it, at most DEPTH deep, by name. */
static bool read_shipped(struct cells *cells, const char *folder, int depth, bool collected) {
    struct dirent **found = NULL;
    const int count = scandir(folder, &found, NULL, alphasort);
    bool good = true;
    for (int i = 0; i < count; i++) {
        char path[4096];
        const char *name = found[i]->d_name;
        (void)snprintf(path, sizeof path, "%s/%s", folder, name);
        if (ends_in(name, ".txt")) {
            good = take_exercise(cells, path, name, collected) && good;
        } else if (depth > 0 && name[0] != '.' && strchr(name, '.') == NULL) {
            good = read_shipped(cells, path, depth - 1, true) && good;
        }
        free(found[i]);
    }
    free(found);
    return good;
}

/* The single exercises first, so that they are the same ones with and without the collected. */
static void put_collected_last(struct cells *cells) {
    struct source sorted[EXERCISES_MAX];
    size_t n = 0;
    for (int collected = 0; collected < 2; collected++) {
        for (size_t i = 0; i < cells->shipped_count; i++) {
            if (cells->shipped[i].collected == (collected == 1)) {
                sorted[n++] = cells->shipped[i];
            }
        }
    }
    for (size_t i = 0; i < n; i++) {
        cells->shipped[i] = sorted[i];
    }
}

/* How many of the shipped exercises SCOPE asks for. */
static size_t asked_for(const struct cells *cells, const struct scope *scope) {
    size_t n = 0;
    while (n < cells->shipped_count && (scope->full || !cells->shipped[n].collected)) {
        n++;
    }
    return n;
}

static const char *keep_text(struct cells *cells, const char *text) {
    if (cells->composed_count == cells->composed_capacity) {
        cells->composed_capacity = cells->composed_capacity * 2 + 64;
        cells->composed = realloc(cells->composed, cells->composed_capacity * sizeof(char *));
    }
    char *kept = cells->composed != NULL ? calloc(strlen(text) + 1, 1) : NULL;
    if (kept == NULL) {
        (void)fprintf(stderr, "no memory for an exercise\n");
        abort();
    }
    memcpy(kept, text, strlen(text) + 1);
    cells->composed[cells->composed_count++] = kept;
    return kept;
}

void cells_free(struct cells *cells) {
    for (size_t i = 0; i < cells->shipped_count; i++) {
        free(cells->shipped[i].text);
    }
    for (size_t i = 0; i < cells->composed_count; i++) {
        free(cells->composed[i]);
    }
    free(cells->composed);
    free(cells->row);
    memset(cells, 0, sizeof *cells);
}

/* ---- Choosing ---- */

static bool answers(const struct spec *s, const char *word) {
    const char *names[] = {section_name(s->section),
                           course_name(s->course),
                           s->mixture != NULL ? s->mixture->name : "",
                           s->fault != NULL ? s->fault->name : "",
                           s->fault != NULL ? eh_aspect_text(s->fault->aspect) : "",
                           s->exercise,
                           s->kit->name,
                           player_name(s->player),
                           s->entry == ENTRY_FILE ? "file" : "practice"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        if (strcmp(word, names[i]) == 0) {
            return true;
        }
    }
    for (int a = 0; a < EH_ASPECT_COUNT; a++) {
        if (s->section == SECTION_CLEAN && strcmp(word, eh_aspect_text((enum eh_aspect)a)) == 0) {
            return true;
        }
    }
    /* 120: a tempo; x2: a fault of twice the tolerance; n16: 16 strokes a hand. */
    if (s->fault != NULL && (word[0] == 'x' || word[0] == 'n')) {
        return strtod(word + 1, NULL) == (word[0] == 'x' ? s->size : s->strokes);
    }
    return strtod(word, NULL) == s->bpm;
}

static void add(struct cells *cells, const struct scope *scope, struct spec spec) {
    for (int i = 0; i < scope->only_count; i++) {
        if (!answers(&spec, scope->only[i])) {
            return;
        }
    }
    if (cells->count == cells->capacity) {
        cells->capacity = cells->capacity * 2 + 256;
        struct cell *row = realloc(cells->row, cells->capacity * sizeof *row);
        if (row == NULL) {
            (void)fprintf(stderr, "no memory for %zu cells\n", cells->capacity);
            abort();
        }
        cells->row = row;
    }
    spec.runs = (int)fmax(1.0, round(spec.runs * scope->scale));
    memset(&cells->row[cells->count], 0, sizeof *cells->row);
    cells->row[cells->count++].spec = spec;
}

struct tempos {
    const double *bpm;
    size_t count;
};

static struct tempos tempos_of(const struct scope *scope) {
    static const double all[] = {50, 80, 100, 120, 150, 180};
    static const double few[] = {60, 120, 180};
    return scope->full ? (struct tempos){all, 6} : (struct tempos){few, 3};
}

/* ---- Alignment ---- */

static const struct mixture mixtures[] = {
    {.name = "plain"},
    {.name = "missed-5%", .missed = 0.05},
    {.name = "extra-5%", .extra = 0.05},
    {.name = "echoes-3%", .echoes = 0.03},
    {.name = "drift+5%", .end_percent = 5.0},
    {.name = "drift-5%", .end_percent = -5.0},
    {.name = "drift+8%", .end_percent = 8.0},
    {.name = "drift-8%", .end_percent = -8.0},
    {.name = "delay-40ms", .delay_ms = 40.0},
    {"all+5%", .missed = 0.05, .extra = 0.05, .echoes = 0.03, .end_percent = 5, .delay_ms = 40},
    {"all-5%", .missed = 0.05, .extra = 0.05, .echoes = 0.03, .end_percent = -5, .delay_ms = 40},
};
enum { MIXTURES = sizeof mixtures / sizeof *mixtures };

static void align_one(struct cells *cells, const struct scope *scope, struct spec spec) {
    const int runs = scope->full ? 10 : 4;
    spec.section = SECTION_ALIGN;
    spec.runs = runs;
    for (int player = 0; player < PLAYER_KINDS; player++) {
        spec.player = (enum player_kind)player;
        spec.course = COURSE_STRAIGHT;
        for (int m = 0; m < MIXTURES; m++) {
            spec.mixture = &mixtures[m];
            add(cells, scope, spec);
        }
        spec.mixture = &mixtures[0];
        for (int course = COURSE_STRAIGHT + 1; course < COURSE_OTHER; course++) {
            spec.course = (enum course)course;
            add(cells, scope, spec);
        }
    }
    /* A file does not say where it begins. */
    spec.player = PLAYER_PROFESSIONAL;
    spec.entry = ENTRY_FILE;
    spec.runs = scope->full ? 4 : 2;
    spec.course = COURSE_LATE_START;
    add(cells, scope, spec);
    spec.course = COURSE_STRAIGHT;
    add(cells, scope, spec);
    spec.mixture = &mixtures[MIXTURES - 1];
    add(cells, scope, spec);
}

static void align_other(struct cells *cells, const struct scope *scope, struct spec spec) {
    spec.section = SECTION_ALIGN;
    spec.course = COURSE_OTHER;
    spec.runs = scope->full ? 4 : 2;
    static const size_t further[] = {1, 5, 9, 13, 17, 23, 29, 41, 53};
    const size_t count = asked_for(cells, scope);
    for (size_t i = 0; i < count; i++) {
        for (size_t k = 0; k < sizeof further / sizeof *further; k++) {
            const size_t other = (i + further[k]) % count;
            if (other == i) {
                continue;
            }
            spec.exercise = cells->shipped[i].name;
            spec.text = cells->shipped[i].text;
            spec.other = cells->shipped[other].text;
            for (int entry = 0; entry < 2; entry++) {
                spec.entry = (enum entry)entry;
                add(cells, scope, spec);
            }
        }
    }
}

static void list_align(struct cells *cells, const struct scope *scope, struct spec spec) {
    static const enum pattern composed[] = {PATTERN_FLAMS, PATTERN_DRAGS, PATTERN_BUZZ,
                                            PATTERN_DYNAMICS};
    const struct tempos tempos = tempos_of(scope);
    for (size_t t = 0; t < tempos.count; t++) {
        spec.bpm = tempos.bpm[t];
        for (size_t i = 0; i < asked_for(cells, scope); i++) {
            spec.exercise = cells->shipped[i].name;
            spec.text = cells->shipped[i].text;
            align_one(cells, scope, spec);
        }
        for (size_t i = 0; i < sizeof composed / sizeof *composed; i++) {
            char text[SCORES_TEXT];
            pattern_bars(composed[i], 16, spec.bpm, text);
            spec.exercise = pattern_name(composed[i]);
            spec.text = keep_text(cells, text);
            align_one(cells, scope, spec);
        }
    }
    spec.bpm = 120.0;
    align_other(cells, scope, spec);
}

/* ---- Faults ---- */

static void detect_one(struct cells *cells, const struct scope *scope, struct spec spec,
                       bool other_pads) {
    static const int full_strokes[] = {8, 16, 32, 64};
    static const double full_sizes[] = {0.0, 1.0, 1.5, 2.0, 3.0};
    const bool everything = scope->full && !other_pads;
    for (int n = 0; n < 4; n++) {
        if (!everything && n != 2 && (n != 1 || other_pads)) {
            continue;
        }
        char text[SCORES_TEXT];
        spec.strokes = full_strokes[n];
        (void)pattern_text(spec.fault->pattern, spec.strokes, spec.bpm, text);
        spec.exercise = pattern_name(spec.fault->pattern);
        spec.text = keep_text(cells, text);
        const double largest = fault_largest(spec.fault);
        for (int s = 0; s < 5 && (largest == 0.0 || s < 3); s++) {
            spec.size = largest > 0.0 && s == 2 ? largest : full_sizes[s];
            if (everything || spec.size == 0.0 || spec.size == 2.0 || spec.size == largest ||
                (!other_pads && spec.size == 1.0)) {
                add(cells, scope, spec);
            }
        }
    }
}

static void list_detect(struct cells *cells, const struct scope *scope, struct spec spec) {
    size_t fault_count = 0;
    const struct fault *faults = fault_list(&fault_count);
    const struct tempos tempos = tempos_of(scope);
    spec.section = SECTION_DETECT;
    spec.runs = scope->full ? 100 : 60;
    for (size_t f = 0; f < fault_count; f++) {
        spec.fault = &faults[f];
        for (int player = 0; player < PLAYER_KINDS; player++) {
            spec.player = (enum player_kind)player;
            for (size_t t = 0; t < tempos.count; t++) {
                spec.bpm = tempos.bpm[t];
                detect_one(cells, scope, spec, false);
            }
        }
    }
}

/* ---- No faults ---- */

static void clean_one(struct cells *cells, const struct scope *scope, struct spec spec) {
    spec.section = SECTION_CLEAN;
    spec.runs = scope->full ? 150 : 60;
    for (int player = 0; player < PLAYER_KINDS; player++) {
        spec.player = (enum player_kind)player;
        add(cells, scope, spec);
    }
}

static void clean_patterns(struct cells *cells, const struct scope *scope, struct spec spec) {
    for (int p = 0; p < PATTERN_COUNT; p++) {
        char text[SCORES_TEXT];
        pattern_bars((enum pattern)p, 8, spec.bpm, text);
        spec.exercise = pattern_name((enum pattern)p);
        spec.text = keep_text(cells, text);
        clean_one(cells, scope, spec);
    }
}

static void list_clean(struct cells *cells, const struct scope *scope, struct spec spec) {
    const struct tempos tempos = tempos_of(scope);
    for (size_t t = 0; t < tempos.count; t++) {
        spec.bpm = tempos.bpm[t];
        spec.bars = 0;
        clean_patterns(cells, scope, spec);
        for (size_t i = 0; i < asked_for(cells, scope); i++) {
            spec.exercise = cells->shipped[i].name;
            spec.text = cells->shipped[i].text;
            spec.bars = 8;
            clean_one(cells, scope, spec);
            spec.bars = 0;
            clean_one(cells, scope, spec);
        }
    }
}

/* ---- Pads ---- */

/* Pads whose levels are known, exactly or by a calibration, at every tempo: what is covered there
 * is held against what is covered on the good one. */
static void clean_on_pad(struct cells *cells, const struct scope *scope, struct spec spec) {
    const struct tempos tempos = tempos_of(scope);
    const bool known = spec.kit->told == TOLD_EXACTLY || spec.kit->told == TOLD_CALIBRATION;
    for (size_t t = 0; t < tempos.count; t++) {
        spec.bpm = tempos.bpm[t];
        if (known || spec.bpm == 120.0) {
            clean_patterns(cells, scope, spec);
        }
    }
}

static void list_pads(struct cells *cells, const struct scope *scope, struct spec spec) {
    size_t kit_count = 0;
    size_t fault_count = 0;
    const struct kit *kits = kit_list(&kit_count);
    const struct fault *faults = fault_list(&fault_count);
    for (size_t k = 0; k < kit_count; k++) {
        spec.kit = &kits[k];
        if (strcmp(spec.kit->name, "good") == 0) {
            continue;
        }
        spec.fault = NULL;
        clean_on_pad(cells, scope, spec);
        spec.bpm = 120.0;
        spec.section = SECTION_DETECT;
        spec.player = PLAYER_PROFESSIONAL;
        spec.runs = scope->full ? 100 : 40;
        for (size_t f = 0; f < fault_count; f++) {
            spec.fault = &faults[f];
            detect_one(cells, scope, spec, true);
        }
    }
}

bool cells_list(struct cells *out, const char *folder, const struct scope *scope) {
    memset(out, 0, sizeof *out);
    if (!read_shipped(out, folder, 3, false)) {
        return false;
    }
    if (out->shipped_count == 0) {
        (void)fprintf(stderr, "%s: holds no exercise\n", folder);
        return false;
    }
    put_collected_last(out);
    const struct spec spec = {.kit = kit_named("good"), .player = PLAYER_PROFESSIONAL};
    list_align(out, scope, spec);
    list_detect(out, scope, spec);
    list_clean(out, scope, spec);
    list_pads(out, scope, spec);
    if (out->count == 0) {
        (void)fprintf(stderr, "nothing answers to all the words given with --only\n");
    }
    return out->count > 0;
}
