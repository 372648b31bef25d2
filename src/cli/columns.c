#include "columns.h"

#include <sys/ioctl.h>

int cli_columns(int file, int otherwise) {
    struct winsize size;
    return ioctl(file, TIOCGWINSZ, &size) == 0 && size.ws_col > 0 ? size.ws_col : otherwise;
}
