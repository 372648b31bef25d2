#include "json_value.h"

#include "number.h"
#include "utf8.h"

static void add_character(struct eh_text *out, const char *bytes, size_t length,
                          uint32_t character) {
    if (character == '"' || character == '\\') {
        eh_text_add_char(out, '\\');
        eh_text_add_char(out, (char)character);
    } else if (character < 0x20 || character == 0x7F) {
        eh_text_printf(out, "\\u%04x", (unsigned)character);
    } else if (character == REPORT_REPLACEMENT) {
        eh_text_add(out, "\xEF\xBF\xBD");
    } else {
        eh_text_add_bytes(out, bytes, length);
    }
}

void report_json_string(struct eh_text *out, const char *string) {
    if (string == NULL) {
        eh_text_add(out, "null");
        return;
    }
    eh_text_add_char(out, '"');
    uint32_t character = 0;
    size_t length = report_utf8_next(string, &character);
    while (length > 0) {
        add_character(out, string, length, character);
        string += length;
        length = report_utf8_next(string, &character);
    }
    eh_text_add_char(out, '"');
}

void report_json_number(struct eh_text *out, double value, int decimals) {
    eh_text_add(out, report_known(value) ? report_fixed(value, decimals).text : "null");
}

void report_json_range(struct eh_text *out, double low, double high, int decimals) {
    if (!report_known(low) && !report_known(high)) {
        eh_text_add(out, "null");
        return;
    }
    eh_text_add_char(out, '[');
    report_json_number(out, low, decimals);
    eh_text_add(out, ", ");
    report_json_number(out, high, decimals);
    eh_text_add_char(out, ']');
}

const char *report_json_bool(bool value) {
    return value ? "true" : "false";
}
