#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes the comparisons of docs/soundness.md, or says where the page is behind.

    soundness_page.py PROGRAM SOURCE_FOLDER [--update]

For each animal: the mix from tests/data/soundness/dealer.csv with the animal's premix (3 per kg), beside a published
diet of tests/published/data/practical-diets.json. A nutrient that differs by more than 15 % needs a reason in
tests/data/soundness/comparisons.json; one that is given and not needed is an error too.
"""
import difflib
import json
import os
import subprocess
import sys
import tempfile

PROGRAM, SOURCE = sys.argv[1:3]
dash = "–"
FIRST, LAST = "<!-- comparisons -->", "<!-- end of comparisons -->"
NUTRIENTS = [
    ("crude_protein", "crude protein, %"), ("digestible_energy", "digestible energy, MJ/kg"),
    ("metabolisable_energy", "metabolisable energy, MJ/kg"), ("crude_lipid", "crude lipid, %"),
    ("crude_fibre", "crude fibre, %"), ("lysine", "lysine, %"),
    ("methionine_cystine", "methionine + cystine, %"), ("calcium", "calcium, %"),
    ("available_phosphorus", "available phosphorus, %"),
]
# These must agree within 15 %, or have a reason.
HELD = {"crude_protein", "digestible_energy", "metabolisable_energy", "lysine", "methionine_cystine",
        "available_phosphorus"}


def load(*path):
    with open(os.path.join(SOURCE, *path)) as file:
        return json.load(file)


def run(*arguments):
    environment = dict(os.environ, FEEDWRIGHT_DATA=os.path.join(SOURCE, "data"))
    result = subprocess.run([PROGRAM, *arguments, "--as", "json"], capture_output=True, text=True,
                            env=environment)
    if not result.stdout:
        sys.exit(result.stderr)
    return json.loads(result.stdout)


def short(value):
    return "–" if value is None else f"{value:.3g}"


def contents(result):
    return {item["nutrient"]: item["value"] for item in result["analysis"]}


def mix_of(page, folder):
    with open(os.path.join(SOURCE, "tests/data/soundness/dealer.csv")) as file:
        rows = file.read()
    prices = os.path.join(folder, "prices.csv")
    with open(prices, "w") as file:
        file.write(f"{rows}{page['premix']},3\n")
    return run("formulate", "--for", page["stage"], "--prices", prices)


def diet_of(page, diets, folder):
    if "diet" not in page:
        return None, None
    diet = diets[page["diet"]]
    amounts, unknown = {}, []
    for item in diet["ingredients"]:
        if item["id"]:
            amounts[item["id"]] = amounts.get(item["id"], 0) + item["percent"]
        else:
            unknown.append(item)
    amounts[page["premix"]] = load("data/ingredients", page["premix"] + ".json")["rate_percent"]
    ingredients = [{"id": key, "amount": value} for key, value in amounts.items()]
    if unknown:
        ingredients.append({"id": "not-in-library", "nutrients": {},
                            "amount": sum(item["percent"] for item in unknown)})
    recipe = os.path.join(folder, "recipe.json")
    with open(recipe, "w") as file:
        json.dump({"format": "feedwright-recipe/1", "ingredients": ingredients}, file)
    return diet, run("check", recipe, "--for", page["stage"])


def name_of(identifier):
    path = os.path.join(SOURCE, "data/ingredients", identifier + ".json")
    if not os.path.exists(path):
        return "what the library has no entry for"
    return load(path)["name"]


def section(page, diets, folder, problems):
    mix = mix_of(page, folder)
    if not mix.get("mix"):
        problems.append(f"{page['title']}: no mix")
        return []
    diet, check = diet_of(page, diets, folder)
    lines = [f"### {page['title']}", ""]
    source = f"the diet of {diet['source']}" if diet else page["instead"]
    lines += [f"`{page['stage']}`, {mix['cost_per_kg']:.3f} per kg, verdict {mix['verdict']}; beside it {source}.", ""]
    ours = {item["id"]: item["percent"] for item in mix["mix"]}
    theirs = {item["id"]: item["percent"] for item in check["mix"]} if check else {}
    lines += ["| ingredient | our mix, % | published, % |", "| --- | ---: | ---: |"]
    order = sorted(set(ours) | set(theirs), key=lambda key: (-ours.get(key, 0), -theirs.get(key, 0), key))
    for key in order:
        if max(ours.get(key, 0), theirs.get(key, 0)) < 0.05:
            continue
        lines.append(f"| {name_of(key)} | {short(ours.get(key))} | {short(theirs.get(key))} |")
    lines.append("")
    values, others = contents(mix), contents(check) if check else {}
    others.update(page.get("published", {}))
    need = {}
    bases = {"as_fed": "", "dry_matter": " of dry matter", "of_protein": " of protein"}
    for limit in mix["limits"]:
        if limit["id"].startswith("nutrient:") and limit.get("min") is not None:
            need.setdefault(limit["id"].split(":")[1], short(limit["min"]) + bases.get(limit["basis"], ""))
    land = page["group"] == "land"
    lines += ["| nutrient | need | our mix | published | why they differ |", "| --- | ---: | ---: | ---: | --- |"]
    reasons = page.get("reasons", {})
    for key, label in NUTRIENTS:
        if key == ("digestible_energy" if land and page["stage"].split("/")[0] != "rabbit" else "metabolisable_energy"):
            continue
        if key == "calcium" and not land:
            continue
        here, there = values.get(key), others.get(key)
        apart = here and there and abs(here / there - 1) > 0.15
        reason = reasons.get(key, "")
        if key in HELD and apart and not reason:
            problems.append(f"{page['title']}: {label} {here:.3g} beside {there:.3g} without a reason")
        if reason and not apart:
            problems.append(f"{page['title']}: the reason for {label} is not needed")
        lines.append(f"| {label} | {need.get(key, dash)} | {short(here)} | {short(there)} | {reason} |")
    lines.append("")
    told = [one["text"] for one in mix["findings"] if one["severity"] != "note"]
    if told:
        lines += ["Not complete:", ""] + [f"- {text}" for text in told] + [""]
    lines += [page["remark"], ""] if page.get("remark") else []
    return lines


def main():
    diets = {diet["id"]: diet for diet in load("tests/published/data/practical-diets.json")["diets"]}
    problems, lines = [], [FIRST, ""]
    with tempfile.TemporaryDirectory() as folder:
        for page in load("tests/data/soundness/comparisons.json")["pages"]:
            lines += section(page, diets, folder, problems)
    lines.append(LAST)
    path = os.path.join(SOURCE, "docs/soundness.md")
    with open(path) as file:
        text = file.read()
    start, end = text.index(FIRST), text.index(LAST) + len(LAST)
    written = text[:start] + "\n".join(lines) + text[end:]
    for problem in problems:
        print(problem)
    if sys.argv[3:] == ["--update"]:
        with open(path, "w") as file:
            file.write(written)
    elif written != text:
        sys.stdout.writelines(difflib.unified_diff(text.splitlines(True), written.splitlines(True),
                                                   "docs/soundness.md", "what the program says now", n=1))
        print(f"\nRefresh the page with: {sys.argv[0]} {PROGRAM} {SOURCE} --update")
        sys.exit(1)
    sys.exit(1 if problems else 0)


main()
