# The stages of tools/test. Each is a function stage_NAME that adds to $passed and $failed.
# Needs say.sh; $root is the repository.

passed=0
failed=0
cores=$(nproc)

pass() {
    passed=$((passed + 1))
}

fail() {
    failed=$((failed + 1))
    complain "$*"
}

# build_in FOLDER TARGETS CMAKE-OPTION ...: configures where that has not been done, and builds.
build_in() {
    local folder="$root/$1" targets=$2
    shift 2
    if [ ! -f "$folder/build.ninja" ]; then
        cmake -S "$root" -B "$folder" -G Ninja "$@" || return 1
    fi
    ninja -C "$folder" $targets
}

# ctest_in FOLDER CTEST-OPTION ...: runs the tests and adds up how many passed and failed. Two places
# a core: a test that only waits for a JACK server takes one of them (tests/CMakeLists.txt).
ctest_in() {
    local folder="$root/$1" log="$root/$1/ctest.log"
    shift
    $without_randomised_addresses ctest --test-dir "$folder" -j "$((cores * 2))" --output-on-failure "$@" |
        tee "$log"
    local counts
    counts=$(sed -n 's/.*tests passed, \([0-9]*\) tests failed out of \([0-9]*\)/\1 \2/p' "$log")
    if [ -z "$counts" ]; then
        fail "no test ran in $folder"
        return
    fi
    passed=$((passed + ${counts#* } - ${counts% *}))
    failed=$((failed + ${counts% *}))
}
without_randomised_addresses=

stage_gcc() {
    if build_in build-gcc all -DCMAKE_C_COMPILER=gcc; then
        ctest_in build-gcc
    else
        fail "gcc: does not build without warnings"
    fi
}

stage_clang() {
    if build_in build-clang all -DCMAKE_C_COMPILER=clang; then
        pass
    else
        fail "clang: does not build without warnings"
    fi
}

stage_asan() {
    if build_in build-asan all -DCMAKE_C_COMPILER=gcc -DCMAKE_BUILD_TYPE=Debug \
        -DCMAKE_C_FLAGS=-O1 -DEVENHAND_SANITIZE=address+undefined; then
        # Long rows of like cases are sampled here: tests/lib/fewer.py, tests/properties.
        EVENHAND_EVERY=4 EVENHAND_PROPERTY_RUNS=250 EVENHAND_RECOMPUTED_RUNS=60 ctest_in build-asan
    else
        fail "asan: does not build"
    fi
}

# gcc 12's thread sanitizer needs addresses that a kernel with much randomisation does not give.
stage_tsan() {
    if ! build_in build-tsan plain_tests -DCMAKE_C_COMPILER=gcc -DEVENHAND_SANITIZE=thread; then
        fail "tsan: does not build"
        return
    fi
    if setarch "$(uname -m)" -R true 2>/dev/null; then
        without_randomised_addresses="setarch $(uname -m) -R"
    fi
    ctest_in build-tsan -L plain
    without_randomised_addresses=
}

# The C sources: what git knows, or everything where there is no git.
c_files() {
    (cd "$root" && git ls-files -- '*.c' '*.h' 2>/dev/null ||
        find include src tests tools -name '*.[ch]')
}

stage_format() {
    if (cd "$root" && c_files | xargs clang-format --dry-run -Werror); then
        pass
    else
        fail "format: run clang-format -i on the files above"
    fi
}

# tidy_one SOURCE: silent when there is nothing to say. A stamp remembers a clean file until it, a
# header or the list of checks changes. One file a run: clang-tidy 14 sees ghosts in a second one.
tidy_one() {
    local stamp="$root/build-clang/tidy/${1//\//_}"
    if [ -f "$stamp" ] && [ -z "$(find "$root/$1" "$root/.clang-tidy" "$root/include" \
        "$(dirname "$root/$1")" -newer "$stamp" \( -name '*.h' -o -name .clang-tidy -o \
        -path "$root/$1" \) -print -quit)" ]; then
        return 0
    fi
    local said
    if said=$(cd "$root" && clang-tidy --quiet -p build-clang "$1" 2>/dev/null); then
        touch "$stamp"
    else
        printf '%s\n' "$said"
        return 1
    fi
}
export -f tidy_one
export root

stage_tidy() {
    if [ ! -f "$root/build-clang/compile_commands.json" ]; then
        build_in build-clang all -DCMAKE_C_COMPILER=clang || return
    fi
    mkdir -p "$root/build-clang/tidy"
    if c_files | grep '^src/.*\.c$' |
        xargs -P "$cores" -I FILE bash -c 'tidy_one FILE'; then
        pass
    else
        fail "tidy: see above"
    fi
}
