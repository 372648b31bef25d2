#include "evenhand/exercise.h"

const char *eh_hand_text(enum eh_hand hand) {
    return hand == EH_HAND_RIGHT ? "right" : "left";
}

const char *eh_hand_letter(enum eh_hand hand) {
    return hand == EH_HAND_RIGHT ? "R" : "L";
}

const char *eh_kind_text(enum eh_kind kind) {
    switch (kind) {
    case EH_KIND_SINGLE:
        return "single";
    case EH_KIND_FIRST:
        return "first";
    case EH_KIND_SECOND:
        return "second";
    case EH_KIND_GRACE:
        return "grace";
    case EH_KIND_BUZZ:
        return "buzz";
    }
    return "unknown";
}

const char *eh_dynamic_text(enum eh_dynamic dynamic) {
    switch (dynamic) {
    case EH_DYNAMIC_PPP:
        return "ppp";
    case EH_DYNAMIC_PP:
        return "pp";
    case EH_DYNAMIC_P:
        return "p";
    case EH_DYNAMIC_MP:
        return "mp";
    case EH_DYNAMIC_MF:
        return "mf";
    case EH_DYNAMIC_F:
        return "f";
    case EH_DYNAMIC_FF:
        return "ff";
    case EH_DYNAMIC_FFF:
        return "fff";
    case EH_DYNAMIC_COUNT:
        break;
    }
    return "unknown";
}
