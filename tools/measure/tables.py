"""Makes readable tables of the bench's results.

usage: tables.py FOLDER [--docs FOLDER --command WORDS [--commit ID]]
"""

import argparse
import math
import sys

import figures as fig
import page
import pictures
import targets


# ---- Which hit was which stroke ----

def known_text(rows, presses, how):
    """F of the matcher that knows, and the judge's on the same runs: those without presses, or those with."""
    asked = [row for row in rows if row["played_known"] and bool(row["presses"]) == presses]
    if not asked:
        return "-"
    return f"{fig.f_known(asked, how):.4f} / {fig.f_of(asked, how):.4f}"


def align_row(name, rows):
    judged = fig.total(rows, "runs") - fig.total(rows, "refused") - fig.total(rows, "failed")
    worst = min(row["worst_heard"] for row in rows)
    return [name, int(fig.total(rows, "runs")),
            *(f"{fig.f_of(rows, how):.4f}" for how in ("strict", "same", "heard", "near")),
            *(known_text(rows, presses, how) for presses in (False, True) for how in ("strict", "near")),
            f"{fig.precision(rows, 'heard'):.4f}", f"{fig.recall(rows, 'heard'):.4f}",
            f"{100 * fig.total(rows, 'below_heard') / judged:.1f}" if judged else "-",
            f"{worst:.3f}",
            f"{100 * fig.total(rows, 'named') / judged:.0f}" if judged else "-",
            f"{100 * fig.total(rows, 'called') / judged:.0f}" if judged else "-",
            int(fig.total(rows, "refused"))]


ALIGN_HEADINGS = ["course", "runs", "F strict", "F same", "F heard", "F near", "known / judge",
                  "near: known / judge", "presses, strict: known / judge", "presses, near: known / judge", "precision",
                  "recall", "below .99 %", "worst", "named %", "any course %", "refused"]


def align_by_course(all_rows, player):
    lines = []
    rows = fig.pick(all_rows, player=player)
    for entry in fig.values(rows, "entry"):
        for course in fig.values(rows, "course"):
            for mixture in fig.values(rows, "mixture"):
                some = fig.pick(rows, entry=entry, course=course, mixture=mixture)
                if some and course != "other-exercise":
                    name = mixture if course == "straight" else course
                    name += " (file)" if entry == "file" else ""
                    lines.append(align_row(name, some))
    return fig.table(ALIGN_HEADINGS, lines) if lines else ""


def align_grid(rows, how="heard"):
    """F by exercise and tempo: straight courses left, changed courses right of the stroke."""
    tempos = fig.values(rows, "bpm")
    lines = []
    for exercise in fig.values(rows, "exercise"):
        line = [exercise]
        for bpm in tempos:
            cell = fig.pick(rows, exercise=exercise, bpm=bpm, entry="practice")
            straight = fig.pick(cell, course="straight")
            changed = [row for row in cell if row["course"] not in ("straight", "other-exercise")]
            line.append(f"{fig.f_of(straight, how):.4f} / {fig.f_of(changed, how):.4f}")
        lines.append(line)
    return fig.table(["F straight / changed", *(f"{bpm:g}" for bpm in tempos)], lines)


ALIKE = (0, 0.6, fig.ALIKE_LEAST, 0.9, 1.01)


def other_exercise(rows):
    """By how much of the exercise that was played would fit anyway."""
    lines = []
    for entry in fig.values(rows, "entry"):
        some = fig.pick(rows, course="other-exercise", entry=entry)
        for low, high in zip(ALIKE, ALIKE[1:]):
            part = [row for row in some if low <= row["alike"] < high]
            if part:
                lines.append([f"{entry}, {100 * low:g} to {100 * min(high, 1):g} % go together",
                              int(fig.total(part, "runs")), fig.share(part, "refused", "runs")])
    right = [row for row in rows if row["course"] != "other-exercise"]
    for player in fig.values(right, "player"):
        some = fig.pick(right, player=player)
        lines.append([f"the right one, {player}", int(fig.total(some, "runs")),
                      fig.share(some, "refused", "runs")])
    return fig.table(["exercise", "runs", "said to be another %"], lines) if lines else ""


# ---- Faults ----

def played_at(rows, size):
    """The faults that were asked for at SIZE: those that hands can play."""
    return fig.values(fig.pick(rows, size=size), "fault")


def detect_rows(rows, strokes, size):
    lines = []
    for fault in played_at(rows, size):
        line = [fault]
        for player in ("professional", "learner"):
            some = fig.pick(rows, fault=fault, strokes=strokes, size=size, player=player)
            line += [int(fig.total(some, "runs")), fig.share(some, "right", "runs")] if some else [
                0, "-"]
        lines.append(line)
    return lines


