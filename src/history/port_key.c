#include <stdio.h>
#include <string.h>

#include "evenhand/store.h"

/* Length of the digits at the end of the first LENGTH characters. */
static size_t digits_before(const char *text, size_t length) {
    size_t n = 0;
    while (n < length && text[length - n - 1] >= '0' && text[length - n - 1] <= '9') {
        n++;
    }
    return n;
}

/* Drops " 20:0" at the end, unless nothing would be left. */
static void drop_address(char *key) {
    const size_t length = strlen(key);
    const size_t port = digits_before(key, length);
    if (port == 0 || port + 1 > length || key[length - port - 1] != ':') {
        return;
    }
    const size_t rest = length - port - 1;
    const size_t client = digits_before(key, rest);
    if (client > 0 && rest > client + 1 && key[rest - client - 1] == ' ') {
        key[rest - client - 1] = '\0';
    }
}

/* Drops " [20]" before " (capture)" or " (playback)". */
static void drop_bracketed(char *key) {
    static const char *const ways[] = {"] (capture)", "] (playback)"};
    for (size_t i = 0; i < sizeof ways / sizeof ways[0]; i++) {
        char *end = strstr(key, ways[i]);
        if (end == NULL) {
            continue;
        }
        const size_t before = (size_t)(end - key);
        const size_t client = digits_before(key, before);
        if (client > 0 && before >= client + 2 && strncmp(end - client - 2, " [", 2) == 0) {
            memmove(end - client - 2, end + 1, strlen(end + 1) + 1);
        }
    }
}

void eh_port_key(const char *port, char out[EH_PORT_KEY]) {
    /* What a port of our own is asked for by, and what it is called once it is open. */
    (void)snprintf(out, EH_PORT_KEY, "%s", strcmp(port, "virtual") == 0 ? "evenhand:pad" : port);
    drop_address(out);
    drop_bracketed(out);
}
