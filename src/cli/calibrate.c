/* evenhand calibrate */
#include <stdio.h>
#include <string.h>
#include <time.h>

#include "calibrate_options.h"
#include "calibrate_played.h"
#include "calibrate_report.h"
#include "command.h"
#include "evenhand/pad_file.h"
#include "history_file.h"
#include "pad_find.h"
#include "say.h"
#include "write_file.h"

int calibrate_find_pad(struct calibrate_played *played, const struct calibrate_options *options) {
    const bool keeps = played->port[0] != '\0';
    struct eh_store *store = NULL;
    if (keeps && history_open(&store, options->db, EH_STORE_WRITE) != CLI_GOOD) {
        return CLI_FAILED;
    }
    eh_store_close(store);
    const struct pad_wish wish = {.file = options->pad,
                                  .port = keeps ? played->port : NULL,
                                  .player = options->player,
                                  .db = options->db};
    return pad_find(&played->pad, &wish);
}

/* A pad that has no name of its own yet is called by its port. */
static void name_pad(struct eh_pad *pad, const char *port) {
    if (strcmp(pad->name, "default") == 0 && port[0] != '\0') {
        char key[EH_PORT_KEY];
        eh_port_key(port, key);
        (void)snprintf(pad->name, sizeof pad->name, "%.*s", EH_PAD_NAME - 1, key);
    }
}

static int save_pad(const char *path, const char *text) {
    struct eh_error error;
    eh_error_clear(&error);
    return write_new_file(path, text, strlen(text), &error) == EH_OK
               ? CLI_GOOD
               : cli_complain_error(path, &error);
}

static int keep(const struct calibrate_options *options, const struct calibrate_played *played,
                const char *text) {
    struct eh_store *store = NULL;
    if (history_open(&store, options->db, EH_STORE_WRITE) != CLI_GOOD) {
        return cli_complain("the pad is not kept");
    }
    const char *player = options->player == NULL ? "" : options->player;
    int result = CLI_GOOD;
    if (eh_store_pad_set(store, played->port, player, (int64_t)time(NULL), text) != EH_OK) {
        result = cli_complain("the pad is not kept: %s", eh_store_error(store)->text);
    } else {
        char key[EH_PORT_KEY];
        eh_port_key(played->port, key);
        printf("\nKept for %s%s%s. play and judge use it from now on.\n", key,
               player[0] != '\0' ? ", as played by " : "", player);
    }
    eh_store_close(store);
    return result;
}

/* Keeps what was found where it can be found again. */
static int keep_all(const struct calibrate_options *options, const struct calibrate_played *played,
                    struct eh_pad *pad) {
    struct eh_text text = {0};
    struct eh_error error;
    eh_error_clear(&error);
    name_pad(pad, played->port);
    if (eh_pad_settle(pad, &error) != EH_OK) {
        return cli_complain_error("the pad that was found", &error);
    }
    eh_pad_print(pad, &text);
    int result = eh_text_status(&text) == EH_OK ? CLI_GOOD : cli_complain("no memory for the pad");
    if (result == CLI_GOOD && options->save_pad != NULL) {
        result = save_pad(options->save_pad, eh_text_string(&text));
    }
    if (result == CLI_GOOD && eh_calibrate_course_end(&played->course) != EH_CALIBRATE_DONE) {
        puts("\nNot kept: the course was not played to its end.");
    } else if (result == CLI_GOOD && played->port[0] != '\0') {
        result = keep(options, played, eh_text_string(&text));
    } else if (result == CLI_GOOD) {
        puts(options->demo != NULL ? "\nNot kept: the demo player has no pad."
                                   : "\nNot kept: --port says for which port.");
    }
    eh_text_deinit(&text);
    return result;
}

static bool found_nothing(const struct eh_calibration *c) {
    return c->singles == 0 && c->pairs == 0;
}

