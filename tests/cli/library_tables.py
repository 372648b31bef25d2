"""Pieces of the library, typed out of their notation by hand as tables of strokes: both etudes, and
exercises for rolls of doubles, rolls of presses, drags.

Another route than the program's: nothing here reads the exercise files. A bar is its four beats, a
beat is cut into as many equal parts as it has cells, as in stroke_tables.py. A cell may have grace
notes in brackets before it and a z, for a press, behind it: "(ll)rlrL..", "rzlzr.".
"""

import re

import rudiment_tables
import stroke_tables
from stroke_tables import A, B, D, E, S, T

CELL = re.compile(r"(?:\(([rl]+)\))?([rlRL.])(z?)")

P, C = "rzlzrzlz", "lzrzlzrz"        # a beat of presses
Q, K = "(ll)rlrL..", "(rr)lrlR.."    # a ratamacue
X, Y = "rrllrr", "llrrll"            # a beat of doubled triplets

ROLLS_ON_16THS = [
    "rlR. lrL. rlR. lrL.", f"{A} {B} {A} {B}", "rlrL rlrL rlrL rlrL",
    "rrllrrL. rrllrrL. rrllrrL. rrllrrL.", f"{S} R {T} L", f"{D} R {E} L",
    f"{S} rL.. {S} rL..", f"{D} rrL..... {D} rrL.....", f"{S} rlR. {T} lrL.", f"{D} {A} {E} {B}",
    f"{S} rlrL {S} rlrL", f"{D} rrllrrL. {D} rrllrrL.", f"{S} {S} R .", f"{D} {D} R .",
    f"{T} {T} L .", f"{E} {E} L .", f"{A} {E} L rl", f"{D} {A} {E} L", f"{D} {D} R .",
    f"{E} {E} L .",
]

ROLLS_ON_TRIPLETS = [
    "rlr lrl rlr lrl", "rlr lrl rlr l", "rlR lrL rlR lrL", "rrllR. llrrL. rrllR. llrrL.",
    "rlr L rlr L", f"{X} L {X} L", "lrl R lrl R", f"{Y} R {Y} R",
    "rlr lR. lrl rL.", f"{X} llR... {Y} rrL...", "rlr lrL rlr lrL", f"{X} llrrL. {X} llrrL.",
    f"{X} {Y} R .", f"{Y} {X} L .", f"{X} {Y} rrL... .", f"{X} {Y} rrL... .",
    f"{X} {Y} rrllR. .", f"{Y} {X} llrrL. .", f"rrllR. llrrL. {X} Lrl", f"{X} {Y} R L",
]

BUZZ_ON_16THS = [
    f"{S} {S} {S} r", f"{P} {P} {P} r", f"{T} {T} {T} l", f"{C} {C} {C} l",
    f"{S} r {S} r", f"{P} r {P} r", "rlr. rlr. rlr. rlr.", "rzlzr. rzlzr. rzlzr. rzlzr.",
    f"r.rl {S} r .", f"r.rzlz {P} r .", f"{S} {S} {S} r", f"{P} {P} {P} r",
    f"{S} {S} {S} {S}", f"{S} {S} r .", f"{P} {P} {P} {P}", f"{P} {P} r .",
]

RATAMACUES = [
    "rlrL.. lrlR.. rlrL.. lrlR..", f"{Q} {K} {Q} {K}",
    "(ll)r..(ll)rlr L. (rr)l..(rr)lrl R.", "(ll)r..(ll)rlr L. (rr)l..(rr)lrl R.",
    f"(ll)r(ll)r {Q} (rr)l(rr)l {K}", f"(ll)r(ll)r {Q} (rr)l(rr)l {K}",
    f"(ll)r(ll)r {Q} (rr)l..(rr)lrl Rl", f"{K} {Q} (rr)lR L",
    f"(rr)l(rr)l {K} (ll)r..(ll)rlr Lr", f"{Q} {K} (ll)rL R",
    f"{Q} {A} {K} {B}", f"{Q} {A} {K} .",
]

