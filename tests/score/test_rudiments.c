/* The 40 standard rudiments: each can be written, and its text gives the strokes, accents and grace
 * notes that the lists of the trade give; the shipped exercises repeat just these figures.
 *
 * Names and numbers: the list of 40 International Drum Rudiments that the Percussive Arts Society
 * adopted in 1984. The printed sheet was not at hand. Source of each row's stroke order and
 * accents: A  the CPAN module MIDI::Simple::Drummer::Rudiments, which names the same 40; B  A, and
 * a further published page agrees, or such a page against A (named in
 * tests/cli/rudiment_tables.py); M  from memory: compare with the printed sheet before relying on
 * it. Which hand a figure repeats on and the note values are from memory where A and B are silent.
 */
#include <criterion/criterion.h>
#include <string.h>

#include "describe.h"

enum repeat { SAME, ALTERNATES };

struct rudiment {
    int number;
    const char *name;
    char source;
    const char *figure; /* one figure, right hand leading: capitals are main strokes, > an accent on
                           the stroke before it, lower case grace notes, z a buzz */
    enum repeat repeat; /* the hand that leads the next figure */
    int doubles;        /* in the figure, where the rudiment is about doubles; else -1 */
    const char *text;   /* two figures in a row */
};

static const struct rudiment rudiments[] = {
    {1, "single stroke roll", 'A', "RLRL", SAME, 0, "2/4 16:RLRL RLRL"},
    {2, "single stroke four", 'A', "RLRL", SAME, 0, "2/4 16:3[RLR] 8:L 16:3[RLR] 8:L"},
    {3, "single stroke seven", 'A', "RLRLRLR", ALTERNATES, 0,
     "4/4 16:6[RLRLRL] 4:R 16:6[LRLRLR] 4:L"},
    {4, "multiple bounce roll", 'B', "RzLz", SAME, 0, "2/4 8:RzLz RzLz"},
    {5, "triple stroke roll", 'A', "RRRLLL", SAME, 0, "4/4 8:3[RRR] 3[LLL] 3[RRR] 3[LLL]"},
    {6, "double stroke open roll", 'A', "RRLLRRLL", SAME, 4, "2/4 16:R/L/R/L/ R/L/R/L/"},
    {7, "five stroke roll", 'A', "RRLLR>", ALTERNATES, 2, "2/4 16:R/L/ 8:R> 16:L/R/ 8:L>"},
    {8, "six stroke roll", 'B', "R>LLRRL>", SAME, 2, "4/4 8:R> 16:LL RR 8:L> R> 16:LL RR 8:L>"},
    {9, "seven stroke roll", 'A', "RRLLRRL>", SAME, 3, "2/4 16:3[R/L/R/] 8:L> 16:3[R/L/R/] 8:L>"},
    {10, "nine stroke roll", 'A', "RRLLRRLLR>", ALTERNATES, 4,
     "4/4 16:R/L/R/L/ 4:R> 16:L/R/L/R/ 4:L>"},
    {11, "ten stroke roll", 'B', "RRLLRRLLR>L>", SAME, 4,
     "2/4 16:R/L/R/L/ R>L> 8:- | 16:R/L/R/L/ R>L> 8:-"},
    {12, "eleven stroke roll", 'A', "RRLLRRLLRRL>", SAME, 5,
     "2/4 16:R/L/R/L/ R/L> 8:- | 16:R/L/R/L/ R/L> 8:-"},
    {13, "thirteen stroke roll", 'A', "RRLLRRLLRRLLR>", ALTERNATES, 6,
     "2/4 16:R/L/R/L/ R/L/ 8:R> | 16:L/R/L/R/ L/R/ 8:L>"},
    {14, "fifteen stroke roll", 'A', "RRLLRRLLRRLLRRL>", SAME, 7,
     "2/4 16:R/L/R/L/ R/L/R/L> | R/L/R/L/ R/L/R/L>"},
    {15, "seventeen stroke roll", 'A', "RRLLRRLLRRLLRRLLR>", ALTERNATES, 8,
     "4/4 16:R/L/R/L/ R/L/R/L/ 2:R> | 16:L/R/L/R/ L/R/L/R/ 2:L>"},
    {16, "single paradiddle", 'A', "R>LRR", ALTERNATES, 1, "2/4 16:R>LRR L>RLL"},
    {17, "double paradiddle", 'A', "R>LRLRR", ALTERNATES, 1, "2/4 16:6[R>LRLRR] 6[L>RLRLL]"},
    {18, "triple paradiddle", 'A', "R>LRLRLRR", ALTERNATES, 1, "4/4 16:R>LRL RLRR L>RLR LRLL"},
    {19, "single paradiddle-diddle", 'B', "R>LRRLL", SAME, 2, "2/4 16:6[R>LRRLL] 6[R>LRRLL]"},
    {20, "flam", 'A', "lR", ALTERNATES, 0, "2/4 4:lR rL"},
    {21, "flam accent", 'A', "lR>LR", ALTERNATES, 0, "2/4 8:3[lR>LR] 3[rL>RL]"},
    {22, "flam tap", 'A', "lR>R", ALTERNATES, 1, "2/4 8:lR>R rL>L"},
    {23, "flamacue", 'A', "lRL>RLlR", ALTERNATES, 0, "4/4 16:lRL>RL 4:lR 16:rLR>LR 4:rL"},
    {24, "flam paradiddle", 'A', "lR>LRR", ALTERNATES, 1, "2/4 16:lR>LRR rL>RLL"},
    {25, "single flammed mill", 'B', "lR>RLR", ALTERNATES, 1, "2/4 16:lR>RLR rL>LRL"},
    /* Its last two and the next figure's first stroke are three of one hand. */
    {26, "flam paradiddle-diddle", 'A', "lR>LRRLL", ALTERNATES, -1,
     "2/4 16:6[lR>LRRLL] 6[rL>RLLRR]"},
    {27, "pataflafla", 'B', "lR>LRrL>", SAME, 0, "2/4 16:lR>LRrL> lR>LRrL>"},
    {28, "swiss army triplet", 'M', "lR>RL", SAME, 1, "2/4 8:3[lR>RL] 3[lR>RL]"},
    {29, "inverted flam tap", 'B', "lR>LrL>R", SAME, -1, "4/4 8:lR>L rL>R lR>L rL>R"},
    {30, "flam drag", 'B', "lR>LLR", ALTERNATES, 1, "2/4 8:3[lR>L/R] 3[rL>R/L]"},
    {31, "drag", 'A', "llR", ALTERNATES, 0, "2/4 4:llR rrL"},
    {32, "single drag tap", 'A', "llRL>", ALTERNATES, 0, "2/4 8:llRL> rrLR>"},
    {33, "double drag tap", 'A', "llRllRL>", ALTERNATES, 0, "6/8 8:llRllRL> rrLrrLR>"},
    {34, "lesson 25", 'B', "llRLR>", SAME, 0, "2/4 16:llRL 8:R> 16:llRL 8:R>"},
    /* The accent stands over the doubled note: it is on the first of its strokes (from memory). */
    {35, "single dragadiddle", 'B', "R>RLRR", ALTERNATES, 2, "2/4 16:R>/LRR L>/RLL"},
    {36, "drag paradiddle #1", 'A', "R>llRLRR", ALTERNATES, 1, "6/8 8:R> 16:llRLRR 8:L> 16:rrLRLL"},
    {37, "drag paradiddle #2", 'B', "R>llRllRLRR", ALTERNATES, 1,
     "4/4 8:R>llR 16:llRLRR 8:L>rrL 16:rrLRLL"},
    {38, "single ratamacue", 'A', "llRLRL>", ALTERNATES, 0,
     "2/4 16:3[llRLR] 8:L> 16:3[rrLRL] 8:R>"},
    {39, "double ratamacue", 'A', "llRllRLRL>", ALTERNATES, 0,
     "6/8 8:llR 16:3[llRLR] 8:L> rrL 16:3[rrLRL] 8:R>"},
    {40, "triple ratamacue", 'A', "llRllRllRLRL>", ALTERNATES, 0,
     "4/4 8:llRllR 16:3[llRLR] 8:L> rrLrrL 16:3[rrLRL] 8:R>"},
};

