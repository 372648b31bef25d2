/* The two halves of the text format: header lines and music. */
#ifndef SCORE_PARSE_H
#define SCORE_PARSE_H

#include "builder.h"
#include "scan.h"

struct parser {
    struct scan scan;
    struct score_builder builder;
    struct eh_error *error;
    bool valued; /* a note value has been said: */
    struct score_length length;
    unsigned seen; /* header lines that came: one bit each */
};

EH_MUST_USE enum eh_status parse_head(struct parser *parser);
EH_MUST_USE enum eh_status parse_music(struct parser *parser);

/* metre = number "/" number ; BEATS has been read, "/" is here. PLACE is where BEATS stood. */
EH_MUST_USE enum eh_status parse_metre(struct parser *parser, int beats, struct score_place place);

#endif
