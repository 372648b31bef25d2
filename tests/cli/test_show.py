"""evenhand show: every shipped exercise at several widths, a stretch of bars, wrong bars."""

import re

from evenhand_cli import FAILED, GOOD, SHIPPED, USAGE, CliTest, main, some


def hands(page):
    """The hands of a page in order; "R*8" is eight strokes of the right."""
    letters = []
    for line in page.splitlines():
        if line.startswith("hand    "):
            for letter, times in re.findall(r"([RLrl])(?:\*(\d+))?", line[8:]):
                letters += [letter] * int(times or 1)
    return "".join(letters)


def unsaid(text):
    """The written hands of an exercise's text, rolls and repeats not unfolded."""
    return re.sub(r"[^RLrl]", "", text)


class Show(CliTest):
    def test_every_shipped_exercise_fits_and_shows_the_same_strokes_at_every_width(self):
        for name in some(SHIPPED):
            with self.subTest(name=name):
                pages = {width: self.expect(GOOD, "show", name, "--width", width)
                         for width in (60, 80, 120)}
                for width, page in pages.items():
                    for line in page.splitlines():
                        self.assertLessEqual(len(line), width, line)
                self.assertEqual(self.expect(GOOD, "show", name), pages[80])
                self.assertEqual(len({hands(page) for page in pages.values()}), 1)
                told = re.search(r"(\d+) bars?:\s+(\d+)\s+strokes", pages[120])
                if told:  # without repeats all that is played stands on the page once
                    main_strokes = [hand for hand in hands(pages[80]) if hand in "RL"]
                    self.assertEqual(len(main_strokes), int(told[2]))

    def test_the_hands_are_those_of_the_text(self):
        self.write("mine.txt", "metre: 2/4\n| 16:RLRR LRLL | 8:lR rL llR rrL | 4:Rz L |\n")
        self.assertEqual(hands(self.expect(GOOD, "show", "mine.txt")),
                         unsaid("RLRR LRLL lR rL llR rrL Rz L"))

    def test_bars_may_be_chosen(self):
        page = self.expect(GOOD, "show", "nine-stroke-rolls", "--bars", "5-8")
        self.assertEqual(re.findall(r"(?m)^bar +(\d+)", page), ["5", "6", "7", "8"])
        self.assertIn("level      mf 6 in", page)
        self.assertEqual(re.findall(r"(?m)^bar +(\d+)",
                                    self.expect(GOOD, "show", "nine-stroke-rolls", "--bars", "16-")),
                         ["16", "17"])

    def test_bars_that_are_not_there_are_refused(self):
        for bars, words in (("18", "has the bars 1 to 17"), ("5-40", "has the bars 1 to 17"),
                            ("8-5", "bar 8 comes after bar 5")):
            with self.subTest(bars=bars):
                self.expect(FAILED, "show", "nine-stroke-rolls", "--bars", bars, says=words)
        for arguments, words in ((["--bars", "x"], '"x" is not A-B'), (["--bars", "0-3"], "--bars"),
                                 (["--width", "59"], "--width: 59 is outside 60 to 120"),
                                 (["--width", "121"], "--width: 121 is outside 60 to 120")):
            with self.subTest(arguments=arguments):
                self.expect(USAGE, "show", "nine-stroke-rolls", *arguments, says=words)


if __name__ == "__main__":
    main()
