#include "pad_make.h"

#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include "evenhand/pad_file.h"
#include "evenhand/pad_guide.h"
#include "history_file.h"
#include "play_clock.h"
#include "play_source.h"
#include "say.h"
#include "write_file.h"

enum { BATCH = 64 };

static const int64_t step_ns = 5 * EH_NS_PER_MS;

/* A hit may be on its way through the driver for so long before it is seen. */
static const int64_t in_flight_ns = 60 * EH_NS_PER_MS;

/* ---- What the player reads ---- */

static const char *control_of(enum eh_control control) {
    switch (control) {
    case EH_CONTROL_AGAIN:
        return "what is to mean again";
    case EH_CONTROL_NEXT:
        return "what is to mean next";
    case EH_CONTROL_STOP:
        return "what is to mean stop";
    case EH_CONTROL_NONE:
    case EH_CONTROL_COUNT:
        break;
    }
    return "";
}

static const char *part_of(int part) {
    if (eh_guide_control(part) != EH_CONTROL_NONE) {
        return control_of(eh_guide_control(part));
    }
    switch ((enum eh_zone)part) {
    case EH_ZONE_HEAD:
        return "the head";
    case EH_ZONE_RIM:
        return "the rim, or a rim shot";
    case EH_ZONE_CROSS:
        return "a cross-stick";
    case EH_ZONE_LEFT:
        return "a pad that only the left hand plays";
    case EH_ZONE_RIGHT:
        return "a pad that only the right hand plays";
    case EH_ZONE_NONE:
        break;
    }
    return "";
}

static void print_event(const struct eh_guide_event *event) {
    switch (event->kind) {
    case EH_GUIDE_ASK:
        printf("Hit %s.\n", part_of(event->part));
        break;
    case EH_GUIDE_HEARD:
        printf("  note %d, %d of %d\n", event->note, event->count, EH_GUIDE_IN_A_ROW);
        break;
    case EH_GUIDE_TAKEN:
        printf("  note %d belongs to \"%s\" already and does not count\n", event->note,
               part_of(event->owner));
        break;
    case EH_GUIDE_MIXED:
        printf("  the notes change: hit one spot, evenly; counted anew\n");
        break;
    case EH_GUIDE_SETTLED:
        printf("  note %d it is\n", event->note);
        break;
    case EH_GUIDE_SKIPPED:
        printf("  nothing came: left out\n");
        break;
    case EH_GUIDE_OVER:
        break;
    }
    (void)fflush(stdout);
}

static void print_map(const struct eh_pad *pad) {
    for (int zone = EH_ZONE_HEAD; zone <= EH_ZONE_RIGHT; zone++) {
        printf("%-6s", eh_zone_key((enum eh_zone)zone));
        bool any = false;
        for (int note = 0; note < 128; note++) {
            if (pad->zones[note] == zone) {
                printf(" %d", note);
                any = true;
            }
        }
        puts(any ? "" : " none");
    }
    for (int control = EH_CONTROL_AGAIN; control < EH_CONTROL_COUNT; control++) {
        if (pad->controls[control] > 0) {
            printf("%-6s %d\n", eh_control_key((enum eh_control)control),
                   pad->controls[control] - 1);
        }
    }
}

/* ---- Listening ---- */

static void hand_over(struct play_source *source, struct eh_pad_guide *guide, int64_t *last_ns) {
    struct eh_hit batch[BATCH];
    struct eh_guide_event event;
    size_t n = BATCH;
    while (n == BATCH) {
        n = play_source_poll(source, 0, 0, batch, BATCH);
        for (size_t i = 0; i < n; i++) {
            batch[i].at_ns = batch[i].at_ns < *last_ns ? *last_ns : batch[i].at_ns;
            *last_ns = batch[i].at_ns;
            eh_pad_guide_hit(guide, &batch[i]);
            while (eh_pad_guide_next(guide, &event)) {
                print_event(&event);
            }
        }
    }
}

static int listen_to(struct play_source *source, struct eh_pad_guide *guide, bool controls) {
    struct play_clock clock = {.is_virtual = false};
    struct eh_guide_event event;
    play_source_clear(source);
    int64_t last_ns = play_clock_now(&clock) - in_flight_ns;
    eh_pad_guide_init(guide, last_ns, controls);
    while (!eh_pad_guide_is_over(guide)) {
        const int64_t now_ns = play_clock_now(&clock);
        hand_over(source, guide, &last_ns);
        const int64_t settled_ns = now_ns - in_flight_ns;
        eh_pad_guide_advance(guide, settled_ns > last_ns ? settled_ns : last_ns);
        while (eh_pad_guide_next(guide, &event)) {
            print_event(&event);
        }
        const char *trouble = play_source_trouble(source);
        if (trouble != NULL) {
            return cli_complain("%s; nothing was changed", trouble);
        }
        if (play_signals_caught()) {
            return cli_complain("broken off; nothing was changed");
        }
        play_clock_wait(&clock, now_ns + step_ns);
    }
    if (eh_pad_guide_found(guide) == 0) {
        return cli_complain("not one note was heard; nothing was changed (\"evenhand ports\" shows "
                            "what is connected)");
    }
    return CLI_GOOD;
}

