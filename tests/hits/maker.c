#include "maker.h"

#include <criterion/criterion.h>
#include <string.h>

static int digit(char c) {
    static const char digits[] = "0123456789ABCDEF";
    const char *found = strchr(digits, c);
    cr_assert(found != NULL && c != '\0', "'%c' is no hex digit", c);
    return (int)(found - digits);
}

void make_hex(struct maker *made, const char *hex) {
    while (*hex != '\0') {
        if (*hex == ' ') {
            hex++;
            continue;
        }
        cr_assert_lt(made->length, sizeof made->data);
        made->data[made->length++] = (uint8_t)(digit(hex[0]) << 4 | digit(hex[1]));
        hex += 2;
    }
}

static void add_number(struct maker *made, uint32_t value, int bytes) {
    for (int i = bytes - 1; i >= 0; i--) {
        made->data[made->length++] = (uint8_t)(value >> (8 * i));
    }
}

void make_header(struct maker *made, int format, int tracks, int division) {
    made->length = 0;
    make_hex(made, "4D546864 00000006");
    add_number(made, (uint32_t)format, 2);
    add_number(made, (uint32_t)tracks, 2);
    add_number(made, (uint32_t)division, 2);
}

void make_track(struct maker *made, const char *events) {
    make_hex(made, "4D54726B 00000000");
    const size_t begin = made->length;
    make_hex(made, events);
    make_hex(made, "00 FF2F00");
    const size_t end = made->length;
    made->length = begin - 4;
    add_number(made, (uint32_t)(end - begin), 4);
    made->length = end;
}

struct eh_take make_take(const struct maker *made) {
    struct eh_take take;
    struct eh_error error;
    const enum eh_status status = eh_smf_read(&take, made->data, made->length, "made", &error);
    cr_assert_eq(status, EH_OK, "%s (offset %lld)", error.text, error.offset);
    return take;
}

struct eh_take make_take_of(int division, const char *events) {
    static struct maker made;
    make_header(&made, 0, 1, division);
    make_track(&made, events);
    return make_take(&made);
}

enum eh_status make_status(const struct maker *made, struct eh_error *out_error) {
    struct eh_take take;
    const enum eh_status status = eh_smf_read(&take, made->data, made->length, "made", out_error);
    eh_take_deinit(&take);
    return status;
}