def detect_table(rows, strokes, size):
    lines = detect_rows(rows, strokes, size)
    return fig.table(["fault", "runs", "professional: found %", "runs", "learner: found %"], lines)


def detect_by_tempo(rows, strokes, size, player):
    tempos = fig.values(rows, "bpm")
    lines = []
    for fault in played_at(rows, size):
        line = [fault]
        for bpm in tempos:
            some = fig.pick(rows, fault=fault, strokes=strokes, size=size, player=player, bpm=bpm)
            n = fig.total(some, "runs")
            line.append(f"{100 * fig.total(some, 'right') / n:.1f}" if n else "-")
        lines.append(line)
    return fig.table([f"{player}, found %", *(f"{bpm:g}" for bpm in tempos)], lines)


def detect_largest(rows):
    """Faults that no hand can play at twice the tolerance, at the largest size that one can."""
    lines = []
    for fault in fig.values(rows, "fault"):
        mine = fig.pick(rows, fault=fault)
        size = max(fig.values(mine, "size"))
        for strokes in sorted(set(fig.values(mine, "strokes"))) if size < 2.0 else ():
            line = [fault, f"{size:g}", f"{strokes:g}"]
            for player in ("professional", "learner"):
                some = fig.pick(mine, strokes=strokes, size=size, player=player)
                line += [int(fig.total(some, "runs")), fig.share(some, "right", "runs")]
            lines.append(line)
    return fig.table(["fault", "tolerances", "strokes a hand", "runs", "professional: found %",
                      "runs", "learner: found %"], lines) if lines else ""


# ---- Players without a fault ----

def clean_table(rows):
    lines = []
    for aspect in fig.values(rows, "aspect"):
        line = [aspect]
        for player in ("professional", "learner"):
            some = fig.pick(rows, aspect=aspect, player=player)
            worst = max(some, key=lambda row: row["alarms"] / row["runs"], default=None)
            line += [int(fig.total(some, "runs")), fig.share(some, "alarms", "runs"),
                     f"{100 * worst['alarms'] / worst['runs']:.1f} {worst['exercise']} "
                     f"{worst['bpm']:g}" if worst and worst["alarms"] else "-"]
        lines.append(line)
    return fig.table(["false alarms", "runs", "professional %", "worst cell", "runs", "learner %",
                      "worst cell"], lines)


def unclear_table(rows):
    lines = []
    for aspect in fig.values(rows, "aspect"):
        line = [aspect]
        for player in ("professional", "learner"):
            some = fig.pick(rows, aspect=aspect, player=player)
            worst = max(some, key=lambda row: row["unclear"] / row["runs"], default=None)
            line += [fig.share(some, "unclear", "runs"),
                     f"{100 * worst['unclear'] / worst['runs']:.0f} {worst['exercise']} "
                     f"{worst['bpm']:g}" if worst and worst["unclear"] else "-"]
        lines.append(line)
    return fig.table(["unclear", "professional %", "worst cell", "learner %", "worst cell"], lines)


def too_few(rows):
    """What the first eight bars of a shipped exercise mostly leave unclear."""
    lines = []
    for exercise in fig.values(fig.pick(rows, bars=8.0), "exercise"):
        some = fig.pick(rows, exercise=exercise, bars=8.0, player="professional")
        unclear = []
        for aspect in fig.values(some, "aspect"):
            mine = fig.pick(some, aspect=aspect)
            if fig.total(mine, "unclear") > 0.5 * fig.total(mine, "runs"):
                unclear.append(aspect)
        if unclear:
            lines.append([exercise, ", ".join(unclear)])
    return fig.table(["bars 1 to 8", "mostly unclear"], lines)


def cover_table(rows):
    lines = []
    for aspect in fig.values(rows, "aspect"):
        line = [aspect]
        for player in ("professional", "learner"):
            some = fig.pick(rows, aspect=aspect, player=player)
            n = fig.total(some, "measured")
            if not n:
                line += ["-", "-", "-"]
                continue
            bias = fig.total(some, "error_sum") / n
            line += [int(n), fig.share(some, "covered", "measured"),
                     f"{bias:+.3g} +- {math.sqrt(fig.total(some, 'error_squares') / n):.3g}"]
        if line[1] != "-" or line[4] != "-":
            lines.append(line)
    return fig.table(["covered", "n", "professional %", "error", "n", "learner %", "error"], lines)


