#include "local_time.h"

#include <stddef.h>
#include <time.h>

int32_t local_offset_s(int64_t utc_s) {
    const time_t now = (time_t)utc_s;
    struct tm local;
    struct tm utc;
    if (localtime_r(&now, &local) == NULL || gmtime_r(&now, &utc) == NULL) {
        return 0;
    }
    utc.tm_isdst = local.tm_isdst;
    const time_t shifted = mktime(&utc);
    return shifted == (time_t)-1 ? 0 : (int32_t)difftime(now, shifted);
}

int64_t local_day(int64_t utc_s, int32_t offset_s) {
    const int64_t seconds = utc_s + offset_s;
    return (seconds >= 0 ? seconds : seconds - 86399) / 86400;
}
