#include "choose.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>

#include "evenhand/text.h"

enum { LIST_TEXT = 320, NONE = -1, SEVERAL = -2 };

static int lower(int c) {
    return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c;
}

/* Whether the first LENGTH characters agree. */
static bool begins(const char *whole, const char *part, size_t length) {
    for (size_t i = 0; i < length; i++) {
        if (lower(whole[i]) != lower(part[i]) || whole[i] == '\0') {
            return false;
        }
    }
    return true;
}

bool eh_contains(const char *whole, const char *part) {
    const size_t length = strlen(part);
    for (; *whole != '\0'; whole++) {
        if (begins(whole, part, length)) {
            return true;
        }
    }
    return length == 0;
}

/* The length of a name without ALSA's " 20:0", which changes from day to day. */
static size_t bare_length(const char *name) {
    size_t end = strlen(name);
    const char *digits = "0123456789";
    const char *space = strrchr(name, ' ');
    if (space != NULL) {
        const size_t client = strspn(space + 1, digits);
        const char *colon = space + 1 + client;
        if (client > 0 && *colon == ':' && colon[1] != '\0' &&
            colon[1 + strspn(colon + 1, digits)] == '\0') {
            end = (size_t)(space - name);
        }
    }
    return end;
}

static bool is_name(const char *name, const char *wanted) {
    const size_t length = strlen(wanted);
    return (length == strlen(name) || length == bare_length(name)) && begins(name, wanted, length);
}

/* -1 when TEXT is not a number. */
static int number_of(const char *text) {
    int number = 0;
    if (*text == '\0') {
        return -1;
    }
    for (; *text != '\0'; text++) {
        if (*text < '0' || *text > '9') {
            return -1;
        }
        if (number < INT_MAX / 10 - 1) {
            number = number * 10 + (*text - '0');
        }
    }
    return number;
}

/* Whether a choice is among those meant by WANTED under one rule. */
typedef bool rule_fn(const struct eh_choice *choice, const char *wanted);

static bool rule_unasked(const struct eh_choice *choice, const char *wanted) {
    (void)wanted;
    return choice->unasked;
}
static bool rule_number(const struct eh_choice *choice, const char *wanted) {
    return choice->number == number_of(wanted);
}
static bool rule_name(const struct eh_choice *choice, const char *wanted) {
    return is_name(choice->name, wanted);
}
static bool rule_part(const struct eh_choice *choice, const char *wanted) {
    return eh_contains(choice->name, wanted);
}
static bool rule_all(const struct eh_choice *choice, const char *wanted) {
    (void)choice;
    (void)wanted;
    return true;
}

/* The only choice under a rule, NONE or SEVERAL. */
static int only(const struct eh_choice *choices, size_t count, rule_fn *rule, const char *wanted) {
    int found = NONE;
    for (size_t i = 0; i < count; i++) {
        if (rule(&choices[i], wanted)) {
            if (found != NONE) {
                return SEVERAL;
            }
            found = (int)i;
        }
    }
    return found;
}

/* "1 'Pad:Pad MIDI 1 20:0', 2 'player:out' and 3 more". */
static void list(char text[LIST_TEXT], const struct eh_choice *choices, size_t count, rule_fn *rule,
                 const char *wanted) {
    size_t length = 0;
    size_t left = 0;
    text[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        if (!rule(&choices[i], wanted)) {
            continue;
        }
        char one[LIST_TEXT];
        const int needed = snprintf(one, sizeof one, "%s%d '%s'", length > 0 ? ", " : "",
                                    choices[i].number, choices[i].name);
        if (left > 0 || needed < 0 || length + (size_t)needed + 20 > LIST_TEXT) {
            left++;
            continue;
        }
        memcpy(text + length, one, (size_t)needed + 1);
        length += (size_t)needed;
    }
    if (left > 0) {
        (void)snprintf(text + length, LIST_TEXT - length, " and %zu more", left);
    }
}