/* ---- Writing ---- */

int pad_keep(const struct eh_pad *pad, const char *port, const char *player, const char *db) {
    struct eh_store *store = NULL;
    struct eh_text text = {0};
    eh_pad_print(pad, &text);
    int result = eh_text_status(&text) == EH_OK ? history_open(&store, db, EH_STORE_WRITE)
                                                : cli_complain("out of memory");
    if (result == CLI_GOOD && eh_store_pad_set(store, port, player, (int64_t)time(NULL),
                                               eh_text_string(&text)) != EH_OK) {
        result = cli_complain("history: the pad cannot be kept: %s", eh_store_error(store)->text);
    }
    if (result == CLI_GOOD) {
        char key[EH_PORT_KEY];
        eh_port_key(port, key);
        printf("Kept for the port %s%s%s.\n", key, player != NULL ? ", played by " : "",
               player != NULL ? player : "");
    }
    eh_store_close(store);
    eh_text_deinit(&text);
    return result;
}

static int write_pad(const struct eh_pad *pad, const char *path) {
    struct eh_text text = {0};
    struct eh_error error;
    eh_error_clear(&error);
    eh_pad_print(pad, &text);
    enum eh_status status = eh_text_status(&text);
    if (status == EH_OK) {
        status = write_over_file(path, text.data, text.length, &error);
    } else {
        (void)eh_fail(&error, status, "out of memory");
    }
    eh_text_deinit(&text);
    if (status != EH_OK) {
        return cli_complain_error(path, &error);
    }
    printf("Written to %s; --pad %s takes it.\n", path, path);
    return CLI_GOOD;
}

/* A pad that nobody has named is called after its port, or its file. */
static void name_pad(struct eh_pad *pad, const char *file, const char *port) {
    if (strcmp(pad->name, "default") != 0 && pad->name[0] != '\0') {
        return;
    }
    char key[EH_PORT_KEY];
    eh_port_key(port, key);
    if (file != NULL) {
        const char *slash = strrchr(file, '/');
        (void)snprintf(key, sizeof key, "%s", slash == NULL ? file : slash + 1);
        char *dot = strrchr(key, '.');
        if (dot != NULL && dot != key) {
            *dot = '\0';
        }
    }
    (void)snprintf(pad->name, sizeof pad->name, "%.*s", (int)sizeof pad->name - 1, key);
}

/* A control whose note the pad is played on by now. */
static void say_lost(const struct eh_pad *before, const struct eh_pad *after) {
    for (int control = EH_CONTROL_AGAIN; control < EH_CONTROL_COUNT; control++) {
        const uint8_t note = (uint8_t)(before->controls[control] - 1);
        if (before->controls[control] > 0 && eh_pad_owns(after, note)) {
            printf("note %d no longer means \"%s\": the pad is played on it\n", note,
                   eh_control_key((enum eh_control)control));
        }
    }
}

static int begin_with(struct eh_pad *out, const struct pad_make_wish *wish, const char *port) {
    const bool there = wish->file != NULL && access(wish->file, F_OK) == 0;
    const struct pad_wish from = {.file = there ? wish->file : NULL,
                                  .port = wish->file == NULL ? port : NULL,
                                  .player = wish->player,
                                  .db = wish->db};
    return pad_find(out, &from);
}

static int make_with(struct play_source *source, const struct pad_make_wish *wish) {
    const char *port = play_source_name(source);
    struct eh_pad pad;
    struct eh_pad_guide guide;
    int result = begin_with(&pad, wish, port);
    if (result != CLI_GOOD) {
        return result;
    }
    printf("Hits from %s.\nHit each part when it is asked for, evenly, four times. Wait where you\n"
           "do not have it. Ctrl-C leaves everything as it was.\n\n",
           port);
    play_signals_catch();
    result = listen_to(source, &guide, wish->controls);
    if (result != CLI_GOOD) {
        return result;
    }
    const struct eh_pad before = pad;
    eh_pad_guide_apply(&guide, &pad);
    name_pad(&pad, wish->file, port);
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_pad_settle(&pad, &error) != EH_OK) {
        return cli_complain_error("the pad", &error);
    }
    puts("");
    print_map(&pad);
    say_lost(&before, &pad);
    return wish->file != NULL ? write_pad(&pad, wish->file)
                              : pad_keep(&pad, port, wish->player, wish->db);
}

int pad_make(const struct pad_make_wish *wish) {
    struct play_source source = {.midi = NULL};
    int result = play_source_open_pad(&source, wish->port, false);
    if (result == CLI_GOOD) {
        result = make_with(&source, wish);
    }
    play_source_close(&source);
    return result;
}
