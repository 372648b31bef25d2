/* Whether an exercise is about its doubles. */
#include "measure.h"

/* Of the rudiments that are about a diddle the triple paradiddle has the fewest: one in eight
 * strokes of a hand. What has fewer has them in passing. */
enum { STROKES_A_DOUBLE = 8 };

struct share {
    size_t mains, doubles, alike;
};

static void count_stroke(struct share *of, const struct eh_stroke *stroke,
                         const struct eh_stroke *main_before) {
    of->mains++;
    if (stroke->kind == EH_KIND_SECOND && main_before != NULL &&
        main_before->kind == EH_KIND_FIRST && main_before->hand == stroke->hand) {
        of->doubles++;
        of->alike +=
            main_before->accent == stroke->accent && main_before->dynamic == stroke->dynamic;
    }
}

static bool is_much(const struct share *of, bool alike) {
    const size_t doubles = alike ? of->alike : of->doubles;
    return doubles > 0 && STROKES_A_DOUBLE * doubles >= of->mains;
}

static struct share of_run(const struct measures *m, int hand) {
    struct share of = {0};
    const struct eh_stroke *before = NULL;
    for (size_t i = 0; i < m->count; i++) {
        const struct eh_stroke *s = &m->strokes[m->row[i].stroke];
        if (s->kind == EH_KIND_GRACE) {
            continue;
        }
        if (m->row[i].hand == hand) {
            count_stroke(&of, s, before);
        }
        before = s;
    }
    return of;
}

static struct share of_exercise(const struct measures *m, int hand) {
    size_t count = 0;
    const struct eh_stroke *s = eh_exercise_strokes(m->in->plan->exercise, &count);
    struct share of = {0};
    const struct eh_stroke *before = NULL;
    for (size_t i = 0; i < count; i++) {
        if (s[i].kind == EH_KIND_GRACE) {
            continue;
        }
        if (s[i].hand == hand) {
            count_stroke(&of, &s[i], before);
        }
        before = &s[i];
    }
    return of;
}

bool measure_is_about_doubles(const struct measures *m, int hand, bool alike) {
    const struct share run = of_run(m, hand);
    const size_t due = alike ? run.alike : run.doubles;
    if (due == 0) {
        return false;
    }
    if ((double)due >= m->style->least_n || is_much(&run, alike)) {
        return true;
    }
    const struct share all = of_exercise(m, hand);
    return is_much(&all, alike);
}
