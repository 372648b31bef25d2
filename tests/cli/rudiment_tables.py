"""The 40 standard rudiments as a table typed from the published lists, and the exercises made of
them: another route than the program's, nothing here reads the exercise files.

Names, numbers and families: the list of 40 International Drum Rudiments that the Percussive Arts
Society adopted in 1984. The printed sheet was not at hand. Where a row's order of strokes and its
accents come from:
  A  the CPAN module MIDI::Simple::Drummer::Rudiments, which names the same 40
  B  a published page of the trade that agrees with A, or that is followed against A: PAGES
  M  from memory: compare with the printed sheet before relying on it
Which hand begins the next figure (ALT: the other one, SAME: the same), and the note values, are
from memory where A and B are silent. The comment beside a row names what was decided where two
published readings differ.

A figure begins with the right hand. It is cut into cells of equal length: r and l are strokes, R
and L accented ones, small letters in brackets the grace notes before the stroke that follows, a
point is nothing.
"""

import fractions
import re
from typing import NamedTuple

ALT, SAME = "alternates", "same hand"
ROLLS, DIDDLES, FLAMS, DRAGS = "rolls", "diddles", "flams", "drags"


class Row(NamedTuple):
    number: int
    name: str
    family: str
    source: str
    figure: str
    quarters: fractions.Fraction  # how long the figure is
    repeat: str
    # The exercise: FIGURES in a row with the right hand leading, then the stroke that closes the
    # phrase ("" for a rest), led by whichever hand is on turn; the same again with the left hand
    # leading. A phrase is BARS long.
    figures: int
    close: str
    bars: int
    metre: tuple
    tempos: tuple  # to start with, to aim at


F = fractions.Fraction
HALF, ONE, DOTTED, TWO, THREE = F(1, 2), F(1), F(3, 2), F(2), F(3)
FOUR_FOUR, THREE_FOUR, SIX_EIGHT = (4, 4), (3, 4), (6, 8)


def row(number, name, family, source, figure, quarters, repeat, figures, close, tempos,
        bars=4, metre=FOUR_FOUR):
    return Row(number, name, family, source, figure, quarters, repeat, figures, close, bars, metre,
               tempos)


