/* A stored run judged again, by what it was played with: the answer is the one that was given when
 * it was played. */
#ifndef EVENHAND_CLI_REJUDGE_H
#define EVENHAND_CLI_REJUDGE_H

#include "evenhand/judgement.h"
#include "evenhand/pad.h"
#include "evenhand/store.h"
#include "evenhand/style.h"

struct rejudged {
    struct eh_run run;              /* owned; what is stored, its take with the pad's hits that were
                                       judged */
    struct eh_exercise *exercise;   /* owned; as it was played */
    struct eh_style style;          /* as it was used */
    struct eh_pad pad;              /* likewise */
    struct eh_judgement *judgement; /* owned */
    bool *silent;                   /* owned; the bars without a click */
};

/* Errors: EH_NOT_FOUND (no such run), EH_EMPTY (no hits of the pad's, or none that can be judged),
 * EH_DAMAGED, EH_NO_MEMORY, those of eh_judge; nothing is printed. OUT is empty then. Give it back
 * with rejudged_deinit. */
EH_MUST_USE enum eh_status rejudge_run(struct rejudged *out, struct eh_store *store, int64_t number,
                                       struct eh_error *error);

/* Frees what it owns; an all-zero one is accepted. */
void rejudged_deinit(struct rejudged *rejudged);

#endif
