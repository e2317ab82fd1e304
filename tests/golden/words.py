#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Compares the words of docs/glossary.md with those that the program prints, and its screens with a reader's needs.

    words.py PROGRAM glossary   every word in bold is printed by some example or help page; none of the words that the
                                last table forbids is printed, or stands in a text of src/report or src/cli
    words.py PROGRAM screens    each example fits terminals of 60, 80 and 120 columns, its first answer about one screen,
                                and verdict, recipe and cost of a mix stand in the first 25 lines
"""

import fcntl
import os
import pathlib
import pty
import re
import shlex
import struct
import subprocess
import sys
import termios

TOP = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())
MOST_LINES = 90
NO_MIX = 3


def examples():
    for path in sorted((TOP / "examples").glob("*/command")):
        for line in path.read_text(encoding="utf-8").splitlines():
            yield path.parent.name, shlex.split(line)[1:]


def printed(words):
    done = subprocess.run([PROGRAM, *words], cwd=TOP, env={**os.environ, "NO_COLOR": "1"}, stdout=subprocess.PIPE,
                          stderr=subprocess.STDOUT, check=False)
    return done.stdout.decode()


def on_terminal(words, columns):
    """What a terminal of so many columns gets."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 50, columns, 0, 0))
    with subprocess.Popen([PROGRAM, *words], cwd=TOP, env={**os.environ, "NO_COLOR": "1"}, stdout=theirs,
                          stderr=theirs, stdin=subprocess.DEVNULL) as done:
        os.close(theirs)
        out = b""
        while True:
            try:
                piece = os.read(ours, 65536)
            except OSError:
                break
            if not piece:
                break
            out += piece
        done.wait()
    os.close(ours)
    return out.decode().replace("\r\n", "\n")


def texts_of_sources():
    for folder in ("report", "cli"):
        for path in sorted((TOP / "src" / folder).glob("**/*.cpp")):
            code = re.sub(r"//[^\n]*", "", path.read_text(encoding="utf-8"))
            code = re.sub(r'"\s*\n\s*"', "", code)
            for text in re.findall(r'"((?:[^"\\\n]|\\.)*)"', code):
                if " " in text:
                    yield path.name, text


def glossary():
    page = (TOP / "docs/glossary.md").read_text(encoding="utf-8")
    listed, forbidden = page.split("## Words that the program does not print")
    words = re.findall(r"^\| \*\*([^*]+)\*\* \|", listed, re.M)
    never = re.findall(r"^\| ([a-zA-Z ]+?) \|", forbidden, re.M)
    never.remove("not")
    helps = ["", "formulate", "check", "mend", "batch", "make-or-buy", "plan", "season", "trial design", "trial analyse", "import",
             "list", "show", "new"]
    all_text = "\n".join([printed([*command, "--detail"]) for _, command in examples()] +
                         [printed(["help", *one.split()]) for one in helps])
    flat = re.sub(r"\s+", " ", all_text)
    wrong = [f"docs/glossary.md lists \"{word}\", which nothing prints" for word in words
             if not re.search(r"\b" + re.escape(word), flat, re.I)]
    for word in never:
        pattern = re.compile(r"\b" + re.escape(word) + r"\b", re.I)
        if pattern.search(flat):
            at = pattern.search(flat).start()
            wrong.append(f"an example prints \"{word}\": … {flat[max(0, at - 60):at + 60]} …")
        wrong += [f"{name} holds \"{word}\": {text}" for name, text in texts_of_sources() if pattern.search(text)]
    if len(words) < 20 or len(never) < 8:
        wrong.append("docs/glossary.md lost its tables")
    return wrong


def screens():
    wrong = []
    for name, command in examples():
        text = printed(command)
        lines = text.rstrip("\n").split("\n")
        if len(lines) > MOST_LINES:
            wrong.append(f"{name}: {len(lines)} lines; at most {MOST_LINES}")
        first = "\n".join(lines[:25])
        plain = not any(word.startswith("--") and word not in ("--for", "--prices", "--weight") for word in command)
        if command[0] == "formulate" and "Weigh out" in text and plain:
            for wanted in ("Cheapest mix found: ", "Weigh out"):
                if wanted not in first:
                    wrong.append(f"{name}: \"{wanted}\" does not stand in the first 25 lines")
        for columns in (60, 80, 120):
            widest = max((len(line) for line in on_terminal(command, columns).split("\n")), default=0)
            if widest > columns:
                wrong.append(f"{name}: a line of {widest} on a terminal of {columns} columns")
    if on_terminal(["help"], 60) == "":
        wrong.append("nothing was printed to a terminal")
    return wrong


problems = {"glossary": glossary, "screens": screens}[sys.argv[2]]()
print("\n".join(problems))
sys.exit(1 if problems else 0)