ROWS = [
    row(1, "single-stroke-roll", ROLLS, "A", "rlrl", ONE, SAME, 15, "r", (70, 140)),
    # A accents the last stroke of 2 and of 3; printed lists do not (M).
    row(2, "single-stroke-four", ROLLS, "A", "rlrl..", ONE, SAME, 15, "r", (60, 110)),
    # Repeats on either hand (M): single strokes go on alternating.
    row(3, "single-stroke-seven", ROLLS, "A", "rlrlrlr.....", TWO, ALT, 7, "r", (60, 110)),
    # Every stroke a buzz: BUZZES below.
    row(4, "multiple-bounce-roll", ROLLS, "B", "rlrl", ONE, SAME, 15, "r", (80, 110)),
    row(5, "triple-stroke-roll", ROLLS, "A", "rrrlll", TWO, SAME, 7, "r", (60, 130)),
    row(6, "double-stroke-open-roll", ROLLS, "A", "rrllrrll", ONE, SAME, 15, "r", (60, 110)),
    row(7, "five-stroke-roll", ROLLS, "A", "rrllR...", ONE, ALT, 15, "", (60, 120)),
    # Accents on the first and last stroke (A) or on the first and fourth (a page): A.
    row(8, "six-stroke-roll", ROLLS, "A", "R.llrrL.", TWO, SAME, 7, "", (70, 140)),
    row(9, "seven-stroke-roll", ROLLS, "A", "rrllrrL.....", TWO, SAME, 7, "r", (70, 140)),
    row(10, "nine-stroke-roll", ROLLS, "A", "rrllrrllR.......", TWO, ALT, 7, "", (60, 120)),
    row(11, "ten-stroke-roll", ROLLS, "B", "rrllrrllR.L.....", TWO, SAME, 7, "r", (60, 110)),
    row(12, "eleven-stroke-roll", ROLLS, "A", "rrllrrllrrL.....", TWO, SAME, 7, "r", (60, 110)),
    row(13, "thirteen-stroke-roll", ROLLS, "A", "rrllrrllrrllR...", TWO, ALT, 7, "", (60, 110)),
    row(14, "fifteen-stroke-roll", ROLLS, "A", "rrllrrllrrllrrL.", TWO, SAME, 7, "r", (60, 110)),
    row(15, "seventeen-stroke-roll", ROLLS, "A", "rrllrrllrrllrrllR.......", THREE, ALT, 7, "",
        (70, 120), 8, THREE_FOUR),

    row(16, "single-paradiddle", DIDDLES, "A", "Rlrr", ONE, ALT, 15, "R", (60, 130)),
    row(17, "double-paradiddle", DIDDLES, "A", "Rlrlrr", ONE, ALT, 15, "R", (50, 100)),
    row(18, "triple-paradiddle", DIDDLES, "A", "Rlrlrlrr", TWO, ALT, 15, "R", (60, 130), 8),
    # Repeats on the same hand (B) or alternates (A): B.
    row(19, "single-paradiddle-diddle", DIDDLES, "B", "Rlrrll", ONE, SAME, 15, "R", (50, 110)),

    row(20, "flam", FLAMS, "A", "(l)r", HALF, ALT, 30, "", (50, 110)),
    row(21, "flam-accent", FLAMS, "A", "(l)Rlr", ONE, ALT, 15, "(l)R", (70, 150)),
    row(22, "flam-tap", FLAMS, "A", "(l)Rr", HALF, ALT, 30, "(l)R", (50, 100)),
    row(23, "flamacue", FLAMS, "A", "(l)rLrl(l)r...", TWO, ALT, 7, "", (60, 120)),
    row(24, "flam-paradiddle", FLAMS, "A", "(l)Rlrr", ONE, ALT, 15, "(l)R", (50, 110)),
    row(25, "single-flammed-mill", FLAMS, "B", "(l)Rrlr", ONE, ALT, 15, "(l)R", (50, 110)),
    row(26, "flam-paradiddle-diddle", FLAMS, "A", "(l)Rlrrll", ONE, ALT, 15, "(l)R", (50, 100)),
    row(27, "pataflafla", FLAMS, "B", "(l)Rlr(r)L", ONE, SAME, 15, "(l)R", (45, 95)),
    # Flam, tap, tap and the accent are A's; the hands are from memory.
    row(28, "swiss-army-triplet", FLAMS, "M", "(l)Rrl", ONE, SAME, 15, "(l)R", (70, 150)),
    # Against A, whose code has an order that no sheet has (M).
    row(29, "inverted-flam-tap", FLAMS, "B", "(l)Rl", HALF, ALT, 30, "(l)R", (45, 90)),
    # Accent on the flam only (common) or on the last tap, too (A): the flam only.
    row(30, "flam-drag", FLAMS, "B", "(l)R.llr.", ONE, ALT, 15, "(l)R", (60, 120)),

    row(31, "drag", DRAGS, "A", "(ll)r", HALF, ALT, 30, "", (50, 100)),
    row(32, "single-drag-tap", DRAGS, "A", "(ll)rL", ONE, ALT, 15, "", (60, 120)),
    row(33, "double-drag-tap", DRAGS, "A", "(ll)r(ll)rL", DOTTED, ALT, 15, "", (75, 150), 8,
        SIX_EIGHT),
    # Against A, whose figure is shorter.
    row(34, "lesson-25", DRAGS, "B", "(ll)rlR.", ONE, SAME, 15, "", (60, 120)),
    # The accent, which stands over the double: on the first of its strokes (M).
    row(35, "single-dragadiddle", DRAGS, "B", "Rrl.r.r.", ONE, ALT, 15, "R", (50, 100)),
    row(36, "drag-paradiddle-no-1", DRAGS, "A", "R.(ll)rlrr", DOTTED, ALT, 15, "R", (75, 140), 8,
        SIX_EIGHT),
    # Against A, which repeats no. 1.
    row(37, "drag-paradiddle-no-2", DRAGS, "B", "R.(ll)r.(ll)rlrr", TWO, ALT, 15, "R",
        (60, 120), 8),
    row(38, "single-ratamacue", DRAGS, "A", "(ll)rlrL..", ONE, ALT, 15, "", (50, 110)),
    # A accents the first drag, too; printed sheets only the last stroke (M).
    row(39, "double-ratamacue", DRAGS, "A", "(ll)r..(ll)rlrL..", DOTTED, ALT, 15, "", (75, 150), 8,
        SIX_EIGHT),
    row(40, "triple-ratamacue", DRAGS, "A", "(ll)r..(ll)r..(ll)rlrL..", TWO, ALT, 7, "",
        (50, 110)),
]

