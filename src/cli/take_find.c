#include "take_find.h"

#include <stdio.h>
#include <string.h>

#include "evenhand/smf.h"
#include "evenhand/text.h"
#include "history_file.h"
#include "options.h"
#include "read_file.h"
#include "say.h"

void take_deinit(struct found_take *found) {
    eh_take_deinit(&found->take);
    eh_run_deinit(&found->run);
    *found = (struct found_take){0};
}

int take_load_run(struct eh_run *out, int64_t number, const char *db) {
    *out = (struct eh_run){0};
    struct eh_store *store = NULL;
    if (history_open(&store, db, EH_STORE_READ) != CLI_GOOD) {
        return CLI_FAILED;
    }
    char where[32];
    (void)snprintf(where, sizeof where, "run:%lld", (long long)number);
    struct eh_error error;
    eh_error_clear(&error);
    const int result = eh_store_run_load(store, number, out, &error) == EH_OK
                           ? CLI_GOOD
                           : cli_complain_error(where, &error);
    eh_store_close(store);
    return result;
}

static int find_run(struct found_take *out, const char *number, const char *db) {
    int64_t run = 0;
    if (!options_read_integer(number, &run) || run < 1) {
        (void)cli_complain("run:%s: say the run's number, for example run:12 (\"evenhand "
                           "history\" lists them)",
                           number);
        return CLI_USAGE;
    }
    const int result = take_load_run(&out->run, run, db);
    if (result == CLI_GOOD) {
        out->stored = true;
        out->take = out->run.take;
        out->run.take = (struct eh_take){0};
    }
    return result;
}

static int read_midi(struct found_take *out, const char *path) {
    struct eh_text bytes = {0};
    struct eh_error error;
    eh_error_clear(&error);
    enum eh_status status = read_file(&bytes, path, EH_SMF_LONGEST, &error);
    if (status == EH_OK) {
        status = eh_smf_read(&out->take, (const uint8_t *)bytes.data, bytes.length, path, &error);
    }
    eh_text_deinit(&bytes);
    return status == EH_OK ? CLI_GOOD : cli_complain_error(path, &error);
}

/* The notes of a pad as "37, 38, 40". */
static void list_notes(const struct eh_pad *pad, struct eh_text *list) {
    for (int note = 0; note < 128; note++) {
        if (eh_pad_owns(pad, (uint8_t)note)) {
            eh_text_printf(list, "%s%d", list->length > 0 ? ", " : "", note);
        }
    }
}

/* Keeps the pad's hits; a take without any is an error that says what is in it instead. */
static int keep_pad(struct found_take *out, const char *wanted) {
    const size_t all = out->take.count;
    eh_pad_keep_own(&out->pad, &out->take);
    if (out->take.count > 0) {
        return CLI_GOOD;
    }
    struct eh_text notes = {0};
    list_notes(&out->pad, &notes);
    const int result =
        all == 0
            ? cli_complain("%s: there is not one hit in it", wanted)
            : cli_complain("%s: no hits: none of its %zu notes is one of the pad's (%s); --pad "
                           "FILE names others",
                           wanted, all, eh_text_string(&notes));
    eh_text_deinit(&notes);
    return result;
}

/* Runs of the first version have no text; they were judged by the default pad, which is what an
 * empty text says. */
static int find_pad(struct found_take *out, const char *wanted, const struct pad_wish *pad) {
    if (out->stored && pad->file == NULL && pad->port == NULL) {
        const char *text = out->run.info.pad_text;
        return pad_from_text(&out->pad, wanted, text, strlen(text));
    }
    return pad_find(&out->pad, pad);
}

int take_find(struct found_take *out, const char *wanted, const struct pad_wish *pad) {
    *out = (struct found_take){0};
    int result = strncmp(wanted, "run:", 4) == 0 ? find_run(out, wanted + 4, pad->db)
                                                 : read_midi(out, wanted);
    if (result == CLI_GOOD) {
        result = find_pad(out, wanted, pad);
    }
    if (result == CLI_GOOD) {
        result = keep_pad(out, wanted);
    }
    if (result != CLI_GOOD) {
        take_deinit(out);
    }
    return result;
}
