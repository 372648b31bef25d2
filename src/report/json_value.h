/* The values of a JSON document (RFC 8259). */
#ifndef EVENHAND_REPORT_JSON_VALUE_H
#define EVENHAND_REPORT_JSON_VALUE_H

#include <stdbool.h>

#include "evenhand/text.h"

/* STRING in quotes, escaped; NULL becomes null. */
void report_json_string(struct eh_text *out, const char *string);

/* A number of fixed decimals; null where it is not known. */
void report_json_number(struct eh_text *out, double value, int decimals);

/* [LOW, HIGH], each as above; null altogether when neither is known. */
void report_json_range(struct eh_text *out, double low, double high, int decimals);

const char *report_json_bool(bool value);

#endif
