#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Holds every JSON file of data/ and examples/ and some results against data/schema.

    schema_check.py SOURCE-FOLDER [PROGRAM]

A file's "format", feedwright-NAME/1, names its schema, NAME.schema.json. With PROGRAM the results of the commands on
the examples are held against theirs too. Ends with 77 (skipped) where python3-jsonschema is missing.
"""

import copy
import json
import pathlib
import re
import subprocess
import sys
import warnings

try:
    warnings.simplefilter("ignore", DeprecationWarning)  # RefResolver, which Debian 12 needs
    import jsonschema
except ImportError:
    print("skipped: the Python module jsonschema is missing (Debian package python3-jsonschema)")
    sys.exit(77)

top = pathlib.Path(sys.argv[1])
program = sys.argv[2] if len(sys.argv) > 2 else None
schemas = {}
problems = []


def load(path):
    return json.loads(path.read_text(encoding="utf-8"))


for path in sorted((top / "data/schema").glob("*.schema.json")):
    schema = load(path)
    jsonschema.Draft202012Validator.check_schema(schema)
    if schema["$id"] != path.name:
        problems.append(f"{path.name}: its $id is {schema['$id']}")
    schemas[path.name] = schema


def validator(name):
    schema = schemas[name + ".schema.json"]
    return jsonschema.Draft202012Validator(
        schema, resolver=jsonschema.RefResolver(schema["$id"], schema, store=dict(schemas)))


def errors(name, document):
    return [f"/{'/'.join(map(str, e.absolute_path))}: {e.message[:200]}"
            for e in validator(name).iter_errors(document)]


def name_of(document):
    match = re.fullmatch(r"feedwright-([a-z-]+)/1", str(document.get("format", "")))
    return match.group(1) if match else None


checked = {}
for path in sorted((top / "data").rglob("*.json")) + sorted((top / "examples").rglob("*.json")):
    if path.parent.name == "schema" or path.name == "facts.json":  # what the example's test looks for
        continue
    document = load(path)
    name = name_of(document)
    if name is None or name + ".schema.json" not in schemas:
        problems.append(f"{path}: no schema for format {document.get('format')}")
        continue
    checked.setdefault(name, document)
    problems += [f"{path.relative_to(top)}: {e}" for e in errors(name, document)]

if program:
    for path in sorted((top / "examples").glob("*/job.json")) + sorted((top / "examples").glob("*/recipe.json")):
        command = "formulate" if path.name == "job.json" else "check"
        extra = []
        for library in path.parent.glob("my-library.json"):
            extra += ["--library", str(library)]
        printed = subprocess.run([program, command, str(path), "--as", "json", *extra],
                                 capture_output=True, text=True, check=False)
        if "found no price" in printed.stderr:
            continue  # a job whose prices stand beside it: another command's
        if printed.returncode not in (0, 3, 4):
            problems.append(f"{command} {path}: exit code {printed.returncode}: {printed.stderr}")
            continue
        result = json.loads(printed.stdout)
        checked.setdefault(name_of(result), result)
        problems += [f"{command} {path.relative_to(top)}: {e}" for e in errors(name_of(result), result)]

    backyard = str(top / "examples/backyard-tilapia/job.json")
    recipe = str(top / "examples/farmers-recipe/recipe.csv")
    runs = [["formulate", backyard, "--scale", "5g", "--fine-scale", "0.1g"],
            ["formulate", backyard, "--scale", "5g", "--batch", "1.03kg"],
            ["formulate", backyard, "--sheet"],
            ["formulate", backyard, "--curve", "maize"],
            ["formulate", backyard, "--sure-curve"],
            ["formulate", "--protein", "32", "maize@0.28", "soybean-meal-44@0.58"],
            ["check", recipe, recipe, "--for", "nile-tilapia/grow-out"],
            ["formulate", backyard, "--at-most", "8"],
            ["formulate", backyard, "--set", "maize.price=0.3"],
            ["formulate", backyard, "--without", "each"],
            ["mend", recipe, "--for", "nile-tilapia/grow-out"],
            ["mend", recipe, "--for", "rainbow-trout/grow-out", "--add-at-most", "0"]]

    # Ventures and plans, bare ones too; trials with and without blocks, levels and enough tanks; a series that can
    # be made and one that cannot.
    tests = top / "tests"
    job = str(top / "examples/demo-design/job.json")
    design = ["trial", "design", job, "--test", "duckweed-dried", "--reference", "soybean-meal-44"]
    runs += [["make-or-buy", str(path)] for path in sorted((top / "examples").glob("*/venture.json"))]
    runs += [["plan", str(path)] for path in sorted((top / "examples").glob("*/plan.json"))]
    runs += [["season", str(path)] for path in sorted((top / "examples").glob("*/season.json"))]
    runs += [["season", str(path)] for path in sorted((tests / "data/seasons").glob("*.json"))]
    runs += [["make-or-buy", str(path)] for path in sorted((tests / "data/ventures").glob("*.json"))]
    runs += [["plan", str(path)] for path in sorted((tests / "data/plans").glob("*.json"))]
    runs += [["trial", "analyse", str(path)] for path in sorted((top / "examples").glob("*/trial.csv"))]
    runs += [["trial", "analyse", str(path)] for path in sorted((tests / "data/trials").glob("*.csv"))]
    runs += [["trial", "analyse", str(tests / "bad/trials/good.csv")],
             ["trial", "analyse", str(tests / "bad/trials/good.csv"), "--group", "diet", "--response", "weight_out_g"],
             [*design, "--levels", "10,100", "--cv", "8"],
             [*design, "--levels", "10", "--blocks", "3", "--scale", "5g"]]
    for arguments in runs:
        printed = subprocess.run([program, *arguments, "--as", "json"], capture_output=True, text=True, check=False)
        if printed.returncode not in (0, 3, 4):
            problems.append(f"{arguments}: exit code {printed.returncode}: {printed.stderr}")
            continue
        result = json.loads(printed.stdout)
        checked.setdefault(name_of(result), result)
        problems += [f"{arguments}: {e}" for e in errors(name_of(result), result)]

    # Lines of a batch have no "format": one a list, or one a recipe.
    kinds = set()
    conflict = str(top / "examples/no-mix/job.json")
    free = str(top / "examples/hen-ration/job.json")
    for arguments in ([backyard, "--grid", "soybean-meal-44.price=0.4:0.6:0.1", "--columns", "cost,mix,binding,shadow"],
                      [backyard, free, conflict, "--columns", "cost,mix,binding"],
                      [backyard, str(tests / "data/price-lists.csv")],
                      ["--recipes", recipe, str(tests / "bad/recipes/empty.csv"), "--for", "nile-tilapia/grow-out"]):
        printed = subprocess.run([program, "batch", *arguments], capture_output=True, text=True, check=False)
        lines = [json.loads(line) for line in printed.stdout.splitlines()]
        if not lines:
            problems.append(f"batch {arguments}: exit code {printed.returncode}: {printed.stderr}")
        for line in lines:
            kinds.add(line.get("status"))
            problems += [f"batch {arguments}: {e}" for e in errors("batch-line", line)]
            for broken in ({**line, "unheard_of": 1}, {**line, "status": "so-so"},
                           *({k: v for k, v in line.items() if k != key} for key in ("list", "recipe", "status")
                             if key in line)):
                if not errors("batch-line", broken):
                    problems.append(f"batch-line: the schema lets {broken} through")
    if not {"optimal", "infeasible", "error", "short"} <= kinds:
        problems.append(f"batch: only {sorted(kinds)} were tried")

# A schema that lets everything through would pass all of the above.
for name, document in sorted(checked.items()):
    for required in schemas[name + ".schema.json"].get("required", []):
        broken = copy.deepcopy(document)
        del broken[required]
        if not errors(name, broken):
            problems.append(f"{name}: the schema does not miss \"{required}\"")
    if schemas[name + ".schema.json"].get("additionalProperties") is False:
        broken = copy.deepcopy(document)
        broken["unheard_of"] = 1
        if not errors(name, broken):
            problems.append(f"{name}: the schema lets an unknown key through")
    broken = copy.deepcopy(document)
    broken["format"] = "feedwright-nothing/1"
    if not errors(name, broken):
        problems.append(f"{name}: the schema lets another format through")

unused = sorted(set(schemas) - {name + ".schema.json" for name in checked} -
                {"common.schema.json", "batch-line.schema.json"})
if program and unused:
    problems.append(f"nothing was held against {', '.join(unused)}")
for problem in problems:
    print(problem)
print(f"{len(checked)} formats, {len(problems)} problems")
sys.exit(1 if problems else 0)
