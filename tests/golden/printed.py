#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Compares what the program prints with what the repository says of it.

    printed.py PROGRAM example NAME   facts of an example, and its whole page where expected.txt is there
    printed.py PROGRAM documents      the outputs that README.md and the pages of docs show
    printed.py PROGRAM update         writes all of it anew; read the difference before you commit it

examples/NAME/command holds lines that begin with "feedwright", run from the top of the project.
examples/NAME/facts.json holds one object a line: "exit_code", and a member for each fact, named by its place in the
JSON result (mix/maize/percent: an item of a list is found by its "id", "name" or "limit", or by its number).
In a document the comment <!-- prints: COMMAND --> stands before a block of output, or <!-- prints in FOLDER: COMMAND -->
where the command is run in a folder of the project. Its lines must come in this order in what COMMAND prints, next to
one another except where … stands for lines left out. <!-- file: PATH --> stands before a block that is that file.
"""

import json
import math
import os
import pathlib
import re
import shlex
import subprocess
import sys
import tempfile

TOP = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())
BLOCK = re.compile(r"(<!-- prints(?: in (?P<folder>[^\n:]*))?: (?P<command>[^\n]*) -->\n+```text\n)"
                   r"(?P<shown>.*?)(?P<end>\n```)", re.S)
FILE = re.compile(r"(<!-- file: (?P<path>[^\n]*) -->\n+```text\n)(?P<shown>.*?)(?P<end>```)", re.S)


def run(command, *more, folder=None):
    words = shlex.split(command)[1:] + list(more)
    environment = {**os.environ, "NO_COLOR": "1"}
    with tempfile.TemporaryDirectory() as scratch:
        named = words[words.index("-o") + 1] if "-o" in words else None
        written = scratch + "/" + str(named)  # nothing of the project is written over
        words = [written if word == named else word for word in words]
        done = subprocess.run([PROGRAM, *words], cwd=TOP / (folder or ""), env=environment, stdout=subprocess.PIPE,
                              stderr=subprocess.STDOUT, check=False)
    return done.stdout.decode().replace(written, str(named)), done.returncode


def commands(folder):
    return (folder / "command").read_text(encoding="utf-8").splitlines()


def find(result, place):
    for key in place.split("/"):
        if isinstance(result, dict):
            result = result[key]
        elif key.isdecimal():
            result = result[int(key)]
        else:
            result = next(item for item in result if key in (item.get("id"), item.get("name"), item.get("limit")))
    return result


def same(found, wanted):
    """Numbers agree to a millionth: the last bits are the business of other tests."""
    if isinstance(found, bool) or not isinstance(found, (int, float)) or not isinstance(wanted, (int, float)):
        return found == wanted
    return math.isclose(found, wanted, rel_tol=1e-6, abs_tol=1e-9)


def facts_of(command, places):
    text, code = run(command, "--as", "json")
    result = json.loads(text)
    found = {"exit_code": code}
    for place in places:
        try:
            found[place] = find(result, place)
        except (KeyError, IndexError, StopIteration):
            found[place] = None
    return found


def check_example(name):
    folder = TOP / "examples" / name
    wrong = []
    facts = json.loads((folder / "facts.json").read_text(encoding="utf-8"))
    if len(facts) != len(commands(folder)) or any(len(one) < 4 for one in facts):
        wrong.append("facts.json must have at least three facts for each command")
    for command, wanted in zip(commands(folder), facts):
        found = facts_of(command, [place for place in wanted if place != "exit_code"])
        wrong += [f"{command}\n  {place}: {found[place]!r}; expected {value!r}"
                  for place, value in wanted.items() if value is None or not same(found[place], value)]
    page = folder / "expected.txt"
    if page.exists() and "".join(run(command)[0] for command in commands(folder)) != page.read_text(encoding="utf-8"):
        wrong.append(f"what it prints is not {page}; `{sys.argv[0]} PROGRAM update`, then look at the difference")
    return wrong


def begins_at(lines, piece, start):
    for k in range(start, len(lines) - len(piece) + 1):
        if lines[k:k + len(piece)] == piece:
            return k
    return None


def check_block(page, command, shown, folder=None):
    lines = run(command, folder=folder)[0].split("\n")
    at = 0
    for piece in re.split(r"^…$", shown, flags=re.M):
        piece = piece.strip("\n").split("\n")
        if piece == [""]:
            continue
        start = begins_at(lines, piece, at)
        if start is None:
            first = next((line for line in piece if line not in lines[at:]), piece[0])
            return [f"{page}: {command}\n  does not print at this place: {first}"]
        at = start + len(piece)
    return []


def pages():
    return [TOP / "README.md", *sorted((TOP / "docs").glob("**/*.md"))]


def check_documents():
    wrong = []
    count = 0
    for page in pages():
        text = page.read_text(encoding="utf-8")
        for block in BLOCK.finditer(text):
            count += 1
            wrong += check_block(page.name, block["command"], block["shown"], block["folder"])
        if len(re.findall("^<!-- prints", text, re.M)) != len(BLOCK.findall(text)):
            wrong.append(f"{page.name}: a comment `prints` without a block of output after it")
        for block in FILE.finditer(text):
            if block["shown"] != (TOP / block["path"]).read_text(encoding="utf-8"):
                wrong.append(f"{page.name}: shows another text than {block['path']}")
    if count < 8:
        wrong.append(f"only {count} outputs are shown")
    return wrong


def refreshed(block):
    """A block without … becomes all of the output, one with a last line … as many lines as it had."""
    shown = block["shown"].split("\n")
    printed = run(block["command"], folder=block["folder"])[0].rstrip("\n").split("\n")
    if "…" in shown[:-1]:
        return block[0]  # pieces are chosen by hand
    if shown[-1] == "…":
        printed = printed[:len(shown) - 1] + ["…"]
    return block[1] + "\n".join(printed) + block["end"]


def update():
    for folder in sorted(path.parent for path in (TOP / "examples").glob("*/command")):
        facts = json.loads((folder / "facts.json").read_text(encoding="utf-8"))
        anew = [facts_of(command, [place for place in one if place != "exit_code"])
                for command, one in zip(commands(folder), facts)]
        (folder / "facts.json").write_text(json.dumps(anew, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")
        page = folder / "expected.txt"
        if page.exists():
            page.write_text("".join(run(command)[0] for command in commands(folder)), encoding="utf-8")
    for page in pages():
        text = page.read_text(encoding="utf-8")
        text = BLOCK.sub(refreshed, text)
        page.write_text(FILE.sub(lambda one: one[1] + (TOP / one["path"]).read_text(encoding="utf-8") + one["end"], text),
                        encoding="utf-8")
    subprocess.run([TOP / "tests/golden/coverage.sh", PROGRAM, TOP, "--update"], check=True)
    return check_documents()


action = sys.argv[2]
problems = {"example": lambda: check_example(sys.argv[3]), "documents": check_documents, "update": update}[action]()
print("\n".join(problems))
sys.exit(1 if problems else 0)