/* Distance of what was typed to a name or to one of the words it is made of. */
static int distance(const char *name, const char *wanted) {
    int least = eh_text_distance(name, wanted);
    for (const char *word = name; *word != '\0';) {
        const size_t length = strcspn(word, " :-_.,()[]");
        char part[64];
        if (length > 0 && length < sizeof part) {
            memcpy(part, word, length);
            part[length] = '\0';
            const int here = eh_text_distance(part, wanted);
            least = here < least ? here : least;
        }
        word += length + (word[length] != '\0');
    }
    return least;
}

static const struct eh_choice *nearest(const struct eh_choice *choices, size_t count,
                                       const char *wanted) {
    const struct eh_choice *best = NULL;
    /* A third of the letters wrong is still a slip of the hand; more is another word. */
    int least = (int)(strlen(wanted) + 2) / 3 + 1;
    for (size_t i = 0; i < count; i++) {
        const int here = distance(choices[i].name, wanted);
        if (here < least) {
            least = here;
            best = &choices[i];
        }
    }
    return best;
}

static enum eh_status not_there(const struct eh_choice *choices, size_t count, const char *wanted,
                                const struct eh_choice_words *words, struct eh_error *error) {
    char names[LIST_TEXT];
    list(names, choices, count, rule_all, wanted);
    const struct eh_choice *near = nearest(choices, count, wanted);
    if (near != NULL) {
        return eh_fail(error, EH_NOT_FOUND,
                       "no %s is called '%.60s'; did you mean '%s'? there %s %s", words->one,
                       wanted, near->name, count == 1 ? "is" : "are", names);
    }
    return eh_fail(error, EH_NOT_FOUND, "no %s is called '%.60s'; there %s %s", words->one, wanted,
                   count == 1 ? "is" : "are", names);
}

static enum eh_status several(const struct eh_choice *choices, size_t count, rule_fn *rule,
                              const char *wanted, const struct eh_choice_words *words,
                              struct eh_error *error) {
    char names[LIST_TEXT];
    list(names, choices, count, rule, wanted);
    if (rule == rule_unasked) {
        return eh_fail(error, EH_NOT_FOUND, "several %s are here: %s; choose one with %s",
                       words->many, names, words->option);
    }
    return eh_fail(error, EH_NOT_FOUND,
                   "'%.60s' fits several %s: %s; give more of the name or the number", wanted,
                   words->many, names);
}

static enum eh_status choose_unasked(size_t *out_index, const struct eh_choice *choices,
                                     size_t count, const struct eh_choice_words *words,
                                     struct eh_error *error) {
    const int index = only(choices, count, rule_unasked, "");
    if (index == SEVERAL) {
        return several(choices, count, rule_unasked, "", words, error);
    }
    if (index == NONE) {
        char names[LIST_TEXT];
        list(names, choices, count, rule_all, "");
        return eh_fail(error, EH_UNAVAILABLE, "%s (not taken unasked: %s)", words->none, names);
    }
    *out_index = (size_t)index;
    return EH_OK;
}

enum eh_status eh_choose(size_t *out_index, const struct eh_choice *choices, size_t count,
                         const char *wanted, const struct eh_choice_words *words,
                         struct eh_error *error) {
    if (count == 0) {
        return eh_fail(error, EH_UNAVAILABLE, "%s", words->none);
    }
    if (wanted == NULL || *wanted == '\0') {
        return choose_unasked(out_index, choices, count, words, error);
    }
    rule_fn *const rules[] = {rule_name, rule_number, rule_part};
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++) {
        if (rules[i] == rule_part && number_of(wanted) >= 0) {
            break; /* a number is a number, not part of a name */
        }
        const int index = only(choices, count, rules[i], wanted);
        if (index == SEVERAL) {
            return several(choices, count, rules[i], wanted, words, error);
        }
        if (index != NONE) {
            *out_index = (size_t)index;
            return EH_OK;
        }
    }
    return not_there(choices, count, wanted, words, error);
}
