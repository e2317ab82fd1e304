#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Every example as a page: one file that stands alone, opens nothing from elsewhere and escapes what users write.

    page_check.py PROGRAM

The rules it holds are those of the HTML standard and of Content Security Policy Level 3 (hash sources).
"""

import base64
import hashlib
import html.parser
import pathlib
import re
import shlex
import subprocess
import sys
import tempfile

TOP = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())
VOID = {"meta", "line", "rect", "circle", "polyline"}


class Page(html.parser.HTMLParser):
    def __init__(self):
        super().__init__()
        self.open = []
        self.problems = []
        self.count = {}
        self.inside = {}

    def handle_starttag(self, tag, attrs):
        self.count[tag] = self.count.get(tag, 0) + 1
        if tag in ("script", "link", "img", "iframe", "object", "form", "a", "base"):
            self.problems.append(f"an element {tag}")
        for name, value in attrs:
            if name.startswith("on") or name in ("href", "src", "style", "xlink:href"):
                self.problems.append(f"an attribute {name}")
            if "://" in (value or ""):
                self.problems.append(f"an address: {value}")
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.problems.append(f"</{tag}> out of order")

    def handle_data(self, data):
        if self.open:
            self.inside[self.open[-1]] = self.inside.get(self.open[-1], "") + data


def problems_of(text):
    page = Page()
    page.feed(text)
    page.close()
    if page.open:
        page.problems.append(f"left open: {page.open}")
    style = re.search(r"<style>(.*?)</style>", text, re.S)[1]
    wanted = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    if f"style-src 'sha256-{wanted}'" not in text:
        page.problems.append(f"the policy does not name the style, whose hash is {wanted}")
    if "default-src 'none'" not in text:
        page.problems.append("no policy")
    for need in ("h1", "title"):
        if not page.inside.get(need, "").strip():
            page.problems.append(f"no text in {need}")
    if not page.count.get("svg", 0) == text.count('role="img"') == text.count("<desc>"):
        page.problems.append("a picture without a title or a description")
    for number in ("nan", "inf"):
        if re.search(rf'="-?{number}"', text):
            page.problems.append(f"a number that is {number}")
    return page.problems, page.count


def run(words):
    return subprocess.run([PROGRAM, *words, "--as", "html"], cwd=TOP, stdout=subprocess.PIPE, check=False).stdout.decode()


wrong = []
pictures = {}
for command in sorted((TOP / "examples").glob("*/command")):
    for line in command.read_text(encoding="utf-8").splitlines():
        problems, count = problems_of(run(shlex.split(line)[1:]))
        wrong += [f"{line}: {problem}" for problem in problems]
        pictures[command.parent.name] = pictures.get(command.parent.name, 0) + count.get("svg", 0)
for name, least in {"backyard-tilapia": 2, "duckweed-curve": 3, "demo-trial": 1, "thirty-hens": 3}.items():
    if pictures[name] < least:
        wrong.append(f"{name}: {pictures[name]} pictures; at least {least} expected")

with tempfile.TemporaryDirectory() as folder:
    job = pathlib.Path(folder) / "job.json"
    job.write_text('{"format": "feedwright-job/1", "title": "<script>alert(1)</script> & \\"co\\"", "ingredients": '
                   '[{"id": "a", "name": "<img src=x onerror=y>", "price": 1, "nutrients": {"crude_protein": 40}}], '
                   '"limits": [{"nutrient": "crude_protein", "min": 30}]}', encoding="utf-8")
    text = run(["formulate", str(job)])
    wrong += [f"names of a user: {problem}" for problem in problems_of(text)[0]]
    if "&lt;script&gt;" not in text:
        wrong.append("the title of a user is not shown as it is written")

print("\n".join(wrong))
sys.exit(1 if wrong else 0)