/* Whether HIT lies in a step of the course, by half a beat around its taps. */
static bool is_in_course(const struct calibrate_played *played, const struct eh_hit *hit) {
    const eh_ticks half = EH_TICKS_PER_QUARTER / 2;
    const eh_ticks at = eh_tempo_map_tick(&played->take.click, hit->at_ns) + half;
    for (int32_t i = 0; i < played->course.span_count; i++) {
        const struct eh_calibrate_span *span = &played->course.spans[i];
        const eh_ticks from = span->first_beat * EH_TICKS_PER_QUARTER;
        if (at >= from && at < from + span->taps * EH_TICKS_PER_QUARTER) {
            return true;
        }
    }
    return false;
}

/* A recording of something else, or one that is read from another bar or with another number of
 * taps than it was played with: more than an eighth of it lies where nothing is asked for, or half
 * of the dynamics are empty without being too soft for the pad. Common sense, no source: who plays
 * the course does neither. */
static bool is_another_course(const struct calibrate_played *played,
                              const struct eh_calibration *c) {
    size_t outside = 0;
    for (size_t i = 0; i < played->take.count; i++) {
        outside += !is_in_course(played, &played->take.hits[i]);
    }
    int few = 0;
    for (int mark = 0; mark < EH_CALIBRATE_MARKS; mark++) {
        few += c->marks[mark].state == EH_CALIBRATE_FEW;
    }
    return 8 * outside > played->take.count || 2 * few >= EH_CALIBRATE_MARKS;
}

static int finish(const struct calibrate_options *options, const struct calibrate_played *played) {
    struct eh_calibration calibration;
    const struct eh_calibrate_input input = {.course = &played->course,
                                             .hits = played->take.hits,
                                             .hit_count = played->take.count,
                                             .click = &played->take.click,
                                             .resolution_ns = played->take.resolution_ns,
                                             .pad = &played->pad};
    eh_calibrate_fit(&input, &calibration);
    if (found_nothing(&calibration)) {
        return cli_complain("nothing was heard that belongs to the course, so nothing is kept%s",
                            played->is_live ? "; \"evenhand ports\" shows what is connected" : "");
    }
    if (options->take != NULL && is_another_course(played, &calibration)) {
        return cli_complain("%s: this is not that course: its hits are not where the steps' taps "
                            "are; check --start and --taps (docs/calibration.md has the bars)",
                            options->take);
    }
    struct eh_text text = {0};
    calibrate_report(&calibration, &text);
    printf("\n%s", eh_text_string(&text));
    eh_text_deinit(&text);
    if (calibration.levels_found) {
        calibration.pad.calibrated_utc_s = (int64_t)time(NULL);
    }
    int result =
        options->save_taps != NULL ? calibrate_save_taps(played, options->save_taps) : CLI_GOOD;
    if (played->take.dropped > 0) {
        return CLI_FAILED; /* it has been said why; what is incomplete must not replace a whole one
                            */
    }
    return result == CLI_GOOD ? keep_all(options, played, &calibration.pad) : result;
}

static int lay_out(struct calibrate_played *played, const struct calibrate_options *options) {
    struct eh_error error;
    eh_error_clear(&error);
    const struct eh_calibrate_request request = {
        .bpm = options->tempo == options->tempo ? options->tempo : 0,
        .taps = (int32_t)options->taps};
    return eh_calibrate_course_init(&played->course, &request, &error) == EH_OK
               ? CLI_GOOD
               : cli_complain_error("--tempo", &error);
}

int cli_calibrate(int argc, char **argv) {
    struct calibrate_options options;
    const enum options_answer answer = calibrate_options_parse(&options, argc, argv);
    if (answer != OPTIONS_RUN) {
        return options_exit(answer);
    }
    struct calibrate_played played = {.is_live = false};
    int result = CLI_GOOD;
    if (options.take != NULL) {
        result = calibrate_read(&played, &options);
    } else {
        result = lay_out(&played, &options);
        result = result == CLI_GOOD ? calibrate_play(&played, &options) : result;
    }
    if (result == CLI_GOOD) {
        result = finish(&options, &played);
    }
    eh_take_deinit(&played.take);
    return result;
}