LEVELS = ("tap-level", "hand-level", "diddle-level", "accent", "grace-level", "dynamics", "hairpin")


def cover_pads_table(rows):
    """Intervals of levels, by what the judge was told of the pad's law."""
    pads = [pad for pad in fig.values(rows, "pad")
            if pad == "good" or pad.endswith(("-known", "-told", "-calibrated"))]
    pads = [pad for pad in pads if not pad.startswith("floor")]
    lines = []
    for player in ("professional", "learner"):
        for aspect in LEVELS:
            line = [f"{aspect}, {player}"]
            for pad in pads:
                some = fig.pick(rows, pad=pad, aspect=aspect, player=player)
                n = fig.total(some, "measured")
                line.append(f"{100 * fig.total(some, 'covered') / n:.1f} ({n:.0f})" if n else "-")
            lines.append(line)
    return fig.table(["covered % (n)", *pads], lines)


# ---- Pads ----

def pads_table(detect, clean):
    """By pad: aspects with false alarms or often unclear, faults that are not found."""
    lines = []
    for pad in fig.values(clean, "pad"):
        alarms, unclear, lost = [], [], []
        for aspect in fig.values(clean, "aspect"):
            some = fig.pick(clean, pad=pad, aspect=aspect, player="professional", bpm=120.0)
            n = fig.total(some, "runs")
            if n and fig.total(some, "alarms") > 0.01 * n:
                alarms.append(f"{aspect} {100 * fig.total(some, 'alarms') / n:.0f}")
            if n and fig.total(some, "unclear") > 0.05 * n:
                unclear.append(f"{aspect} {100 * fig.total(some, 'unclear') / n:.0f}")
        on_pad = fig.pick(detect, pad=pad, strokes=32.0, size=2.0, player="professional", bpm=120.0)
        for fault in fig.values(on_pad, "fault"):
            some = fig.pick(on_pad, fault=fault)
            found = 100 * fig.total(some, "right") / fig.total(some, "runs")
            if found < 95:
                lost.append(f"{fault} {found:.0f}")
        lines.append([pad, ", ".join(alarms) or "-", ", ".join(unclear) or "-",
                      ", ".join(lost) or "-"])
    return fig.table(["pad", "false alarms above 1 %", "unclear above 5 %",
                      "twice the tolerance found below 95 %"], lines)


def say(title, text):
    if text:
        print(f"\n{title}\n\n{text}")


def print_align(rows):
    if rows:
        for player in fig.values(rows, "player"):
            say(f"Which hit was which stroke, by course: {player}", align_by_course(rows, player))
            say(f"By exercise and tempo: {player}", align_grid(fig.pick(rows, player=player)))
        say("Another exercise altogether", other_exercise(rows))


def print_detect(rows):
    for pad in fig.values(rows, "pad"):
        on_pad = fig.pick(rows, pad=pad)
        for strokes in fig.values(on_pad, "strokes"):
            for size in fig.values(on_pad, "size"):
                if size in (1.0, 2.0):
                    say(f"Faults of {size:g} times the tolerance, {strokes:g} strokes a hand, "
                        f"pad {pad}", detect_table(on_pad, strokes, size))
        say(f"Faults as large as hands can play them, pad {pad}", detect_largest(on_pad))
        for strokes in fig.values(on_pad, "strokes"):
            if pad == "good":
                say(f"The same by tempo: {strokes:g} strokes a hand, twice the tolerance",
                    detect_by_tempo(on_pad, strokes, 2.0, "professional"))


def print_clean(rows):
    if len(fig.values(rows, "pad")) > 1:
        say("Intervals of levels, by pad", cover_pads_table(targets.composed(rows)))
    for pad in fig.values(rows, "pad"):
        on_pad = fig.pick(rows, pad=pad)
        say(f"Players without a fault, pad {pad}", clean_table(on_pad))
        say("", unclear_table(on_pad))
        say("", cover_table(on_pad))


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("folder")
    parser.add_argument("--docs")
    parser.add_argument("--command", default="tools/measure-judge")
    parser.add_argument("--commit", help="what was measured, where it is not what is there now")
    options = parser.parse_args()
    align = fig.read(options.folder, "align.csv")
    detect = fig.read(options.folder, "detect.csv")
    clean = fig.read(options.folder, "clean.csv")
    if options.docs:
        page.write(options.docs, options.command, options.commit, sys.modules[__name__], align, detect, clean)
        pictures.draw_all(align, detect, clean, options.docs)
        return
    print_align(align)
    print_detect(detect)
    print_clean(clean)


if __name__ == "__main__":
    main()
