"""The curves of the bench's results, drawn by gnuplot as SVG."""

import pathlib
import re
import subprocess
import tempfile

import figures as fig

STROKES = (8.0, 16.0, 32.0, 64.0)
COLOURS = {8.0: "#9a9a9a", 16.0: "#c06020", 32.0: "#2060a0", 64.0: "#000000"}
DASHES = {8.0: 3, 16.0: 2, 32.0: 4, 64.0: 1}


def shrink(path):
    """Takes out what gnuplot writes and nobody sees: groups with nothing in them, white space."""
    if path.suffix != ".svg":
        return
    text = path.read_text(encoding="utf-8")
    text = re.sub(r"\s*\n\s*", "\n", text)
    text = re.sub(r"<g [^>]*>\n</g>\n", "", text)
    path.write_text(text, encoding="utf-8")


def draw(script, out, blocks):
    """Runs SCRIPT with the data BLOCKS (name -> lines of numbers) defined in it."""
    data = "".join(f"${name} << EOD\n" + "\n".join(lines) + "\nEOD\n"
                   for name, lines in blocks.items())
    script = "set samples 2\n" + script
    with tempfile.NamedTemporaryFile("w", suffix=".gp", encoding="utf-8") as file:
        file.write(data + f'set output "{out}"\n' + script)
        file.flush()
        subprocess.run(["gnuplot", file.name], check=True)
    shrink(pathlib.Path(out))


def percent_line(rows, x, hits="right"):
    n = fig.total(rows, "runs")
    if not n:
        return None
    low, high = fig.wilson(fig.total(rows, hits), n)
    return f"{x:g} {100 * fig.total(rows, hits) / n:.2f} {100 * low:.2f} {100 * high:.2f}"


def curves(rows, fault, player):
    """For each number of strokes a hand: size, percent found, interval."""
    blocks = {}
    for strokes in STROKES:
        some = fig.pick(rows, fault=fault, player=player, strokes=strokes)
        lines = [percent_line(fig.pick(some, size=size), size)
                 for size in sorted(set(fig.values(some, "size")))]
        blocks[strokes] = [line for line in lines if line]
    return {strokes: lines for strokes, lines in blocks.items() if lines}


