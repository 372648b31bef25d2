"""What is asked of the judge, and whether the bench's figures reach it."""

import figures as fig

MIXED = ("missed-5%", "extra-5%", "echoes-3%", "drift+5%", "drift-5%", "delay-40ms", "all+5%",
         "all-5%")


def met(good):
    return "yes" if good else "**no**"


PLAYERS = ("professional", "learner")


def percent(rows, hits, n):
    return 100 * fig.total(rows, hits) / fig.total(rows, n)


def line(asked, cells, n):
    """CELLS: text and whether it is met, for each player; None where nothing was measured."""
    said = [f"{cell[0]}: {met(cell[1])}" if cell else "-" for cell in cells]
    return [asked, *said, f"{n:g}"]


def align_rows(align, wanted, rows_of, least, how):
    lines = []
    for name in wanted:
        cells = []
        some = rows_of(align, name)
        for player in PLAYERS:
            mine = fig.pick(some, player=player)
            if not mine:
                cells.append(None)
                continue
            fs = [fig.f_of(mine, strictness) for strictness in how]
            cells.append((" / ".join(f"{f:.4f}" for f in fs), fs[-1] >= least))
        if some:
            lines.append(line(f"F >= {least:g}, {name}", cells, fig.total(some, "runs")))
    return lines


def mixed(align, name):
    return fig.pick(align, mixture=name, course="straight", entry="practice")


def changed(align, name):
    return fig.pick(align, course=name, entry="practice")


def other_rows(align):
    lines = []
    for entry in fig.values(fig.pick(align, course="other-exercise"), "entry"):
        some = fig.pick(align, course="other-exercise", entry=entry)
        some = [row for row in some if row["alike"] < fig.ALIKE_LEAST]
        if some:
            said = percent(some, "refused", "runs")
            lines.append(line(f"another exercise is said to be one, {entry}",
                              [(f"{said:.1f} %", said == 100.0), None], fig.total(some, "runs")))
    right = [row for row in align if row["course"] != "other-exercise"]
    cells = [fig.pick(right, player=player) for player in PLAYERS]
    shares = [percent(some, "refused", "runs") if some else None for some in cells]
    if right:
        lines.append(line("the right exercise is said to be another in <= 0.2 % of runs",
                          [None if share is None else (f"{share:.2f} %", share <= 0.2)
                           for share in shares], fig.total(right, "runs")))
    return lines


def short_of(rates, fits):
    """'30 of 32', and those that do not fit, as a second sentence."""
    short = [f"{name} {rate:.1f}" for name, rate in rates.items() if not fits(rate)]
    told = f"{len(rates) - len(short)} of {len(rates)}"
    return told + (f" (not {', '.join(short)})" if short else ""), not short


def detect_rows(detect):
    lines = []
    for strokes, least in ((32.0, 95.0), (16.0, 85.0)):
        cells = []
        some = fig.pick(detect, strokes=strokes, size=2.0, pad="good")
        for player in PLAYERS:
            mine = fig.pick(some, player=player)
            rates = {fault: percent(fig.pick(mine, fault=fault), "right", "runs")
                     for fault in fig.values(mine, "fault")}
            cells.append(short_of(rates, lambda rate, least=least: rate >= least)
                         if rates else None)
        if some:
            lines.append(line(f"faults of twice the tolerance found in >= {least:g} %, "
                              f"{strokes:g} strokes a hand", cells, fig.total(some, "runs")))
    return lines


def aspect_row(clean, what, column, n, limits):
    cells = []
    for player, (low, high) in zip(PLAYERS, limits):
        mine = fig.pick(clean, player=player)
        rates = {aspect: percent(fig.pick(mine, aspect=aspect), column, n)
                 for aspect in fig.values(mine, "aspect")
                 if fig.total(fig.pick(mine, aspect=aspect), n)}
        cells.append(short_of(rates, lambda rate, low=low, high=high: low <= rate <= high)
                     if rates else None)
    return line(what, cells, fig.total(clean, n))


def composed(clean):
    """The composed exercises of eight bars: each holds enough of what it is for."""
    shipped = {row["exercise"] for row in clean if row["bars"] == 8}
    return [row for row in clean if row["exercise"] not in shipped]


def rows(align, detect, clean):
    good = fig.pick(clean, pad="good")
    courses = [name for name in fig.values(align, "course")
               if name not in ("straight", "other-exercise")]
    lines = align_rows(align, MIXED, mixed, 0.998, ("strict", "near"))
    lines += align_rows(align, courses, changed, 0.99, ("strict", "heard", "near"))
    lines += other_rows(align) + detect_rows(detect)
    if good:
        lines += [
            aspect_row(good, "false alarms in <= 1 % (learner 3 %) of runs, by aspect", "alarms",
                       "runs", ((0, 1), (0, 3))),
            aspect_row(composed(good), "`unclear` in <= 5 % of 8-bar runs, by aspect", "unclear",
                       "runs", ((0, 5), (0, 5))),
            aspect_row(good, "90 % intervals hold the truth in 85 to 95 %, by aspect", "covered",
                       "measured", ((85, 95), (85, 95)))]
    return lines


def table(align, detect, clean):
    return fig.table(["asked", "professional: met", "learner: met", "n"],
                     rows(align, detect, clean), wide=False)
