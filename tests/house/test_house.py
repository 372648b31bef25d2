"""The house is in order. Each check is first shown a house with one fault in it, and must see it."""

import os
import pathlib
import subprocess
import sys
import tempfile
import unittest

import contents
import headers
import includes
import symbols

ROOT = pathlib.Path(os.environ["EVENHAND_SOURCE_DIR"])
COMPILER = os.environ["EVENHAND_COMPILER"]
LIBRARIES = [name for name in os.environ.get("EVENHAND_PURE_LIBRARIES", "").split(";") if name]


def complaints(lines):
    return "\n  ".join(["what is wrong:", *lines])


class House(unittest.TestCase):
    """A small house in a folder of its own, to put faults in."""

    def setUp(self):
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.root = pathlib.Path(folder.name)
        self.put("include/evenhand/status.h", "int eh_x;\n")
        self.put("src/judge/a.c", "#include <math.h>\n#include \"evenhand/status.h\"\n")

    def put(self, name, text):
        path = self.root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")

    def archive(self, code):
        self.put("x.c", code)
        subprocess.run([COMPILER, "-c", "x.c", "-o", "x.o"], cwd=self.root, check=True)
        subprocess.run(["ar", "cr", "libx.a", "x.o"], cwd=self.root, check=True)
        return [self.root / "libx.a"]


class Rooms(House):
    def test_rooms_include_only_what_the_plan_allows(self):
        found = includes.check(ROOT)
        self.assertEqual(found, [], complaints(found))

    def test_a_small_house_in_order_passes(self):
        self.assertEqual(includes.check(self.root), [])

    def test_each_forbidden_include_is_seen(self):
        rows = [
            ("src/judge/b.c", '#include "evenhand/store.h"', "must not include evenhand/store.h"),
            ("src/judge/b.c", "#include <time.h>", "must not include <time.h>"),
            ("src/judge/b.c", "  #  include  <pthread.h>", "must not include <pthread.h>"),
            ("src/judge/b.c", "#include <sqlite3.h>", "src/history/db.c only"),
            ("src/history/b.c", "#include <sqlite3.h>", "src/history/db.c only"),
            ("src/live/b.c", "#include <jack/ringbuffer.h>", "only"),
            ("src/judge/b.c", '#include "../score/a.h"', "reaches out of its room"),
            ("src/judge/b.c", '#include "absent.h"', "not in its own room"),
            ("src/judge/b.c", '#include "evenhand/unheard.h"', "has no room"),
            ("src/attic/b.c", "", "no room"),
            ("include/evenhand/unheard.h", "", "has no room"),
            ("include/evenhand/hit.h", '#include "evenhand/judgement.h"', "must not include"),
        ]
        for name, text, expected in rows:
            with self.subTest(name=name, text=text):
                self.put(name, text + "\n")
                found = includes.check(self.root)
                self.assertTrue(any(expected in line for line in found), complaints(found))
                (self.root / name).unlink()
                if name == "src/attic/b.c":
                    (self.root / "src/attic").rmdir()


@unittest.skipUnless(LIBRARIES, "a build with sanitizers calls the sanitizers")
class Symbols(House):
    def test_the_pure_rooms_call_nothing_impure(self):
        found = symbols.check(LIBRARIES)
        self.assertEqual(found, [], complaints(found))

    def test_each_impure_call_is_seen(self):
        rows = [
            ('#include <stdio.h>\nvoid f(void) { puts("x"); }', "calls puts"),
            ('#include <stdio.h>\nvoid *f(void) { return fopen("x", "r"); }', "calls fopen"),
            ("#include <time.h>\nlong f(void) { return time(0); }", "calls time"),
            ("#include <stdlib.h>\nvoid f(void) { exit(1); }", "calls exit"),
            ("int rand(void); int f(void) { return rand(); }", "calls rand"),
            ("int counter; int f(void) { return ++counter; }", "counter is a global"),
            ("int f(void) { static int n = 3; return ++n; }", "is a global"),
            ("_Thread_local int n; int f(void) { return ++n; }", "n is a global"),
        ]
        for code, expected in rows:
            with self.subTest(code=code):
                found = symbols.check(self.archive(code))
                self.assertTrue(any(expected in line for line in found), complaints(found))

    def test_what_is_allowed_passes(self):
        code = "#include <math.h>\n#include <stdlib.h>\n" \
               "static const char *const x[2] = {\"1\", \"2\"};\n" \
               "double f(double y) { free(0); return log10(y) + x[y > 0][0]; }"
        self.assertEqual(symbols.check(self.archive(code)), [])


class Headers(House):
    def test_public_headers_compile_alone(self):
        found = headers.check(COMPILER, ROOT / "include")
        self.assertEqual(found, [], complaints(found))

    def test_a_header_that_leans_on_another_is_seen(self):
        self.put("include/evenhand/lean.h", "size_t eh_lean(void);\n")
        found = headers.check(COMPILER, self.root / "include")
        self.assertTrue(any("lean.h" in line for line in found), complaints(found))


class Contents(House):
    def test_the_top_of_the_repository_is_tidy(self):
        found = contents.check_top(ROOT)
        self.assertEqual(found, [], complaints(found))

    def test_no_forbidden_words(self):
        found = contents.check_words(ROOT)
        self.assertEqual(found, [], complaints(found))

    def test_no_file_grows_beyond_one_idea(self):
        found = contents.check_sizes(ROOT)
        self.assertEqual(found, [], complaints(found))

    def test_each_fault_of_contents_is_seen(self):
        rows = [
            ("stray.txt", "x", contents.check_top),
            ("docs/a.md", "see /ho" "me/me/notes", contents.check_words),
            ("src/judge/a.c", "/* TO" "DO */", contents.check_words),
            ("src/judge/a.c", "x\n" * (contents.LONGEST_FILE + 1), contents.check_sizes),
        ]
        for name, text, check in rows:
            with self.subTest(name=name, text=text[:20]):
                self.put(name, text)
                self.assertNotEqual(check(self.root), [])
                (self.root / name).unlink()


if __name__ == "__main__":
    sys.dont_write_bytecode = True
    unittest.main()
