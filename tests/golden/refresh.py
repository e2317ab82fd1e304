#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes anew what the program prints and the repository shows; read the difference before you commit it.

    refresh.py PROGRAM

The expected output of every example, the beginning of one in README.md, the blocks of docs/guide.md that
guide_output.sh compares, and the coverage tables of docs/data.md. Pieces of the guide that leave lines out (…) are
edited by hand.
"""

import pathlib
import re
import subprocess
import sys

program = str(pathlib.Path(sys.argv[1]).resolve())
top = pathlib.Path(__file__).resolve().parents[2]

for command in sorted((top / "examples").glob("*/command")):
    folder = command.parent.relative_to(top)
    subprocess.run([top / "tests/golden/run_example.sh", program, folder, "--update"], check=True)


def expected(name):
    return (top / "examples" / name / "expected.txt").read_text(encoding="utf-8").rstrip("\n").split("\n")


guide = top / "docs/guide.md"
lines = guide.read_text(encoding="utf-8").split("\n")
for name in ["mixing-sheet", "mend-a-recipe", "no-mix", "what-if", "quick-plan"]:
    printed = expected(name)
    start = lines.index(printed[0])
    end = next(k for k in range(start, len(lines)) if lines[k].startswith("```"))
    whole = name != "what-if"
    lines[start:end] = printed if whole else printed[:end - start]
guide.write_text("\n".join(lines), encoding="utf-8")

readme = top / "README.md"
printed = expected("backyard-tilapia")
rows = 17  # of the table of limits, with its heading: enough to see how it goes on
first = "\n".join(printed[:next(k for k, line in enumerate(printed) if line.startswith("Every limit")) + rows])
text = readme.read_text(encoding="utf-8")
text = re.sub(r"(<!-- first-mix -->\n```\n).*?(\n```\n<!-- /first-mix -->)", lambda m: m[1] + first + m[2], text,
              flags=re.S)
readme.write_text(text, encoding="utf-8")

subprocess.run([top / "tests/golden/coverage.sh", program, top, "--update"], check=True)
for check in ("readme_output.sh", "guide_output.sh"):
    subprocess.run([top / "tests/golden" / check], check=False)