CONCERT_ETUDE = [
    f"R.rl rr {P} r", "R.rl rr rlRl r", f"R.rl rr {P} r.rl", "Rlrl rR ..rl Rlrl",
    f"R.rl rR {P} rR", "Rlrl rlRl R.rl r", "rlrl Rlrl rlRl Rlrl", f"{P} {P} R .",
    "Rlr lrl r .", "Rlr Lrl R.rl r", f"rlr Lrl {P} r", f"Rlr Lrl {P} {P}",
    "R.rl rlr Lrl r", "Rlr Lrl R.rl rr", "rlr lrl Rlr Lrl", f"{P} {P} {P} R",
    "RlrL rlRl R.rl r", "RlrL rlRl R.rl r", f"..rL rlRl {P} R", f"..rL rlRl {P} R",
    ".lRl .lRl Rlrl r", ".lRl .lRl RlrL rlRl", "R.rl Rlrl rlRl rlrl", f"{P} {P} {P} {P}",
    f"R.rl rr {P} r", f"R.rl rR {P} r.rl", "R.rl Rlrl R.rl Rlrl", "Rlrl rlRl RlrL rlRl",
    "R.rl rR RlrL rlRl", f"R.rl rR {P} {P}", f"{P} {P} {P} {P}", "R ..rl R .",
]
# p; mf in 5, growing through 7 to f; pp in 9, p in 13, growing through 15 to mf; f and p in turn
# from 17 to 20; mf in 21, falling through 23 to p and through 24 to pp; p in 27, growing through
# two bars to f, and through 31 to ff.
CONCERT_LEVELS = [(1, -2, False), (5, 0, False), (7, 0, True), (8, 1, False), (9, -3, False),
                  (13, -2, False), (15, -2, True), (16, 0, False), (17, 1, False), (18, -2, False),
                  (19, 1, False), (20, -2, False), (21, 0, False), (23, 0, True), (24, -2, True),
                  (25, -3, False), (27, -2, True), (29, 1, False), (31, 1, True), (32, 2, False)]

RUDIMENTAL_ETUDE = [
    "Rlrr Lrll Rlrl Rl", f"{A} {B} Rlrr Lrll", "Rlrr Lrll R.l.rrll Rl", f"{A} {B} {D} Rl",
    "(l)R.lr Lrll (l)R.lr Lrll", f"(l)Rlrr (r)Lrll (l)Rl {A}",
    "(r)L.rl Rlrr (r)L.rl Rlrr", f"(r)Lrll (l)Rlrr (r)Lr {B}",
    f"{D} Rl {D} Rl", "R...llrr llrrL... Rlrr Lrll", "R.ll rrL. R.ll rrL.", f"{D} {D} Rl R",
    "(l)Rlr (r)Lrl (l)Rlr (r)Lrl", f"(l)Rlr {Y} Rlr lrl", "(l)Rlr (r)Lrl Rlr Lrl",
    f"Rlr {Y} Rlr {Y}",
    "RlrL rlRl RLrr Lrll", f"RlrL rlRl {D} Rl", "R.llrrL. rrllR.l. RLrr Lrll",
    f"R.llrrL. rrllR.ll {D} Rl",
    "(ll)rL (rr)lR Lrlr Lr", f"{K} {Q} Rlrr Lrl.", f"{Q} {K} Lrlr Lr", f"(rr)lR (ll)rL {D} Rl",
    "(l)Rlrr (r)Lrll Rlrl Rl", f"{A} {B} (l)Rlrr (r)Lrll", "R.l.rrll R.l.rrll R.l.rrll Rl",
    f"{D} {A} {E} Lr",
    "L.r.llrr L.r.llrr Lrll Rlrr", f"llrrL.r. llrrL.r. {E} L...rrll",
    "R.llrrL. rrllR.ll rrL.rrll R.l.rrll", "R...llrr L...rrll R .",
]
# mf; p in 13, growing through 16 to mf; growing through 28 to f.
RUDIMENTAL_LEVELS = [(1, 0, False), (13, -2, False), (16, -2, True), (17, 0, False),
                     (28, 0, True), (29, 1, False)]


class Piece(stroke_tables.Exercise):
    metre = (4, 4)

    def strokes(self):
        """Rows of rudiment_tables.Stroke."""
        for bar, beats in enumerate(self.bars, 1):
            assert len(beats.split()) == 4, f"bar {bar}"
            for beat, text in enumerate(beats.split()):
                cells = CELL.findall(text)
                assert "".join(f"({g})" * bool(g) + c + z for g, c, z in cells) == text, text
                for index, (graces, letter, buzz) in enumerate(cells):
                    if letter != ".":
                        in_bar = beat + rudiment_tables.F(index, len(cells))
                        yield rudiment_tables.Stroke(
                            4 * (bar - 1) + in_bar, bar, in_bar,
                            "right" if letter in "rR" else "left", letter.isupper(), graces,
                            bool(buzz))


PIECES = {
    "rolls-on-16ths": Piece(ROLLS_ON_16THS, (70, 120)),
    "rolls-on-triplets": Piece(ROLLS_ON_TRIPLETS, (80, 140)),
    "buzz-on-16ths": Piece(BUZZ_ON_16THS, (76, 112), "concert",
                           [(1, 0, False), (11, -2, False), (13, 0, False)]),
    "ratamacues": Piece(RATAMACUES, (50, 108)),
    "concert-etude": Piece(CONCERT_ETUDE, (76, 108), "concert", CONCERT_LEVELS),
    "rudimental-etude": Piece(RUDIMENTAL_ETUDE, (70, 120), levels=RUDIMENTAL_LEVELS),
}
