#include "pad_find.h"

#include <stdio.h>
#include <string.h>

#include "evenhand/pad_file.h"
#include "history_file.h"
#include "pad_kept.h"
#include "read_file.h"
#include "say.h"

enum { PAD_BYTES_MAX = 1024 * 1024, PLAYER_MAX = 63 };

int pad_from_text(struct eh_pad *out, const char *where, const char *text, size_t length) {
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_pad_parse(out, text, length, &error) == EH_OK) {
        return CLI_GOOD;
    }
    return cli_complain_text(where, &error, text, length);
}

static int read_pad(struct eh_pad *out, const char *path) {
    struct eh_text text = {0};
    struct eh_error error;
    eh_error_clear(&error);
    const int result = read_file(&text, path, PAD_BYTES_MAX, &error) == EH_OK
                           ? pad_from_text(out, path, text.data, text.length)
                           : cli_complain_error(path, &error);
    eh_text_deinit(&text);
    return result;
}

static int read_kept(struct eh_pad *out, const struct eh_store_pad *kept) {
    char where[EH_PORT_KEY + 64];
    (void)snprintf(where, sizeof where, "the pad kept for the port \"%s\"", kept->port);
    const int result = pad_from_text(out, where, kept->text, strlen(kept->text));
    if (result != CLI_GOOD) {
        (void)cli_complain("\"evenhand pad delete\" takes it away; --pad FILE goes before it");
    }
    return result;
}

static int take_kept(struct eh_pad *out, const struct pad_wish *wish, struct eh_store *store) {
    struct eh_store_pad_list list = {0};
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_store_pads(store, &list, &error) != EH_OK) {
        return cli_complain_error("history", &error);
    }
    const struct eh_store_pad *kept = NULL;
    int result = wish->must ? pad_kept_choose(&list, wish->port, wish->player, &kept) : CLI_GOOD;
    if (!wish->must) {
        kept = pad_kept_of(&list, wish->port, wish->player);
        pad_kept_name_others(&list, wish->port, kept);
    }
    if (kept != NULL) {
        result = read_kept(out, kept);
    }
    eh_store_pad_list_deinit(&list);
    return result;
}

int pad_find(struct eh_pad *out, const struct pad_wish *wish) {
    eh_pad_init_default(out);
    if (wish->file != NULL) {
        return read_pad(out, wish->file);
    }
    if (wish->port == NULL && !wish->must) {
        return CLI_GOOD;
    }
    struct eh_store *store = NULL;
    int result = history_open_if_any(&store, wish->db);
    if (result == CLI_GOOD && store == NULL && wish->must) {
        result = cli_complain("no pad is kept yet; \"evenhand pad make\" makes one");
    }
    if (store != NULL) {
        result = take_kept(out, wish, store);
        eh_store_close(store);
    } else if (result != CLI_GOOD && !wish->must) {
        (void)cli_complain("no pad could be looked up; the default pad is used");
        result = CLI_GOOD;
    }
    return result;
}

bool pad_player_fits(const struct command_usage *usage, const char *player) {
    if (player == NULL) {
        return true;
    }
    const size_t length = strlen(player);
    bool fits = length > 0 && length <= PLAYER_MAX;
    for (size_t i = 0; i < length; i++) {
        const unsigned char c = (unsigned char)player[i];
        fits = fits && c >= ' ' && c != 127;
    }
    if (!fits) {
        (void)options_complain(usage, "--player: a name has 1 to %d characters, on one line",
                               PLAYER_MAX);
    }
    return fits;
}
