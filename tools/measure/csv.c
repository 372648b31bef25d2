#include "csv.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>

static void write_align(FILE *out, const struct cell *c) {
    const struct spec *s = &c->spec;
    const struct agreement *a = &c->agreement;
    if (s->section != SECTION_ALIGN || c->impossible != 0) {
        return;
    }
    (void)fprintf(out, "%s,%s,%s,%s,%g,%s,%s,", s->entry == ENTRY_FILE ? "file" : "practice",
                  course_name(s->course), s->mixture != NULL ? s->mixture->name : "plain",
                  s->exercise, s->bpm, player_name(s->player), s->kit->name);
    (void)fprintf(out, "%u,%u,%u,%u,%llu,%llu,", c->played, c->laid, c->refused, c->failed,
                  (unsigned long long)a->found, (unsigned long long)a->played);
    for (int how = 0; how < STRICTNESS_COUNT; how++) {
        (void)fprintf(out, "%llu,", (unsigned long long)a->right[how]);
    }
    (void)fprintf(out, "%llu,", (unsigned long long)a->hidden);
    (void)fprintf(out, "%d,%llu,%llu,%llu,%llu,%llu,", c->presses,
                  (unsigned long long)c->known.found, (unsigned long long)c->known.played,
                  (unsigned long long)c->known.right[STRICT],
                  (unsigned long long)c->known.right[NEAR], (unsigned long long)c->known.hidden);
    (void)fprintf(out, "%.5f,%.5f,%.5f,%u,%u,%u,%u,%u,%.4f\n", c->worst[STRICT], c->worst[SAME],
                  c->worst[HEARD], c->below[STRICT], c->below[SAME], c->below[HEARD], c->named,
                  c->called, c->alike);
}

static void write_detect(FILE *out, const struct cell *c) {
    const struct spec *s = &c->spec;
    if (s->section != SECTION_DETECT || c->impossible != 0) {
        return;
    }
    (void)fprintf(out, "%s,%s,%s,%d,%g,%s,%s,%g,", s->fault->name, eh_aspect_text(s->fault->aspect),
                  s->exercise, s->strokes, s->bpm, player_name(s->player), s->kit->name, s->size);
    (void)fprintf(out, "%u,%u,%u,%u,%u,%u,", c->played, c->refused + c->failed, c->right, c->hit,
                  c->aimed.runs, c->aimed.unclear);
    (void)fprintf(out, "%u,%u,%.6g,%.6g,%u\n", c->aimed.measured, c->aimed.covered,
                  c->aimed.error_sum, c->aimed.error_squares, c->elsewhere);
}

static void write_clean(FILE *out, const struct cell *c) {
    const struct spec *s = &c->spec;
    for (int a = 0; s->section == SECTION_CLEAN && c->impossible == 0 && a < EH_ASPECT_COUNT; a++) {
        const struct aspect_tally *t = &c->aspects[a];
        if (t->runs == 0) {
            continue;
        }
        (void)fprintf(out, "%s,%d,%g,%s,%s,%s,", s->exercise, s->bars, s->bpm,
                      player_name(s->player), s->kit->name, eh_aspect_text((enum eh_aspect)a));
        (void)fprintf(out, "%u,%u,%u,%u,%u,%u,%.6g,%.6g\n", c->played, t->runs, t->alarms,
                      t->unclear, t->measured, t->covered, t->error_sum, t->error_squares);
    }
}

static bool write_table(const struct cells *cells, const char *folder, const char *name,
                        const char *headings, void (*line)(FILE *, const struct cell *)) {
    char path[4096];
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    FILE *out = fopen(path, "w");
    if (out == NULL) {
        (void)fprintf(stderr, "%s: %s\n", path, strerror(errno));
        return false;
    }
    (void)fprintf(out, "%s\n", headings);
    for (size_t i = 0; i < cells->count; i++) {
        line(out, &cells->row[i]);
    }
    const bool good = ferror(out) == 0;
    if (fclose(out) != 0 || !good) {
        (void)fprintf(stderr, "%s: could not be written: %s\n", path, strerror(errno));
        return false;
    }
    return true;
}

bool csv_write(const struct cells *cells, const char *folder) {
    return write_table(cells, folder, "align.csv",
                       "entry,course,mixture,exercise,bpm,player,pad,runs,laid,refused,failed,"
                       "found,played,right_strict,right_same,right_heard,right_near,hidden,"
                       "presses,found_known,played_known,"
                       "right_known,right_known_near,hidden_known,worst_strict,worst_same,"
                       "worst_heard,below_strict,below_same,below_heard,named,called,"
                       "alike",
                       write_align) &&
           write_table(cells, folder, "detect.csv",
                       "fault,aspect,exercise,strokes,bpm,player,pad,size,runs,unjudged,right,hit,"
                       "findings,unclear,measured,covered,error_sum,error_squares,elsewhere",
                       write_detect) &&
           write_table(cells, folder, "clean.csv",
                       "exercise,bars,bpm,player,pad,aspect,played,runs,alarms,unclear,measured,"
                       "covered,error_sum,error_squares",
                       write_clean);
}
