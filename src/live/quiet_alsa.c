#include <alsa/asoundlib.h>

#include "quiet.h"

static void say_nothing(const char *file, int line, const char *function, int code,
                        const char *format, ...) {
    (void)file;
    (void)line;
    (void)function;
    (void)code;
    (void)format;
}

void eh_quiet_alsa(void) {
    snd_lib_error_set_handler(say_nothing);
}
