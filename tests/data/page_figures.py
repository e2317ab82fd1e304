#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds the counts that docs/data.md states against the data, or writes them anew.

    page_figures.py SOURCE [--update]

SOURCE is the source folder. A figure stands in the page as `NUMBER words`; here the words are written with {} for each
number, in the order in which they are counted. Exit code 1 when one differs or is not found.
"""

import collections
import json
import pathlib
import re
import sys

source = pathlib.Path(sys.argv[1])
data = source / "data"
page = source / "docs" / "data.md"


def read(name):
    return json.loads((data / name).read_text())


how_known = {s["id"]: s["how_known"] for s in read("sources.json")["sources"]}


def unverified(items):
    return sum(how_known[item["source"]] == "unverified" for item in items)


profiles = [json.loads(p.read_text()) for p in (data / "profiles").glob("*.json")]
stages = [stage for profile in profiles for stage in profile["stages"]]
limits = [limit for stage in stages for limit in stage["limits"]]
caps = read("caps.json")
kinds = collections.Counter(cap["kind"] for cap in caps["caps"])
harm = read("undesirable.json")
variation = read("variation.json")
spreads = collections.Counter()
for path in (data / "ingredients").glob("*.json"):
    for block in json.loads(path.read_text()).get("composition", []):
        for value in block["nutrients"].values():
            if isinstance(value, dict) and "spread" in value:
                spreads[value["spread"]] += 1
levels = collections.Counter(limit["level"] for limit in limits)
remembered = unverified(limits)

FIGURES = [
    ("{} species, {} stages. Of {} limits {} are remembered from a table that was not opened ({} %)",
     [len(profiles), len(stages), len(limits), remembered, round(100 * remembered / len(limits))]),
    ("{} are borrowed from a relative or a pattern, {} are targets of practice",
     [levels["borrowed"], levels["target"]]),
    ("Of {} caps {} are the highest level tried without loss, {} the lowest level with a loss, {} a handbook's maximum, {} "
     "rules of thumb and {} cautious defaults",
     [len(caps["caps"])] + [kinds[k] for k in ("tried", "first_loss", "handbook", "rule_of_thumb", "default")]),
    ("{} are unverified. {} groups are capped together", [unverified(caps["caps"]), len(caps["groups"])]),
    ("{} contents of {} substances in ingredients or kinds of them, {} of them unverified, and {} maxima for {} substances, "
     "{} unverified",
     [len(harm["contents"]), len({c["substance"] for c in harm["contents"]}), unverified(harm["contents"]),
      len(harm["maxima"]), len({m["substance"] for m in harm["maxima"]}), unverified(harm["maxima"])]),
    ("{} equations for digestible and metabolisable energy and usable phosphorus", [len(read("estimates.json")["estimates"])]),
    ("| lots | {} |", [spreads["lots"]]),
    ("| regions | {} |", [spreads["regions"]]),
    ("| samples | {} |", [spreads["samples"]]),
    ("| replicates | {} |", [spreads["replicates"]]),
    ("ingredients whose values come from elsewhere ({} entries), and defaults by category and nutrient ({})",
     [len(variation["ingredients"]), len(variation["defaults"])]),
    ("Tolerances** of {} contents", [len(read("tolerances.json")["tolerances"])]),
    ("Ponds.** {} entries", [len(read("ponds.json")["ponds"])]),
]


def shown(number):
    return f"{number:,}" if number >= 1000 else str(number)


text = page.read_text()
wrong = 0
for words, numbers in FIGURES:
    pattern = re.escape(words).replace(r"\{\}", r"[\d,]+").replace(r"\ ", r"\s+")
    found = list(re.finditer(pattern, text))
    want = words.format(*map(shown, numbers))
    if len(found) != 1:
        print(f"docs/data.md: {len(found)} places instead of one for: {words}")
        wrong += 1
        continue
    if re.sub(r"\s+", " ", found[0].group()) == want:
        continue
    if "--update" in sys.argv:
        # Numbers alone change, so that lines stay where they are.
        left = iter(map(shown, numbers))
        fixed = re.sub(r"[\d,]*\d", lambda _: next(left), found[0].group())
        text = text[:found[0].start()] + fixed + text[found[0].end():]
    else:
        print(f"docs/data.md: the data say: {want}")
        wrong += 1
if "--update" in sys.argv:
    page.write_text(text)
sys.exit(1 if wrong else 0)
