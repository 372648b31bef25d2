"""evenhand care: the cautions with their sources, and the demo player, who needs none."""

import re
import sqlite3

from evenhand_cli import GOOD, USAGE, CliTest, main


class Care(CliTest):
    def test_the_hours_are_those_of_the_recommended_limit(self):
        """NIOSH, Criteria for a Recommended Standard: Occupational Noise Exposure, 1998 (98-126):
        T = 480 / 2 ** ((L - 85) / 3) minutes; number and formula from memory."""
        page = " ".join(self.expect(GOOD, "care").split())
        rows = re.findall(r"(\d+) dBA (\d+(?:\.\d+)?) (h|min)\b", page)
        self.assertEqual([int(level) for level, _, _ in rows], [88, 91, 94, 97, 100, 103])
        self.assertIn("85 dBA over 8 hours", page)
        for level, time, unit in rows:
            minutes = float(time) * (60 if unit == "h" else 1)
            self.assertAlmostEqual(minutes, 480 / 2 ** ((int(level) - 85) / 3))

    def test_the_page_fits_and_says_whom_to_ask_and_where_it_is_from(self):
        page = self.expect(GOOD, "care")
        for line in page.splitlines():
            self.assertLessEqual(len(line), 80, line)
        flat = " ".join(page.split())
        for words in ["no medical advice", "doctor", "physiotherapist", "audiologist",
                      "rules where you live", "hurts, tingles or goes numb", "NIOSH", "ITU-T H.870",
                      "Azar", "common practice, no source", "from memory"]:
            self.assertIn(words, flat)
        self.expect(USAGE, "care", "more")

    def test_reading_it_makes_no_history(self):
        self.expect(GOOD, "care")
        self.assertFalse((self.data / "evenhand").exists())

    def test_the_demo_player_is_told_nothing(self):
        page = self.expect(GOOD, "play", "single-strokes", "--demo", "--fast", "--bars", "1")
        self.assertTrue(page.startswith("Single strokes"), page)
        with sqlite3.connect(self.data / "evenhand" / "history.db") as db:
            self.assertEqual(db.execute("select count(*) from kept").fetchone(), (0,))


if __name__ == "__main__":
    main()
