#include "utf8.h"

/* Length of the sequence that LEAD opens and its own bits; 0 for what cannot open one. */
static size_t opened_by(unsigned char lead, uint32_t *out_bits) {
    if (lead < 0x80) {
        *out_bits = lead;
        return 1;
    }
    if (lead >= 0xC2 && lead <= 0xDF) {
        *out_bits = lead & 0x1FU;
        return 2;
    }
    if ((lead & 0xF0) == 0xE0) {
        *out_bits = lead & 0x0FU;
        return 3;
    }
    if (lead >= 0xF0 && lead <= 0xF4) {
        *out_bits = lead & 0x07U;
        return 4;
    }
    return 0;
}

size_t report_utf8_next(const char *string, uint32_t *out) {
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    const unsigned char *bytes = (const unsigned char *)string;
    if (bytes[0] == '\0') {
        return 0;
    }
    uint32_t character = 0;
    const size_t length = opened_by(bytes[0], &character);
    *out = REPORT_REPLACEMENT;
    for (size_t i = 1; i < length; i++) {
        if ((bytes[i] & 0xC0) != 0x80) { /* the terminating NUL too */
            return 1;
        }
        character = character << 6 | (bytes[i] & 0x3FU);
    }
    const int surrogate = character >= 0xD800 && character <= 0xDFFF;
    if (length == 0 || character < least[length] || surrogate || character > 0x10FFFF) {
        return 1;
    }
    *out = character;
    return length;
}

int report_utf8_columns(uint32_t character) {
    return character >= 0x1100 && character != REPORT_REPLACEMENT ? 2 : 1;
}

int report_utf8_steers(uint32_t character) {
    return character < 0x20 || (character >= 0x7F && character <= 0x9F) ||
           (character >= 0x200B && character <= 0x200F) ||
           (character >= 0x2028 && character <= 0x202E) ||
           (character >= 0x2060 && character <= 0x206F) || character == 0xFEFF;
}
