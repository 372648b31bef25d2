"""Compiles every public header by itself: each includes what it needs, and is clean C11."""

import concurrent.futures
import pathlib
import subprocess

FLAGS = ["-std=c11", "-D_POSIX_C_SOURCE=200809L", "-Wall", "-Wextra", "-Wpedantic", "-Werror",
         "-fsyntax-only", "-x", "c", "-"]


def compile_alone(compiler, include, header):
    # Twice: the include guard holds.
    text = f"#include <evenhand/{header.name}>\n#include <evenhand/{header.name}>\nint x;\n"
    run = subprocess.run([compiler, "-I", str(include), *FLAGS], input=text, capture_output=True,
                         text=True, check=False)
    return None if run.returncode == 0 else f"{header.name} does not compile alone: {run.stderr}"


def check(compiler, include):
    include = pathlib.Path(include)
    headers = sorted((include / "evenhand").glob("*.h"))
    with concurrent.futures.ThreadPoolExecutor(max_workers=2) as pool:
        answers = pool.map(lambda header: compile_alone(compiler, include, header), headers)
    return [answer for answer in answers if answer is not None]
