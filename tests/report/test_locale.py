"""Numbers must not follow the locale. printf writes the locale's decimal point for %f, %e, %g and
%a (C11, 7.21.6.1), so none of them may stand in this room."""

import os
import re
import unittest

ROOM = os.path.join(os.environ["EVENHAND_SOURCE_DIR"], "src", "report")
CONVERSION = re.compile(r"%[-+ #0']*(?:\*|\d+)?(?:\.(?:\*|\d+)?)?(?:hh|h|ll|l|j|z|t|L)?([a-zA-Z%])")
STRING = re.compile(r'"((?:[^"\\]|\\.)*)"')


def conversions(source):
    text = re.sub(r"/\*.*?\*/", "", source, flags=re.S)
    for string in STRING.findall(text):
        yield from CONVERSION.findall(string)


class Locale(unittest.TestCase):
    def test_the_search_finds_them(self):
        self.assertEqual(list(conversions('printf("%-5.2f %*d %% %Lg", x);')), list("fd%g"))

    def test_no_conversion_follows_the_locale(self):
        seen = 0
        for name in sorted(os.listdir(ROOM)):
            if name.endswith((".c", ".h")):
                with open(os.path.join(ROOM, name), encoding="utf-8") as file:
                    found = list(conversions(file.read()))
                seen += len(found)
                self.assertFalse(set(found) & set("fFeEgGaA"), name)
        self.assertGreater(seen, 20)


if __name__ == "__main__":
    unittest.main()
