"""Puts the bench's tables into docs/believed.md, between the marks that name them."""

import datetime
import pathlib
import re
import subprocess

import figures as fig
import targets

MARK = re.compile(r"(<!-- figures: ([a-z0-9-]+) -->\n)(?:.*?\n)??(<!-- end -->)", re.DOTALL)


def commit(root):
    """The commit that was measured; a + where its files had been changed since."""
    answer = subprocess.run(["git", "-C", str(root), "describe", "--always", "--dirty=+",
                             "--abbrev=10"], capture_output=True, text=True, check=False)
    return answer.stdout.strip() or "unknown"


def made_by(command, measured):
    today = datetime.date.today().isoformat()
    return f"    {command.strip()}\n\nMeasured: commit {measured}, {today}."


def replace(path, blocks):
    """Every mark needs its block and every block its mark."""
    text = path.read_text(encoding="utf-8")
    marks = [match[1] for match in MARK.findall(text)]
    missing = [name for name in blocks if name not in marks]
    unknown = [name for name in marks if name not in blocks]
    if missing or unknown:
        raise SystemExit(f"{path}: no mark for {missing}, no figures for {unknown}")
    path.write_text(MARK.sub(lambda m: f"{m[1]}{blocks[m[2]]}\n{m[3]}", text), encoding="utf-8")


def write(folder, command, measured, tables, align, detect, clean):
    folder = pathlib.Path(folder)
    good_clean = fig.pick(clean, pad="good")
    good = fig.pick(detect, pad="good")
    blocks = {
        "made-by": made_by(command, measured or commit(folder.parent)),
        "targets": targets.table(align, detect, clean),
        "align-professional": tables.align_by_course(align, "professional"),
        "align-learner": tables.align_by_course(align, "learner"),
        "align-exercises": tables.align_grid(fig.pick(align, player="professional")),
        "other": tables.other_exercise(align),
        "detect-16": tables.detect_table(good, 16.0, 2.0),
        "detect-32": tables.detect_table(good, 32.0, 2.0),
        "detect-largest": tables.detect_largest(good),
        "detect-edge": tables.detect_table(good, 32.0, 1.0),
        "detect-tempo": tables.detect_by_tempo(good, 32.0, 2.0, "professional"),
        "clean": tables.clean_table(good_clean),
        "unclear": tables.unclear_table(targets.composed(good_clean)),
        "too-few": tables.too_few(good_clean),
        "coverage": tables.cover_table(good_clean),
        "coverage-pads": tables.cover_pads_table(targets.composed(clean)),
        "pads": tables.pads_table(detect, clean),
    }
    replace(folder / "believed.md", blocks)
