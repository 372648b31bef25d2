#include "care_kept.h"

#include <stdio.h>
#include <time.h>

#include "evenhand/report_care.h"
#include "local_time.h"

enum { NAME_SIZE = 192, VALUE_SIZE = 128 };

/* Under what it is kept; players whose names begin alike for so long share it. */
static void name_of(char out[NAME_SIZE], const struct play_options *options) {
    (void)snprintf(out, NAME_SIZE, "care%s%s", options->player != NULL ? " " : "",
                   options->player != NULL ? options->player : "");
}

/* What cannot be read or written is said once more another time: no harm is done, and what else
 * is wrong with the history the run complains about. */
static void read_kept(struct eh_care *care, const struct play_keep *keep,
                      const struct play_options *options) {
    char name[NAME_SIZE];
    char value[VALUE_SIZE];
    struct eh_error error;
    struct eh_care kept;
    name_of(name, options);
    if (keep->store != NULL &&
        eh_store_kept_get(keep->store, name, value, sizeof value, &error) == EH_OK &&
        eh_care_read(&kept, value)) {
        *care = kept;
    }
}

static void write_kept(const struct eh_care *care, const struct play_keep *keep,
                       const struct play_options *options) {
    char name[NAME_SIZE];
    struct eh_text text = {0};
    name_of(name, options);
    eh_care_print(care, &text);
    if (keep->store != NULL && eh_text_status(&text) == EH_OK) {
        (void)!eh_store_kept_set(keep->store, name, eh_text_string(&text));
    }
    eh_text_deinit(&text);
}

void care_begin(struct eh_care *care, const struct play_keep *keep,
                const struct play_options *options, const struct play_screen *screen) {
    if (options->demo != NULL) {
        return;
    }
    read_kept(care, keep, options);
    const int64_t now_s = keep->started_utc_s;
    const struct eh_care_notice notice =
        eh_care_begin(care, now_s, local_day(now_s, local_offset_s(now_s)));
    struct eh_text text = {0};
    eh_report_care(&notice, &screen->look, &text);
    if (text.length > 0 && eh_text_status(&text) == EH_OK) {
        (void)fprintf(screen->out, "%s\n", eh_text_string(&text));
        (void)fflush(screen->out);
    }
    eh_text_deinit(&text);
    write_kept(care, keep, options);
}

void care_end(struct eh_care *care, const struct play_keep *keep,
              const struct play_options *options) {
    if (options->demo != NULL || keep->take.count == 0) {
        return;
    }
    eh_care_end(care, (int64_t)time(NULL));
    write_kept(care, keep, options);
}
