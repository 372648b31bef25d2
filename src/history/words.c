#include <string.h>

#include "store_parts.h"

const char *eh_run_source_text(enum eh_run_source source) {
    switch (source) {
    case EH_SOURCE_LIVE:
        return "live";
    case EH_SOURCE_DEMO:
        return "demo";
    case EH_SOURCE_FILE:
        return "file";
    }
    return "";
}

const char *eh_run_ended_text(enum eh_run_ended ended) {
    switch (ended) {
    case EH_RUN_UNFINISHED:
        return "unfinished";
    case EH_RUN_COMPLETE:
        return "complete";
    case EH_RUN_SILENCE:
        return "silence";
    case EH_RUN_STOPPED:
        return "stopped";
    case EH_RUN_VANISHED:
        return "vanished";
    }
    return "";
}

bool eh_run_source_read(const char *word, enum eh_run_source *out_source) {
    for (int s = EH_SOURCE_LIVE; s <= EH_SOURCE_FILE; s++) {
        if (strcmp(word, eh_run_source_text((enum eh_run_source)s)) == 0) {
            *out_source = (enum eh_run_source)s;
            return true;
        }
    }
    return false;
}

bool eh_run_ended_read(const char *word, enum eh_run_ended *out_ended) {
    for (int e = EH_RUN_UNFINISHED; e <= EH_RUN_VANISHED; e++) {
        if (strcmp(word, eh_run_ended_text((enum eh_run_ended)e)) == 0) {
            *out_ended = (enum eh_run_ended)e;
            return true;
        }
    }
    return false;
}
