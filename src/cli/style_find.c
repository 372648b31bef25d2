#include "style_find.h"

#include <string.h>
#include <unistd.h>

#include "evenhand/settings.h"
#include "evenhand/text.h"
#include "names.h"
#include "read_file.h"
#include "say.h"

enum { STYLE_BYTES_MAX = 1024 * 1024 };

int style_from_text(struct eh_style *out, const char *where, const char *text, size_t length) {
    struct eh_error error;
    eh_error_clear(&error);
    if (eh_style_parse(out, text, length, &error) == EH_OK) {
        return CLI_GOOD;
    }
    return cli_complain_text(where, &error, text, length);
}

static int read_style(struct eh_style *out, const char *path) {
    struct eh_text text = {0};
    struct eh_error error;
    eh_error_clear(&error);
    const int result = read_file(&text, path, STYLE_BYTES_MAX, &error) == EH_OK
                           ? style_from_text(out, path, text.data, text.length)
                           : cli_complain_error(path, &error);
    eh_text_deinit(&text);
    return result;
}

static void list_names(struct eh_text *list, const struct names *names) {
    for (size_t i = 0; i < names->count; i++) {
        eh_text_printf(list, "%s%s", list->length > 0 ? ", " : "", names->files[i].name);
    }
    for (size_t i = 0; eh_style_shipped_name(i) != NULL; i++) {
        if (names_find(names, eh_style_shipped_name(i)) == NULL) {
            eh_text_printf(list, "%s%s", list->length > 0 ? ", " : "", eh_style_shipped_name(i));
        }
    }
}

static int complain_unknown(const char *wanted, bool by_exercise, const struct names *names) {
    struct eh_text list = {0};
    list_names(&list, names);
    (void)cli_complain("%s: no style and no file of that name%s; there are: %s", wanted,
                       by_exercise ? " (the exercise asks for it; --style NAME takes another)" : "",
                       eh_text_string(&list));
    eh_text_deinit(&list);
    return CLI_FAILED;
}

static int find_by_name(struct eh_style *out, const char *wanted, bool by_exercise,
                        const struct names *names) {
    const struct named_file *file = names_find(names, wanted);
    if (file != NULL) {
        return read_style(out, file->path);
    }
    const char *shipped = eh_style_shipped_text(wanted);
    if (shipped != NULL) {
        return style_from_text(out, wanted, shipped, strlen(shipped));
    }
    if (!by_exercise && wanted[0] != '\0' && access(wanted, F_OK) == 0) {
        return read_style(out, wanted);
    }
    return complain_unknown(wanted, by_exercise, names);
}

int style_find(struct eh_style *out, const char *wanted, const struct eh_exercise *exercise) {
    const bool by_exercise = wanted == NULL;
    if (by_exercise) {
        const char *asked = eh_exercise_style(exercise);
        wanted = asked[0] == '\0' ? STYLE_DEFAULT : asked;
    } else if (strchr(wanted, '/') != NULL) {
        return read_style(out, wanted);
    }
    struct folder_list folders;
    folders_styles(&folders);
    struct names names;
    names_gather(&names, &folders, STYLE_SUFFIX);
    const int result = find_by_name(out, wanted, by_exercise, &names);
    names_deinit(&names);
    return result;
}
