/* When to remind a player of his hands and ears: once a day, and when he has been at it for long
 * without a break. Time at the pad is counted for the break alone and is never told as a merit.
 *
 * A session is made of runs with less than EH_CARE_BREAK_S between one's end and the next one's
 * beginning; what lies between them counts, since the hands seldom rest while their owner reads.
 * Five minutes off after 25: common practice, no source.
 *
 * The clock may be put back or forward: by less than a break that changes nothing, by more a new
 * session begins. Days are the player's own, counted by the caller; another day than the latest
 * one, earlier or later, is a new one.
 *
 * Pure; any thread. */
#ifndef EVENHAND_CARE_H
#define EVENHAND_CARE_H

#include <stdbool.h>
#include <stdint.h>

#include "evenhand/text.h"

enum { EH_CARE_LONG_S = 25 * 60, EH_CARE_BREAK_S = 5 * 60 };

/* What is remembered of one player. All-zero: nothing yet. */
struct eh_care {
    int64_t shown_day;   /* the latest day's notice: days since 1970-01-01, local; 0: none */
    int64_t since_utc_s; /* the session's beginning, seconds since 1970; 0: there was none */
    int64_t last_utc_s;  /* the latest run's end; its beginning while it is played */
    int64_t told_utc_s;  /* the latest break's notice; the session's beginning before the first */
};

/* What is to be shown. All-zero: nothing. */
struct eh_care_notice {
    bool day;        /* the day's */
    int64_t minutes; /* a break is due after so many; 0: none is */
};

/* A run begins at UTC_S (from 1), on DAY. A break is due from EH_CARE_LONG_S on, and again each
 * time as much has gone by without one. */
struct eh_care_notice eh_care_begin(struct eh_care *care, int64_t utc_s, int64_t day);

/* The run ended at UTC_S, and something was played. */
void eh_care_end(struct eh_care *care, int64_t utc_s);

/* Appends it as one line of text, without a newline, for eh_care_read. */
void eh_care_print(const struct eh_care *care, struct eh_text *out);

/* Reads it. Returns false, and all-zero, where TEXT is none of eh_care_print's. */
bool eh_care_read(struct eh_care *out, const char *text);

#endif
