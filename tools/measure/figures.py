"""The bench's tables read back, added up, and their intervals."""

import csv
import math
import pathlib
import re


def read(folder, name):
    """The rows of a table, numbers as numbers."""
    rows = []
    with open(pathlib.Path(folder) / name, newline="", encoding="ascii") as table:
        for row in csv.DictReader(table):
            rows.append({key: number(value) for key, value in row.items()})
    return rows


def number(text):
    try:
        return float(text)
    except ValueError:
        return text


def wilson(hits, n, z=1.959964):
    """95 % interval of a share (NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.1)."""
    if n == 0:
        return (float("nan"), float("nan"))
    p = hits / n
    middle = p + z * z / (2 * n)
    half = z * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
    return (max(0.0, (middle - half) / (1 + z * z / n)),
            min(1.0, (middle + half) / (1 + z * z / n)))


def total(rows, column):
    return sum(row[column] for row in rows)


def pick(rows, **wanted):
    """The rows whose columns have these values (or one of them, where a set is given)."""
    def fits(row):
        return all(row[key] in value if isinstance(value, (set, tuple, list)) else row[key] == value
                   for key, value in wanted.items())
    return [row for row in rows if fits(row)]


def values(rows, column):
    """The column's different values, in the order in which they come."""
    return list(dict.fromkeys(row[column] for row in rows))


# Of the strokes of two exercises that go together: from here on nobody can tell them apart surely.
ALIKE_LEAST = 0.75

FAMILIES = ((15, "rudiments 1-15, rolls"), (19, "rudiments 16-19, diddles"),
            (30, "rudiments 20-30, flams"), (40, "rudiments 31-40, drags"))


def family(exercise):
    """The 40 rudiments by family, any other exercise by its name."""
    number_of = re.match(r"(\d\d)-", exercise)
    if not number_of:
        return exercise
    return next(name for last, name in FAMILIES if int(number_of[1]) <= last)


def share(rows, hits, n):
    """Percent with its interval, as text: '97.2 (95.1-98.4)'."""
    count = total(rows, n)
    if count == 0:
        return "-"
    low, high = wilson(total(rows, hits), count)
    percent = 100 * total(rows, hits) / count
    return f"{percent:.1f} ({100 * low:.1f}-{100 * high:.1f})"


def asked(rows, how):
    """Strokes to be found; blows that the pad hid count where the judge found them nevertheless."""
    return total(rows, "played") + (total(rows, "hidden") if how == "near" else 0)


def f_of(rows, how):
    """F over all pairs of the rows."""
    both = total(rows, "found") + asked(rows, how)
    return 2 * total(rows, f"right_{how}") / both if both else float("nan")


def f_known(rows, how="strict"):
    """F of the matcher that knows what can be known, where it was asked."""
    near = how == "near"
    both = total(rows, "found_known") + total(rows, "played_known")
    both += total(rows, "hidden_known") if near else 0
    return 2 * total(rows, "right_known_near" if near else "right_known") / both if both else float("nan")


def precision(rows, how):
    found = total(rows, "found")
    return total(rows, f"right_{how}") / found if found else float("nan")


def recall(rows, how):
    played = asked(rows, how)
    return total(rows, f"right_{how}") / played if played else float("nan")


def table(headings, rows, wide=True):
    """Markdown; WIDE: columns as wide as their widest cell."""
    cells = [[str(cell) for cell in row] for row in [headings, *rows]]
    widths = [max(len(row[i]) for row in cells) if wide else 0 for i in range(len(headings))]
    lines = ["| " + " | ".join(cell.ljust(width) for cell, width in zip(row, widths)) + " |"
             for row in cells]
    lines.insert(1, "| " + " | ".join("-" * max(3, width) for width in widths) + " |")
    return "\n".join(lines)
