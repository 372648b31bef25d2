"""What is asked of the judge, and whether the bench's figures reach it."""

import figures as fig

MIXED = ("missed-5%", "extra-5%", "echoes-3%", "drift+5%", "drift-5%", "delay-40ms", "all+5%",
         "all-5%")


def met(good):
    return "yes" if good else "**no**"


def straight_rows(align):
    lines = []
    for player in fig.values(align, "player"):
        for mixture in MIXED:
            some = fig.pick(align, player=player, mixture=mixture, course="straight",
                            entry="practice")
            if some:
                f = fig.f_of(some, "strict")
                lines.append([f"F >= 0.998, {mixture}, {player}", f"{f:.4f}",
                              f"{fig.total(some, 'runs'):g} runs", met(f >= 0.998)])
    return lines


def changed_rows(align):
    lines = []
    for player in fig.values(align, "player"):
        for course in fig.values(align, "course"):
            some = fig.pick(align, player=player, course=course, entry="practice")
            if some and course not in ("straight", "other-exercise"):
                strict = fig.f_of(some, "strict")
                same = fig.f_of(some, "same")
                lines.append([f"F >= 0.99, {course}, {player}",
                              f"{strict:.4f} strictly, {same:.4f} up to like bars",
                              f"{fig.total(some, 'runs'):g} runs", met(same >= 0.99)])
    return lines


def other_rows(align):
    some = fig.pick(align, course="other-exercise")
    if not some:
        return []
    return [[f"another exercise is said to be one ({entry})",
             fig.share(fig.pick(some, entry=entry), "refused", "runs") + " %",
             f"{fig.total(fig.pick(some, entry=entry), 'runs'):g} runs",
             met(fig.total(fig.pick(some, entry=entry), "refused")
                 == fig.total(fig.pick(some, entry=entry), "runs"))]
            for entry in fig.values(some, "entry")]


def percent(rows, hits, n):
    return 100 * fig.total(rows, hits) / fig.total(rows, n)


def detect_rows(detect):
    lines = []
    for player in fig.values(detect, "player"):
        for strokes, least in ((32.0, 95.0), (16.0, 85.0)):
            some = fig.pick(detect, player=player, strokes=strokes, size=2.0, pad="good")
            found = {fault: percent(fig.pick(some, fault=fault), "right", "runs")
                     for fault in fig.values(some, "fault")}
            if not found:
                continue
            short = [f"{fault} {value:.0f}" for fault, value in found.items() if value < least]
            lines.append([f"twice the tolerance found in >= {least:g} %, {strokes:g} strokes a "
                          f"hand, {player}",
                          f"{len(found) - len(short)} of {len(found)} faults"
                          + (f"; not {', '.join(short)}" if short else ""),
                          f"{fig.total(some, 'runs'):g} runs", met(not short)])
    return lines


def aspect_rows(clean, what, column, n, limits):
    """One line a player: how many aspects lie within the limits, and which do not."""
    lines = []
    for player in fig.values(clean, "player"):
        low, high = limits[player]
        rates = {}
        for aspect in fig.values(clean, "aspect"):
            some = fig.pick(clean, player=player, aspect=aspect)
            if some and fig.total(some, n):
                rates[aspect] = percent(some, column, n)
        short = [f"{aspect} {rate:.1f}" for aspect, rate in rates.items()
                 if not low <= rate <= high]
        lines.append([f"{what}, {player}",
                      f"{len(rates) - len(short)} of {len(rates)} aspects"
                      + (f"; not {', '.join(short)}" if short else ""),
                      f"{fig.total(fig.pick(clean, player=player), n):g}", met(not short)])
    return lines


def eight_bars(clean):
    """Runs of eight bars: composed ones, and the first eight of a shipped exercise."""
    composed = {row["exercise"] for row in clean if row["bars"] == 0} - {
        row["exercise"] for row in clean if row["bars"] == 8}
    return [row for row in clean if row["bars"] == 8 or row["exercise"] in composed]


def rows(align, detect, clean):
    good = fig.pick(clean, pad="good")
    lines = straight_rows(align) + changed_rows(align) + other_rows(align) + detect_rows(detect)
    if good:
        lines += aspect_rows(good, "false alarms at most 1 % (learner 3 %)", "alarms", "runs",
                             {"professional": (0, 1), "learner": (0, 3)})
        lines += aspect_rows(eight_bars(good), "`unclear` at most 5 %, 8 bars", "unclear", "runs",
                             {"professional": (0, 5), "learner": (0, 5)})
        lines += aspect_rows(good, "90 % intervals hold the truth in 85 to 95 %", "covered",
                             "measured", {"professional": (85, 95), "learner": (85, 95)})
    return lines


def table(align, detect, clean):
    return fig.table(["asked", "measured", "n", "met"], rows(align, detect, clean))
