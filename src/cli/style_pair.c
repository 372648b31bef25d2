#include "style_pair.h"

#include <string.h>

#include "evenhand/text.h"
#include "say.h"
#include "style_find.h"

static int complain(const char *wanted) {
    (void)cli_complain("--styles: \"%s\" is not two styles with a comma between them, as in "
                       "--styles " STYLE_PAIR_USUAL,
                       wanted);
    return CLI_USAGE;
}

static int find_both(struct eh_style out[2], const char *first, const char *second) {
    if (strcmp(first, second) == 0) {
        (void)cli_complain("--styles: %s stands there twice; name two styles, as in "
                           "--styles " STYLE_PAIR_USUAL,
                           first);
        return CLI_USAGE;
    }
    int result = style_find(&out[0], first, NULL);
    if (result == CLI_GOOD) {
        result = style_find(&out[1], second, NULL);
    }
    if (result == CLI_GOOD && strcmp(out[0].name, out[1].name) == 0) {
        return cli_complain("--styles: %s and %s are both called \"%s\"; give one of them another "
                            "name in its file (name = ...)",
                            first, second, out[0].name);
    }
    return result;
}

int style_pair_find(struct eh_style out[2], const char *wanted) {
    const char *asked = wanted != NULL ? wanted : STYLE_PAIR_USUAL;
    const char *comma = strchr(asked, ',');
    if (comma == NULL || comma == asked || comma[1] == '\0' || strchr(comma + 1, ',') != NULL) {
        return complain(asked);
    }
    struct eh_text first = {0};
    eh_text_add_bytes(&first, asked, (size_t)(comma - asked));
    const int result = find_both(out, eh_text_string(&first), comma + 1);
    eh_text_deinit(&first);
    return result;
}
