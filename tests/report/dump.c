/* Writes what the golden files and the schema test look at:
 * dump json CASE | dump text CASE WIDTH | dump cases | dump strings (lines of hex in, JSON out) */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "evenhand/report.h"
#include "json_value.h"
#include "made.h"

static int list_cases(void) {
    for (size_t i = 0; made_case_name(i) != NULL; i++) {
        puts(made_case_name(i));
    }
    return 0;
}

static int dump_case(int argc, char **argv) {
    struct made made;
    struct eh_text text = {0};
    made_case(&made, argv[2]);
    const struct eh_report_look look = {.width = argc > 3 ? (int)strtol(argv[3], NULL, 10) : 0};
    const enum eh_status status = strcmp(argv[1], "json") == 0
                                      ? eh_report_json(&made.judgement, &text)
                                      : eh_report_judgement(&made.judgement, &look, &text);
    (void)fwrite(eh_text_string(&text), 1, text.length, stdout);
    eh_text_deinit(&text);
    made_deinit(&made);
    return status == EH_OK ? 0 : 1;
}

/* Bytes other than NUL as hex, one string a line, in; the JSON strings out. */
static int dump_strings(void) {
    char line[2048];
    while (fgets(line, sizeof line, stdin) != NULL) {
        char bytes[1024];
        size_t length = 0;
        unsigned byte = 0;
        for (const char *at = line; sscanf(at, "%2x", &byte) == 1; at += 2) {
            bytes[length++] = (char)byte;
        }
        bytes[length] = '\0';
        struct eh_text text = {0};
        report_json_string(&text, bytes);
        puts(eh_text_string(&text));
        eh_text_deinit(&text);
    }
    return 0;
}

int main(int argc, char **argv) {
    if (argc > 2) {
        return dump_case(argc, argv);
    }
    return argc == 2 && strcmp(argv[1], "strings") == 0 ? dump_strings() : list_cases();
}
