"""The eight shipped exercises, typed out of their notation by hand as tables of strokes.

This is another route than the program's: nothing here reads the exercise files. A bar is its four
beats; a beat is cut into as many equal parts as it has letters (1, 2, 3, 4, 6 or 8): r and l are
strokes, R and L accented ones, a point is nothing. "rrllR..." is a beat of 32nds: two doubles and
an accent on the second eighth.
"""

import fractions

# Beats that come often.
S, T = "rlrl", "lrlr"           # single 16ths
D, E = "rrllrrll", "llrrllrr"   # a beat of open roll
A, B = "rrllR...", "llrrL..."   # a five-stroke roll
C, F = "R...llrr", "L...rrll"   # an accent, and the roll that leads into the next one

SINGLE_STROKES = [
    "rl rl rl rl", f"{S} {S} {S} {S}", "rl rl rl rl", f"{S} {S} {S} {S}",
    "rlr lrl rlr lrl", f"{S} {S} {S} {S}", "rlr lrl rlr lrl", f"{S} {S} {S} r",
    "lr lr lr lr", f"{T} {T} {T} {T}", "lrl rlr lrl rlr", f"{T} {T} {T} l",
    f"{S} rl {S} rl", f"rl {S} rl {S}", f"{S} {S} {S} {S}", f"{S} {S} r .",
]

DOUBLE_STROKES = [
    f"{S} {S} {S} {S}", f"{D} {D} {D} {D}", f"{S} {S} {S} {S}", f"{D} {D} {D} r",
    f"{T} {T} {T} {T}", f"{E} {E} {E} {E}", f"{T} {T} {T} {T}", f"{E} {E} {E} l",
    f"{S} {D} {S} {D}", f"{S} {D} {S} {D}", f"{D} {D} {D} {D}", f"{D} {D} {D} r",
    f"{T} {E} {T} {E}", f"{E} {E} {E} l", f"{D} {D} {D} {D}", f"{D} {D} {D} {D}",
    "r . . .",
]

FIVE_STROKE_ROLLS = [
    f"{A} . {B} .", f"{A} . {B} .", f"{A} {B} {A} {B}", f"{A} {B} {A} {B}",
    f"{A} lr {B} rl", f"{A} lr {B} rl", f"{C} {F} {C} {F}", f"{C} {F} {C} {F}",
    f"Rl rl {A} lr", f"Lr lr {B} rl", f"{A} {B} rl r...llrr", f"{F} {C} Lr lr",
    f"{B} {A} {B} {A}", f"{B} {A} {B} {A}", f"{F} {C} {F} {C}", "Lr lr lr l...rrll",
    "R . . .",
]

NINE_STROKE_ROLLS = [
    f"{D} R {E} L", f"{D} R {E} L", f"{D} Rl {D} Rl", f"{D} Rl r lr",
    f"{E} Lr {E} Lr", f"{E} Lr l rl", f"R {E} L {D}", f"R {E} L {D}",
    f"Rl rl {D} Rl", f"{D} Rl rl rl",
    "r...llrr llrrL... r...llrr llrrL...", "rl r...llrr llrrL... rl",
    f"{D} R {E} L", f"{D} Rl {D} Rl", f"R {E} L {D}", f"R {E} L {D}",
    "R . . .",
]

PARADIDDLES_WITH_ACCENTS = [
    "Rlrr Lrll Rlrr Lrll", "Rlrr Lrll Rlrr Lrll", "rLrr lRll rLrr lRll", "rLrr lRll rLrr lRll",
    "RLrr LRll RLrr LRll", "RLrr LRll RLrr LRll", "Rl Rlrr Lr Lrll", "Rl Rlrr Lr Lrll",
    "Rlrlrr Lrlrll Rlrlrr Lrlrll", "Rlrlrr Lrlrll Rlrlrr Lrlrll",
    "Rlrr Lrll Rlrr Lrll", "rLrr lRll rLrr lRll", "Rlrr Lrll rLrr lRll", "Rlrr Lrll rLrr lRll",
    "Rlrr Lrll Rlrr Lrll", "Rlrr Lrll Rlrl R",
]

