/* The parts of the judgement document. */
#ifndef EVENHAND_REPORT_JSON_H
#define EVENHAND_REPORT_JSON_H

#include "evenhand/judgement.h"
#include "evenhand/pulse.h"
#include "evenhand/text.h"

/* Each appends one member of the document ("name": value), without a comma after it. */
void report_json_findings(struct eh_text *out, const struct eh_judgement *judgement);
void report_json_pulse(struct eh_text *out, const struct eh_pulse *pulse);
void report_json_strokes(struct eh_text *out, const struct eh_judgement *judgement);
void report_json_unmatched(struct eh_text *out, const struct eh_judgement *judgement);
void report_json_course(struct eh_text *out, const struct eh_judgement *judgement);

#endif