enum { RUDIMENTS = (int)(sizeof rudiments / sizeof rudiments[0]) };

static char other_hand(char c) {
    const char *hands = "RLrl";
    const char *others = "LRlr";
    const char *at = strchr(hands, c);
    return at == NULL ? c : others[at - hands];
}

/* The figure twice, the second time as its repeat hand says. */
static void expected_strokes(const struct rudiment *rudiment, struct eh_text *out) {
    eh_text_add(out, rudiment->figure);
    for (const char *at = rudiment->figure; *at != '\0'; at++) {
        eh_text_add_char(out, rudiment->repeat == ALTERNATES ? other_hand(*at) : *at);
    }
}

static struct eh_exercise *read_rudiment(const struct rudiment *rudiment) {
    struct eh_text text = {0};
    eh_text_printf(&text, "title: %s\n%s", rudiment->name, rudiment->text);
    struct eh_exercise *exercise = parse_or_fail(text.data);
    eh_text_deinit(&text);
    return exercise;
}

static void found_strokes(const struct eh_exercise *exercise, struct eh_text *out) {
    static const char *const accents[] = {"", ">", "^"};
    size_t count = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        const bool grace = strokes[i].kind == EH_KIND_GRACE;
        eh_text_add_char(out, (grace ? "lr" : "LR")[strokes[i].hand]);
        eh_text_add(out, accents[strokes[i].accent]);
        eh_text_add(out, strokes[i].kind == EH_KIND_BUZZ ? "z" : "");
    }
}