def detection(rows, player, out):
    """A panel for each fault: percent found over size, a line for each number of strokes."""
    faults = fig.values(rows, "fault")
    columns = 5
    lines_of_panels = -(-len(faults) // columns)
    blocks = {}
    script = [f"set terminal svg size 1100,{170 * lines_of_panels + 40} font 'sans,10' "
              "background 'white'",
              f"set multiplot layout {lines_of_panels},{columns} "
              "margins 0.04,0.99,0.04,0.97 spacing 0.025,0.045",
              "set xrange [0:3.1]; set yrange [0:104]; set ytics 25; set xtics 1",
              "set grid y lc '#dddddd'; unset key; set border 3; set tics nomirror scale 0.4"]
    for i, fault in enumerate(faults):
        plots = ["85 lc '#bbbbbb' dt 3", "95 lc '#bbbbbb' dt 3"]
        for strokes, lines in curves(rows, fault, player).items():
            name = f"f{i}n{strokes:g}"
            blocks[name] = lines
            style = f"lc '{COLOURS[strokes]}' dt {DASHES[strokes]}"
            plots.append(f"${name} using 1:2 with lines lw 1.5 {style} "
                         f"title '{strokes:g}'")
        numbers = "%g" if i % columns == 0 else ""
        key = f"set format y '{numbers}'; " + ("set key bottom right samplen 2" if i == 0
                                               else "unset key")
        plots = [plot if "title" in plot else plot + " notitle" for plot in plots]
        script.append(f"{key}; set title '{fault}' offset 0,-0.8\nplot " + ", ".join(plots))
    draw("\n".join(script) + "\nunset multiplot\n", out, blocks)


def loss(rows, how):
    """1 - F, not below what a logarithmic axis can show."""
    return max(1 - fig.f_of(rows, how), 1e-5)


def alignment(rows, out):
    """1 - F over the tempo for every exercise: straight courses, then changed ones."""
    families = list(dict.fromkeys(fig.family(name) for name in fig.values(rows, "exercise")))
    blocks = {}
    script = ["set terminal svg size 1100,460 font 'sans,11' background 'white'",
              "set multiplot layout 1,2 margins 0.06,0.76,0.12,0.92 spacing 0.05,0",
              "set logscale y; set yrange [8e-6:1]; set grid lc '#dddddd'; set format y '%g'",
              "set xlabel 'quarters a minute'; set linetype 5 lc '#a08000'"]
    for panel, changed in enumerate((False, True)):
        limit = 0.01 if changed else 0.002
        plots = [f"{limit} lc '#000000' dt 3 notitle"]
        for i, family in enumerate(families):
            lines = []
            members = {name for name in fig.values(rows, "exercise")
                       if fig.family(name) == family}
            for bpm in fig.values(rows, "bpm"):
                cell = [row for row in fig.pick(rows, exercise=members, bpm=bpm, entry="practice",
                                                player="professional")
                        if (row["course"] != "straight") == changed
                        and row["course"] != "other-exercise"]
                if cell:
                    lines.append(f"{bpm:g} {loss(cell, 'heard'):.6f}")
            blocks[f"p{panel}e{i}"] = lines
            title = f"title '{family}'" if changed else "notitle"
            plots.append(f"$p{panel}e{i} using 1:2 with linespoints lt {i + 1} pt {i + 1} ps 0.6 "
                         f"{title}")
        script.append("set key at screen 0.995,0.9 right top" if changed else "unset key")
        name = "stops, skips, repeats ..." if changed else "missed, extra, echoes, drift, delay"
        script.append(f"set title '1 - F: {name}'\nplot " + ", ".join(plots))
    draw("\n".join(script) + "\nunset multiplot\n", out, blocks)


def coverage(rows, out):
    """Percent of the printed intervals that hold the truth, by aspect and player."""
    aspects = [aspect for aspect in fig.values(rows, "aspect")
               if fig.total(fig.pick(rows, aspect=aspect), "measured")]
    blocks = {}
    plots = ["85 lc '#000000' dt 3 notitle", "95 lc '#000000' dt 3 notitle"]
    for k, player in enumerate(("professional", "learner")):
        lines = []
        for i, aspect in enumerate(aspects):
            some = fig.pick(rows, aspect=aspect, player=player)
            n = fig.total(some, "measured")
            if n:
                low, high = fig.wilson(fig.total(some, "covered"), n)
                lines.append(f"{i + 0.2 * k - 0.1:g} {100 * fig.total(some, 'covered') / n:.2f} "
                             f"{100 * low:.2f} {100 * high:.2f}")
        blocks[player] = lines
        plots.append(f"${player} using 1:2:3:4 with yerrorbars pt {5 if k else 7} ps 0.6 "
                     f"lc '{'#c06020' if k else '#2060a0'}' title '{player}'")
    tics = ", ".join(f"'{aspect}' {i}" for i, aspect in enumerate(aspects))
    script = (f"set terminal svg size 900,360 font 'sans,11' background 'white'\n"
              f"set xtics ({tics}) rotate by 20 right; set yrange [78:100]\n"
              f"set xrange [-0.5:{len(aspects) - 0.5}]\nset grid y lc '#dddddd'\n"
              "set title 'truth inside the 90 % interval, %'\nset key bottom left\n"
              "plot " + ", ".join(plots) + "\n")
    draw(script, out, blocks)


def draw_all(align, detect, clean, folder):
    folder = pathlib.Path(folder)
    good = fig.pick(detect, pad="good")
    for player in ("professional", "learner"):
        if fig.pick(good, player=player):
            detection(good, player, folder / f"believed-{player}.svg")
    if align:
        alignment(align, folder / "believed-alignment.svg")
    if clean:
        coverage(fig.pick(clean, pad="good"), folder / "believed-coverage.svg")