# The pages that B stands for, as far as their addresses were kept.
PAGES = {
    4: "vicfirth.zildjian.com/education (name and number)",
    8: "sandiegomoderndrumlessons.blogspot.com (rhythm)",
    11: "skillzdrumlessons.com, no. 11",
    19: "an article on the inversions of paradiddles, without a reliable address",
    25: "historicdrumming.com",
    27: "Modern Drummer, May/June 2015; bloomdrums.com",
    29: "moderndrummer.com/?p=401825",
    30: "imparalabatteria.com",
    34: "skillzdrumlessons.com, no. 34",
    35: "40drumrudiments.com/single-dragadiddle",
    37: "a lesson's page, dragadiddle-2, without its full address",
}

BUZZES = "multiple-bounce-roll"  # all but the closing strokes

SWAP = str.maketrans("rlRL", "lrLR")
CELL = re.compile(r"(?:\(([rl]+)\))?([rlRL.])")


class Stroke(NamedTuple):
    at: fractions.Fraction  # quarter notes from the beginning
    bar: int                # from 1
    in_bar: fractions.Fraction
    hand: str               # "right", "left"
    accent: bool
    graces: str             # "ll" before a drag of the right hand
    buzz: bool


def cells(text):
    """(grace notes, letter) of each cell."""
    assert "".join(match.group(0) for match in CELL.finditer(text)) == text
    return [match.groups(default="") for match in CELL.finditer(text)]


def led_by(hand, text):
    return text if hand == "r" else text.translate(SWAP)


class RudimentExercise:
    """The same face as stroke_tables.Exercise."""

    style = "rudimental"

    def __init__(self, rudiment):
        self.row = rudiment
        self.tempos = rudiment.tempos
        self.metre = rudiment.metre
        self.bar_length = fractions.Fraction(4 * rudiment.metre[0], rudiment.metre[1])
        self.bars = [None] * (2 * rudiment.bars)

    def phrase(self, leading):
        """(place, grace notes, letter, buzz)"""
        hand = leading
        for index in range(self.row.figures):
            figure = cells(led_by(hand, self.row.figure))
            for cell, (graces, letter) in enumerate(figure):
                if letter != ".":
                    yield (self.row.quarters * (index + fractions.Fraction(cell, len(figure))),
                           graces, letter, self.row.name == BUZZES)
            if self.row.repeat == ALT:
                hand = hand.translate(SWAP)
        for graces, letter in cells(led_by(hand, self.row.close)):
            yield self.row.quarters * self.row.figures, graces, letter, False

    def strokes(self):
        for phrase, leading in enumerate("rl"):
            begin = phrase * self.row.bars * self.bar_length
            for place, graces, letter, buzz in self.phrase(leading):
                at = begin + place
                bar = at // self.bar_length
                yield Stroke(at, int(bar) + 1, at - bar * self.bar_length,
                             "right" if letter in "rR" else "left", letter.isupper(), graces, buzz)

    def step(self, _bar, _in_bar):
        return 0


RUDIMENTS = {rudiment.name: RudimentExercise(rudiment) for rudiment in ROWS}