Test(score_rudiments, all_forty_give_the_strokes_of_the_lists) {
    cr_assert_eq(RUDIMENTS, 40);
    for (int i = 0; i < RUDIMENTS; i++) {
        const struct rudiment *rudiment = &rudiments[i];
        struct eh_text expected = {0};
        struct eh_text found = {0};
        struct eh_exercise *exercise = read_rudiment(rudiment);
        cr_assert_eq(rudiment->number, i + 1);
        expected_strokes(rudiment, &expected);
        found_strokes(exercise, &found);
        cr_assert_str_eq(found.data, expected.data, "%d %s: expected %s, found %s",
                         rudiment->number, rudiment->name, expected.data, found.data);
        expect_round_trip(rudiment->name, exercise);
        eh_text_deinit(&expected);
        eh_text_deinit(&found);
        eh_exercise_free(exercise);
    }
}

/* "exercises/rudiments/4-drags/36-drag-paradiddle-no-1.txt" */
static void shipped_path(const struct rudiment *rudiment, struct eh_text *out) {
    static const struct {
        int last;
        const char *folder;
    } families[] = {{15, "1-rolls"}, {19, "2-diddles"}, {30, "3-flams"}, {40, "4-drags"}};
    int family = 0;
    while (rudiment->number > families[family].last) {
        family++;
    }
    eh_text_printf(out, "exercises/rudiments/%s/%02d-", families[family].folder, rudiment->number);
    for (const char *at = rudiment->name; *at != '\0'; at++) {
        if (*at == '#') {
            eh_text_add(out, "no-");
        } else {
            eh_text_add_char(out, *at == ' ' ? '-' : *at);
        }
    }
    eh_text_add(out, ".txt");
}

/* Passes over FIGURES figures, changing hands as the rudiment does, beginning with the right hand
 * or, SWAPPED, the left. NULL when they are not there. */
static const char *pass_figures(const struct rudiment *rudiment, bool swapped, int figures,
                                const char *strokes) {
    for (int done = 0; done < figures; done++) {
        for (const char *at = rudiment->figure; *at != '\0'; at++) {
            if (*strokes++ != (swapped ? other_hand(*at) : *at)) {
                return NULL;
            }
        }
        swapped = swapped != (rudiment->repeat == ALTERNATES);
    }
    return strokes;
}

/* A closing stroke, with its grace notes and its accent. */
static const char *pass_stroke(const char *strokes) {
    strokes += strspn(strokes, "rl");
    strokes += *strokes != '\0';
    return strokes + strspn(strokes, ">");
}

/* Whether STROKES are FIGURES figures led by the right hand, a closing stroke if CLOSES, and the
 * same led by the left. */
static bool is_two_phrases(const struct rudiment *rudiment, int figures, bool closes,
                           const char *strokes) {
    for (int phrase = 0; phrase < 2 && strokes != NULL; phrase++) {
        strokes = pass_figures(rudiment, phrase == 1, figures, strokes);
        if (strokes != NULL && closes) {
            strokes = pass_stroke(strokes);
        }
    }
    return strokes != NULL && *strokes == '\0';
}

