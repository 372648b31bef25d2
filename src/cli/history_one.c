#include "history_one.h"

#include <stdio.h>
#include <time.h>

#include "evenhand/smf.h"
#include "evenhand/store.h"
#include "say.h"
#include "take_find.h"
#include "write_file.h"

static void print_when(const struct eh_run_info *info) {
    const time_t local = (time_t)(info->started_utc_s + info->utc_offset_s);
    struct tm parts;
    char when[32] = "";
    if (gmtime_r(&local, &parts) != NULL) {
        (void)strftime(when, sizeof when, "%Y-%m-%d %H:%M", &parts);
    }
    printf("played     %s, local time\n", when);
}

static void print_asked(const struct eh_run_info *info) {
    printf("exercise   %s", info->exercise);
    if (info->plan.first_bar > 0 || info->plan.last_bar > 0) {
        printf(", bars %d to ", info->plan.first_bar > 0 ? info->plan.first_bar : 1);
        if (info->plan.last_bar > 0) {
            printf("%d", info->plan.last_bar);
        } else {
            printf("the end");
        }
    }
    if (info->plan.passes > 1) {
        printf(", %d passes", info->plan.passes);
    }
    printf("\nstyle      %s\n", info->style);
    if (!info->no_click) {
        printf("tempo      %.15g quarter notes a minute\n", info->tempo_bpm);
    } else if (info->count_off > 0) {
        printf("tempo      the player's own, without a click, after %d taps\n",
               (int)info->count_off);
    } else {
        printf("tempo      the player's own, without a click\n");
    }
}

static void print_heard(const struct eh_run *run) {
    const struct eh_run_info *info = &run->info;
    printf("from       %s%s%s", eh_run_source_text(info->source), info->port[0] ? ", " : "",
           info->port);
    if (info->demo_fault[0] != '\0') {
        printf(", fault %s", info->demo_fault);
    }
    if (info->demo_seed[0] != '\0') {
        printf(", seed %s", info->demo_seed);
    }
    printf("\nhits       %zu", run->take.count);
    if (run->take.dropped > 0) {
        printf(" (%u lost on the way in)", (unsigned)run->take.dropped);
    }
    printf("\nended      %s\n", eh_run_ended_text(run->ended));
}

static void print_run(const struct eh_run *run) {
    printf("run        %lld\n", (long long)run->number);
    print_when(&run->info);
    print_asked(&run->info);
    print_heard(run);
    if (run->judged) {
        printf("judgement  %s\n", run->verdict.headline);
    } else {
        printf("judgement  none kept\n");
    }
    printf("again      evenhand judge %s run:%lld\n", run->info.exercise, (long long)run->number);
}

static int print_document(const struct eh_run *run) {
    if (!run->judged || run->verdict.json[0] == '\0') {
        return cli_complain("run:%lld: no judgement is kept with it; \"evenhand judge %s run:%lld "
                            "--json\" makes one",
                            (long long)run->number, run->info.exercise, (long long)run->number);
    }
    (void)fputs(run->verdict.json, stdout);
    return CLI_GOOD;
}

int history_show(int64_t run, bool json, const char *db) {
    struct eh_run loaded;
    int result = take_load_run(&loaded, run, db);
    if (result != CLI_GOOD) {
        return result;
    }
    if (json) {
        result = print_document(&loaded);
    } else {
        print_run(&loaded);
    }
    eh_run_deinit(&loaded);
    return result;
}

int history_export(int64_t run, const char *path, const char *db) {
    struct eh_run loaded;
    if (take_load_run(&loaded, run, db) != CLI_GOOD) {
        return CLI_FAILED;
    }
    struct eh_text bytes = {0};
    struct eh_error error;
    eh_error_clear(&error);
    int result = CLI_GOOD;
    if (eh_smf_write(&bytes, &loaded.take, loaded.info.exercise, &error) != EH_OK) {
        result = cli_complain_error(loaded.take.source, &error);
    } else if (write_new_file(path, bytes.data, bytes.length, &error) != EH_OK) {
        result = cli_complain_error(path, &error);
    } else {
        printf("%s: %zu hits\n", path, loaded.take.count);
    }
    eh_text_deinit(&bytes);
    eh_run_deinit(&loaded);
    return result;
}
