#include "pad_kept.h"

#include <string.h>

#include "evenhand/text.h"
#include "say.h"

const struct eh_store_pad *pad_kept_of(const struct eh_store_pad_list *list, const char *port,
                                       const char *player) {
    char key[EH_PORT_KEY];
    eh_port_key(port, key);
    for (size_t i = 0; i < list->count; i++) {
        if (strcmp(list->pads[i].port, key) == 0 &&
            strcmp(list->pads[i].player, player == NULL ? "" : player) == 0) {
            return &list->pads[i];
        }
    }
    return NULL;
}

static void add_player(struct eh_text *text, const char *player) {
    if (player[0] == '\0') {
        eh_text_add(text, "a player without a name");
    } else {
        eh_text_printf(text, "\"%s\"", player);
    }
}

void pad_kept_name_others(const struct eh_store_pad_list *list, const char *port,
                          const struct eh_store_pad *kept) {
    char key[EH_PORT_KEY];
    struct eh_text others = {0};
    eh_port_key(port, key);
    for (size_t i = 0; i < list->count && kept == NULL; i++) {
        if (strcmp(list->pads[i].port, key) == 0) {
            eh_text_add(&others, others.length > 0 ? ", " : "");
            add_player(&others, list->pads[i].player);
        }
    }
    if (others.length > 0) {
        (void)cli_complain("the pad on %s is kept as played by %s only; that is not used for "
                           "another player (--player NAME says who plays)",
                           key, eh_text_string(&others));
    }
    eh_text_deinit(&others);
}

static int lower(char c) {
    return c >= 'A' && c <= 'Z' ? c - 'A' + 'a' : c;
}

/* Whether PART stands somewhere in TEXT; case does not matter. */
static bool holds(const char *text, const char *part) {
    for (; *text != '\0'; text++) {
        size_t n = 0;
        while (part[n] != '\0' && lower(text[n]) == lower(part[n])) {
            n++;
        }
        if (part[n] == '\0') {
            return true;
        }
    }
    return part[0] == '\0';
}

struct choice {
    const struct eh_store_pad_list *list;
    const char *port; /* NULL: any */
    const char *key;
    bool exactly;
    const char *player; /* NULL: any */
};

static bool fits(const struct choice *c, const struct eh_store_pad *pad) {
    const bool port =
        c->port == NULL || (c->exactly ? strcmp(pad->port, c->key) == 0 : holds(pad->port, c->key));
    return port && (c->player == NULL || strcmp(pad->player, c->player) == 0);
}

static size_t count_fitting(const struct choice *c, const struct eh_store_pad **out_pad) {
    size_t count = 0;
    for (size_t i = 0; i < c->list->count; i++) {
        if (fits(c, &c->list->pads[i])) {
            *out_pad = count == 0 ? &c->list->pads[i] : *out_pad;
            count++;
        }
    }
    return count;
}

static int complain(const struct choice *c, size_t fitting) {
    struct eh_text kept = {0};
    for (size_t i = 0; i < c->list->count; i++) {
        eh_text_printf(&kept, "%s%s (", kept.length > 0 ? ", " : "", c->list->pads[i].port);
        add_player(&kept, c->list->pads[i].player);
        eh_text_add(&kept, ")");
    }
    const char *what = c->port == NULL ? "" : c->port;
    const int result =
        c->list->count == 0 ? cli_complain("no pad is kept yet; \"evenhand pad make\" makes one")
        : fitting == 0
            ? cli_complain("no such pad is kept%s%s; there are: %s", what[0] ? ": " : "", what,
                           eh_text_string(&kept))
            : cli_complain("more than one pad fits; say --port and --player; there are: %s",
                           eh_text_string(&kept));
    eh_text_deinit(&kept);
    return result;
}

int pad_kept_choose(const struct eh_store_pad_list *list, const char *port, const char *player,
                    const struct eh_store_pad **out_pad) {
    char key[EH_PORT_KEY];
    eh_port_key(port == NULL ? "" : port, key);
    struct choice c = {.list = list, .port = port, .key = key, .exactly = true};
    *out_pad = NULL;
    c.exactly = count_fitting(&c, out_pad) > 0; /* a whole name is not taken for a part of one */
    c.player = player == NULL ? "" : player;
    size_t fitting = count_fitting(&c, out_pad);
    if (fitting == 0 && player == NULL) {
        c.player = NULL;
        fitting = count_fitting(&c, out_pad);
    }
    if (fitting == 1) {
        return CLI_GOOD;
    }
    *out_pad = NULL;
    return complain(&c, fitting);
}