ACCENTS_OVER_TAPS = [
    "Rlrl Rlrl Rlrl Rlrl", "Rlrl Rlrl Rlrl Rlrl", "rLrl rLrl rLrl rLrl", "rLrl rLrl rLrl rLrl",
    "rlRl rlRl rlRl rlRl", "rlrL rlrL rlrL rlrL", "RlrL rlRl RlrL rlRl", "RlrL rlRl RlrL rlRl",
    "Rlr Lrl Rlr Lrl", "Rlr Lrl Rlr Lrl", "rLr lRl rLr lRl", "rlR lrL rlR lrL",
    "Rlrl rLrl rlRl rlrL", "Rlrl rLrl rlRl rlrL", "RlrL rlRl RlrL rlRl", "Rlrl rLrl rlRl R",
]

CONCERT_ACCENT_LINE = [
    "Rr rlrl Rr rlrl", "Rlrl rlRl rlrl R", "rLrl rLrl rlrl Rlrl", "R.rl R.rl Rlrl r",
    "Rlrl rLrl rlRl rlrL", "RlrL rlRl rLrl r", "rlrl rlrl Rlrl Rlrl", "Rlrl Rlrl RR R",
    "Rlr Lrl Rlrl r", "rLr lRl rlrL r", "rLrl rlrL Rlrl rlRl", "Rlrl Rlrl rlrl rlrl",
    "R.rl R.rl rlrl Rlrl", "rlRl rlRl Rlrl Rlrl", "RlrL rlRl RlrL rlRl", "Rlrl rLrl R.rl rr",
    "R . . .",
]

WARM_UP = [
    "rr rr ll ll", "rr ll rr ll", "rl rl rl rl", f"{S} {S} {S} {S}", "rrll rrll rrll rrll",
    f"{S} {D} {S} {D}", f"{D} {D} {D} {D}", f"{D} {D} {D} r", f"{T} {E} {T} {E}",
    f"{E} {E} {E} {E}", f"{E} {E} l r",
]

# Level in dynamic steps from mf, as (bar, step at its beginning); between two points that are
# joined by a hairpin (True) it moves evenly. Concert accent line: p, mf in bar 5, p growing through
# bar 7 to f, p in bar 9, mf in 11, falling through 12 to p, growing through 14 to f.
MF_THROUGHOUT = [(1, 0, False)]
CONCERT_LINE = [(1, -2, False), (5, 0, False), (7, -2, True), (8, 1, False), (9, -2, False),
                (11, 0, False), (12, 0, True), (13, -2, False), (14, -2, True), (15, 1, False)]


class Exercise:
    def __init__(self, bars, tempos, style="rudimental", levels=None, once=None):
        self.bars, self.tempos, self.style = bars, tempos, style
        self.levels = levels or MF_THROUGHOUT
        self.once = once  # the bars that are not repeated, where every other one is

    def played(self):
        """The written bars in playing order."""
        for number in range(1, len(self.bars) + 1):
            yield number
            if self.once is not None and number not in self.once:
                yield number

    def strokes(self):
        """(quarter notes from the beginning, written bar, quarter in the bar, hand, accent)."""
        for place, bar in enumerate(self.played()):
            for beat, cells in enumerate(self.bars[bar - 1].split()):
                for index, cell in enumerate(cells):
                    if cell != ".":
                        in_bar = beat + fractions.Fraction(index, len(cells))
                        hand = "right" if cell in "rR" else "left"
                        yield 4 * place + in_bar, bar, in_bar, hand, cell.isupper()

    def step(self, bar, in_bar):
        """The level in dynamic steps from mf."""
        place = max(index for index, row in enumerate(self.levels) if row[0] <= bar)
        first, step, hairpin = self.levels[place]
        if not hairpin:
            return step
        last, target, _ = self.levels[place + 1]
        share = (bar - first + float(in_bar) / 4) / (last - first)
        return step + share * (target - step)


EXERCISES = {
    "single-strokes": Exercise(SINGLE_STROKES, (70, 132)),
    "double-strokes": Exercise(DOUBLE_STROKES, (70, 120)),
    "five-stroke-rolls": Exercise(FIVE_STROKE_ROLLS, (70, 120)),
    "nine-stroke-rolls": Exercise(NINE_STROKE_ROLLS, (70, 120)),
    "paradiddles-with-accents": Exercise(PARADIDDLES_WITH_ACCENTS, (70, 120)),
    "accents-over-taps": Exercise(ACCENTS_OVER_TAPS, (70, 120)),
    "concert-accent-line": Exercise(CONCERT_ACCENT_LINE, (70, 112), "concert", CONCERT_LINE),
    "warm-up-singles-to-roll": Exercise(WARM_UP, (70, 120), once={8, 11}),
}
