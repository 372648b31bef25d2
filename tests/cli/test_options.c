/* The options' table: what is read, what is refused. The messages are held in test_usage.py. */
#include <criterion/criterion.h>

#include <string.h>

#include "nearest.h"
#include "options.h"
#include "start_option.h"

static bool flag;
static const char *text;
static const char *maybe;
static double number;
static int64_t integer;

static const struct option_row rows[] = {
    {.name = "flag", .kind = OPTION_FLAG, .target.flag = &flag},
    {.name = "text", .argument = "T", .kind = OPTION_TEXT, .target.text = &text},
    {.name = "maybe", .argument = "M", .kind = OPTION_OPTIONAL_TEXT, .target.text = &maybe},
    {.name = "number",
     .argument = "N",
     .kind = OPTION_NUMBER,
     .target.number = &number,
     .low = -1.5,
     .high = 20.0},
    {.name = "integer",
     .argument = "I",
     .kind = OPTION_INTEGER,
     .target.integer = &integer,
     .low = -3,
     .high = 7},
};

static const struct command_usage usage = {.name = "try",
                                           .arguments = "A [B]",
                                           .about = "",
                                           .options = rows,
                                           .option_count = sizeof rows / sizeof rows[0],
                                           .least = 1,
                                           .most = 2};

static struct command_words words;

static enum options_answer parse(const char *first, const char *second, const char *third) {
    flag = false;
    text = maybe = NULL;
    number = 99;
    integer = 99;
    char arguments[4][64] = {"try"};
    const char *given[] = {first, second, third};
    char *argv[5] = {arguments[0]};
    int argc = 1;
    for (int i = 0; i < 3 && given[i] != NULL; i++) {
        strncpy(arguments[argc], given[i], sizeof arguments[0] - 1);
        argv[argc] = arguments[argc];
        argc++;
    }
    return options_parse(&usage, argc, argv, &words);
}

Test(options, a_value_stands_after_a_space_or_an_equals_sign) {
    cr_assert_eq(parse("a", "--number", "2.25"), OPTIONS_RUN);
    cr_assert_eq(number, 2.25);
    cr_assert_eq(parse("--number=-1.5", "a", NULL), OPTIONS_RUN);
    cr_assert_eq(number, -1.5);
    cr_assert_eq(parse("a", "--integer", "-3"), OPTIONS_RUN);
    cr_assert_eq(integer, -3);
    cr_assert_eq(parse("a", "--flag", "b"), OPTIONS_RUN);
    cr_assert(flag);
    cr_assert_eq(words.count, 2);
}

Test(options, an_optional_value_is_given_with_an_equals_sign_only) {
    cr_assert_eq(parse("--maybe", "a", NULL), OPTIONS_RUN);
    cr_assert_str_eq(maybe, "");
    cr_assert_eq(words.count, 1);
    cr_assert_eq(parse("--maybe=x:3", "a", NULL), OPTIONS_RUN);
    cr_assert_eq(maybe[0], 'x');
    cr_assert_eq(parse("a", NULL, NULL), OPTIONS_RUN);
    cr_assert_null(maybe);
}

Test(options, wrong_usage_is_refused) {
    static const char *const wrong[][3] = {
        {NULL, NULL, NULL},          {"a", "b", "c"},           {"a", "--number", NULL},
        {"a", "--number", "--flag"}, {"a", "--number", "20.1"}, {"a", "--number", "-1.6"},
        {"a", "--integer", "8"},     {"a", "--integer", "-4"},  {"a", "--integer", "1.0"},
        {"a", "--flag=1", NULL},     {"a", "--text=", NULL},    {"a", "--tex", "x"},
        {"a", "--numberr", "1"},     {"a", "-f", NULL},         {"a", "--=x", NULL},
    };
    for (size_t i = 0; i < sizeof wrong / sizeof wrong[0]; i++) {
        cr_assert_eq(parse(wrong[i][0], wrong[i][1], wrong[i][2]), OPTIONS_WRONG, "row %zu", i);
    }
}

Test(options, numbers_are_read_the_same_everywhere) {
    static const struct {
        const char *text;
        bool good;
        double value;
    } table[] = {
        {"0", true, 0},
        {"007", true, 7},
        {"97.5", true, 97.5},
        {"-0.25", true, -0.25},
        {"1.", false, 0},
        {".5", false, 0},
        {"", false, 0},
        {"-", false, 0},
        {"+1", false, 0},
        {" 1", false, 0},
        {"1 ", false, 0},
        {"1,5", false, 0},
        {"1e3", false, 0},
        {"0x10", false, 0},
        {"inf", false, 0},
        {"nan", false, 0},
        {"1.2.3", false, 0},
        {"999999999999999999", true, 999999999999999999.0},
        {"9999999999999999999", false, 0},
        {"--1", false, 0},
    };
    for (size_t i = 0; i < sizeof table / sizeof table[0]; i++) {
        double value = 0;
        cr_assert_eq(options_read_number(table[i].text, &value), table[i].good, "%s",
                     table[i].text);
        cr_assert(!table[i].good || value == table[i].value, "%s", table[i].text);
    }
    int64_t whole = 0;
    cr_assert(options_read_integer("-12", &whole) && whole == -12);
    cr_assert(!options_read_integer("12.0", &whole));
    cr_assert(!options_read_integer("9999999999999999999", &whole));
}

Test(options, a_start_is_a_bar_and_a_quarter_of_it) {
    static const struct {
        const char *text;
        int bar;
        eh_ticks into;
    } good[] = {
        {"1", 1, 0},         {"12:1", 12, 0},    {"3:2", 3, 20160},       {"3:5/2", 3, 30240},
        {"3:2.5", 3, 30240}, {"3:4/3", 3, 6720}, {"1000000", 1000000, 0},
    };
    struct start_option start;
    for (size_t i = 0; i < sizeof good / sizeof good[0]; i++) {
        cr_assert(start_option_read(good[i].text, &start), "%s", good[i].text);
        cr_assert_eq(start.bar, good[i].bar, "%s", good[i].text);
        cr_assert_eq(start.into_bar, good[i].into, "%s", good[i].text);
    }
    static const char *const bad[] = {"",        "0",       "-1",   "1:0",     "1:1/2", "1:1/0",
                                      "1:12/11", "1:1:1",   "1.5",  "1000001", "1:",    ":1",
                                      "1:-1",    "1:99999", "1:1/", "1:/2"};
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        cr_assert(!start_option_read(bad[i], &start), "%s", bad[i]);
    }
}

Test(options, the_nearest_names_come_nearest_first_and_strangers_not_at_all) {
    struct nearest nearest;
    nearest_init(&nearest, "rols");
    nearest_offer(&nearest, "flams");
    nearest_offer(&nearest, "rolls");
    nearest_offer(&nearest, "paradiddles");
    nearest_offer(&nearest, "roles");
    nearest_offer(&nearest, "rol");
    nearest_offer(&nearest, "roots");
    cr_assert_eq(nearest.count, 3);
    cr_assert_str_eq(nearest.names[0], "rolls");
    cr_assert_str_eq(nearest.names[1], "roles");
    cr_assert_str_eq(nearest.names[2], "rol");
    struct eh_text said = {0};
    nearest_add_to(&nearest, &said);
    cr_assert_str_eq(eh_text_string(&said), "; did you mean \"rolls\", \"roles\" or \"rol\"?");
    eh_text_deinit(&said);
}
