"""What lies at the top of the repository, and words that must not stand anywhere in it."""

import pathlib
import re
import subprocess

TOP = {
    ".ci", ".clang-format", ".clang-tidy", ".gitignore", "CMakeLists.txt", "DEVELOPERS.md",
    "NEWS.md", "README.md", "docs", "exercises", "include", "src", "tests", "tools",
}

# Written in pieces, so that this file does not accuse itself.
FORBIDDEN = [
    ("a path of some machine", re.compile(r"/(work|home|Users)/\w|\bC:\\\\Users")),
    ("an unfinished place", re.compile(r"\b(TO" r"DO|FIX" r"ME|X" r"XX|HA" r"CK)\b")),
    ("a mark of a merge", re.compile(r"^(<{7}|>{7}|={7})( |$)", re.MULTILINE)),
]

LONGEST_FILE = 500  # lines of a source file: one idea a file


def tracked(root):
    """The files of the repository: what git knows, or every file where there is no git."""
    root = pathlib.Path(root)
    answer = subprocess.run(
        ["git", "-C", str(root), "ls-files", "-z"], capture_output=True, check=False)
    if answer.returncode == 0:
        names = [name for name in answer.stdout.decode().split("\0") if name]
    else:
        names = [str(path.relative_to(root)) for path in root.rglob("*")
                 if not str(path.relative_to(root)).startswith(("build", ".git/"))]
    return [root / name for name in names if (root / name).is_file()]


def check_top(root):
    seen = {path.relative_to(root).parts[0] for path in tracked(root)}
    return [f"{name}: has no place at the top of the repository" for name in sorted(seen - TOP)]


def check_words(root):
    complaints = []
    for path in tracked(root):
        try:
            text = path.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue
        for what, pattern in FORBIDDEN:
            for found in pattern.finditer(text):
                line = text.count("\n", 0, found.start()) + 1
                complaints.append(f"{path.relative_to(root)}:{line}: {what}: {found.group()!r}")
    return complaints


def check_sizes(root):
    complaints = []
    for path in tracked(root):
        if path.suffix in (".c", ".h", ".py", ".sh"):
            lines = path.read_bytes().count(b"\n")
            if lines > LONGEST_FILE:
                complaints.append(f"{path.relative_to(root)}: {lines} lines are more than one idea")
    return complaints