/* Seven figures or more from either hand. */
static bool repeats_its_figure(const struct rudiment *rudiment, const char *strokes) {
    const int most = (int)(strlen(strokes) / strlen(rudiment->figure) / 2);
    for (int figures = most; figures >= 7; figures--) {
        if (is_two_phrases(rudiment, figures, false, strokes) ||
            is_two_phrases(rudiment, figures, true, strokes)) {
            return true;
        }
    }
    return false;
}

Test(score_rudiments, the_shipped_exercises_repeat_the_figures_from_both_hands) {
    for (int i = 0; i < RUDIMENTS; i++) {
        struct eh_text path = {0};
        struct eh_text text = {0};
        struct eh_text found = {0};
        shipped_path(&rudiments[i], &path);
        read_source_file(path.data, &text);
        struct eh_exercise *exercise = parse_or_fail(text.data);
        found_strokes(exercise, &found);
        cr_expect(repeats_its_figure(&rudiments[i], found.data), "%s: %s", path.data, found.data);
        expect_round_trip(rudiments[i].name, exercise);
        eh_exercise_free(exercise);
        eh_text_deinit(&found);
        eh_text_deinit(&text);
        eh_text_deinit(&path);
    }
}

static int count_kind(const struct eh_exercise *exercise, enum eh_kind kind) {
    size_t count = 0;
    int found = 0;
    const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
    for (size_t i = 0; i < count; i++) {
        found += strokes[i].kind == kind;
    }
    return found;
}

Test(score_rudiments, doubles_are_found_where_the_rudiment_has_them) {
    for (int i = 0; i < RUDIMENTS; i++) {
        if (rudiments[i].doubles < 0) {
            continue;
        }
        struct eh_exercise *exercise = read_rudiment(&rudiments[i]);
        cr_assert_eq(count_kind(exercise, EH_KIND_FIRST), 2 * rudiments[i].doubles, "%s: %d",
                     rudiments[i].name, count_kind(exercise, EH_KIND_FIRST));
        cr_assert_eq(count_kind(exercise, EH_KIND_SECOND), 2 * rudiments[i].doubles);
        eh_exercise_free(exercise);
    }
}

/* Arithmetic of the trade (common practice, no source): a roll of an odd number of strokes n has
 * (n - 1) / 2 doubles and one closing stroke; with an even number of doubles the closing stroke
 * falls to the hand that began, and the next roll begins with the other. */
Test(score_rudiments, rolls_of_n_strokes_have_half_of_n_less_one_doubles) {
    static const struct {
        int rudiment, strokes;
    } rolls[] = {{7, 5}, {9, 7}, {10, 9}, {12, 11}, {13, 13}, {14, 15}, {15, 17}};
    for (size_t i = 0; i < sizeof rolls / sizeof rolls[0]; i++) {
        const struct rudiment *rudiment = &rudiments[rolls[i].rudiment - 1];
        struct eh_exercise *exercise = read_rudiment(rudiment);
        size_t count = 0;
        const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
        const int doubles = (rolls[i].strokes - 1) / 2;
        cr_assert_eq(count, 2 * (size_t)rolls[i].strokes, "%s", rudiment->name);
        cr_assert_eq(count_kind(exercise, EH_KIND_FIRST), 2 * doubles, "%s", rudiment->name);
        cr_assert_eq(strokes[rolls[i].strokes - 1].accent, 1);
        cr_assert_eq(strokes[rolls[i].strokes - 1].hand == strokes[0].hand, doubles % 2 == 0);
        cr_assert_eq(strokes[rolls[i].strokes].hand != strokes[0].hand, doubles % 2 == 0);
        eh_exercise_free(exercise);
    }
}

/* The flam family has one grace note a flam, the drag family two a drag (common practice, no
 * source). */
Test(score_rudiments, flams_have_one_grace_note_and_drags_two) {
    for (int i = 19; i < RUDIMENTS; i++) {
        struct eh_exercise *exercise = read_rudiment(&rudiments[i]);
        size_t count = 0;
        const struct eh_stroke *strokes = eh_exercise_strokes(exercise, &count);
        const int graces = rudiments[i].number <= 30 ? 1 : 2;
        for (size_t k = 0; k < count; k++) {
            const int mine = strokes[k].grace_count;
            cr_assert(mine == 0 || mine == graces, "%s", rudiments[i].name);
        }
        cr_assert(rudiments[i].number == 35 || count_kind(exercise, EH_KIND_GRACE) > 0);
        eh_exercise_free(exercise);
    }
}
