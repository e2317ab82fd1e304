#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Says how far the mixes people get rest on remembered numbers.

    binding.py PROGRAM DATA [LISTS] [--most]

Mixes for every stage of every profile on LISTS price lists (25 unless said otherwise) that are made here with a fixed
seed, and reports of the limits that bind, of the caps that bind, and of the supply of the amino acids, energy and
phosphorus that bind, what share rests on a source of data/sources.json whose how_known is "unverified". --most lists the
values and limits that weigh most. The prices are invented: they only make many different mixes.
"""

import collections
import concurrent.futures
import json
import pathlib
import random
import subprocess
import sys
import tempfile

# Usual order of prices per kg, invented, of what a small farm can be offered.
PRICES = {
    "alfalfa-meal-dehydrated": 0.28, "azolla-dried": 0.20, "barley": 0.24, "black-soldier-fly-defatted": 0.95,
    "black-soldier-fly-full-fat": 0.70, "blood-meal": 0.60, "blood-meal-spray-dried": 1.30, "bone-meal": 0.40,
    "brewers-grains-dried": 0.24, "brewers-yeast": 1.0, "broken-rice": 0.24, "cassava-meal": 0.18,
    "cassava-leaf-meal": 0.18, "cod-liver-oil": 4, "copra-cake-expeller": 0.26, "cottonseed-cake-expeller": 0.28,
    "cottonseed-meal": 0.32, "cricket-dried": 3.0, "dicalcium-phosphate-dihydrate": 0.65, "dl-methionine": 3.5,
    "duckweed-dried": 0.25, "earthworm-meal": 1.2, "faba-beans": 0.35, "feather-meal": 0.60, "fish-meal-65": 1.60,
    "fish-meal-anchovy": 1.75, "fish-meal-herring": 1.85, "fish-meal-menhaden": 1.50, "fish-oil-anchovy": 2.2,
    "full-fat-soya": 0.60, "groundnut-cake-expeller": 0.40, "groundnut-meal-solvent": 0.42,
    "house-fly-maggot-meal": 0.8, "l-lysine-hcl": 1.9, "l-threonine": 2.2, "l-tryptophan": 9, "limestone": 0.06,
    "maize": 0.24, "maize-ddgs": 0.26, "maize-gluten-feed": 0.24, "maize-gluten-meal-60": 0.85, "mealworm-dried": 2.5,
    "meat-and-bone-meal": 0.60, "molasses-cane": 0.12, "monocalcium-phosphate": 0.75, "moringa-leaf-meal": 0.30,
    "oyster-shell": 0.10, "palm-kernel-cake": 0.18, "peas": 0.36, "poultry-byproduct-meal": 0.95,
    "rapeseed-cake-expeller": 0.30, "rapeseed-meal": 0.33, "rapeseed-oil": 1.1, "rice-bran-defatted": 0.18,
    "rice-bran-full-fat": 0.20, "rice-polishings": 0.22, "salt": 0.10, "sardine-dried": 0.90, "sesame-cake": 0.40,
    "shrimp-meal": 1.0, "silkworm-pupa-meal": 1.1, "sorghum": 0.23, "soy-lecithin": 1.6,
    "soy-protein-concentrate": 1.40, "soybean-meal-44": 0.48, "soybean-meal-48": 0.52, "soybean-oil": 1.1,
    "soybean-roasted": 0.55, "sunflower-meal-dehulled": 0.32, "sweet-potato-dried": 0.22, "wheat": 0.27,
    "wheat-bran": 0.18, "wheat-flour": 0.40, "wheat-gluten": 1.9, "wheat-middlings": 0.22,
}
PAIRS = {"methionine_cystine": ("methionine", "cystine"), "phenylalanine_tyrosine": ("phenylalanine", "tyrosine")}
SUPPLY = {
    "arginine", "histidine", "isoleucine", "leucine", "lysine", "methionine", "cystine", "methionine_cystine",
    "phenylalanine", "tyrosine", "phenylalanine_tyrosine", "threonine", "tryptophan", "valine", "phosphorus",
    "available_phosphorus", "sttd_phosphorus", "digestible_phosphorus", "digestible_energy",
    "metabolisable_energy", "gross_energy",
}

arguments = [a for a in sys.argv[1:] if a != "--most"]
most = "--most" in sys.argv
program, data = arguments[0], pathlib.Path(arguments[1])
lists = int(arguments[2]) if len(arguments) > 2 else 25
how_known = {s["id"]: s["how_known"] for s in json.loads((data / "sources.json").read_text())["sources"]}
profiles = [json.loads(p.read_text()) for p in sorted((data / "profiles").glob("*.json"))]
known = {p.stem for p in (data / "ingredients").glob("*.json")}
premixes = [json.loads(p.read_text()) for p in sorted((data / "ingredients").glob("premix-*.json"))]


def premix_for(profile, stage):
    """The premix made for the nearest animal, as a careful buyer would choose it."""
    words = [profile["species"], profile.get("feeds_as"), profile["group"]]
    found = []
    for premix in premixes:
        if stage in premix.get("made_for_stages", [stage]):
            found += [(words.index(w), premix["id"]) for w in premix.get("made_for", []) if w in words]
    return min(found)[1] if found else None


def run(*words):
    done = subprocess.run([program, *words, "--data", str(data), "--as", "json"], capture_output=True, text=True)
    try:
        return json.loads(done.stdout)
    except json.JSONDecodeError:
        sys.exit(f"{' '.join(words)}: {done.stderr.strip()[:300]}")


contents = {}


def content(ingredient, species, nutrient):
    """Amount as fed and whether it is remembered; a pair is the sum of its two parts."""
    if (ingredient, species) not in contents:
        shown = run("show", ingredient, "--for", species)
        contents[ingredient, species] = {v["nutrient"]: (v["value"], v["source"]) for v in shown["as_fed"]}
    return contents[ingredient, species].get(nutrient)


jobs = []
chance = random.Random(20261127)
price_lists = []
for _ in range(lists):
    offered = {i: p * chance.lognormvariate(0, 0.35) for i, p in PRICES.items() if chance.random() < 0.65}
    price_lists.append({i: p for i, p in offered.items() if i in known})
with tempfile.TemporaryDirectory() as folder:
    for profile in profiles:
        for stage in profile["stages"]:
            premix = premix_for(profile, stage["id"])
            for number, prices in enumerate(price_lists):
                path = pathlib.Path(folder) / f"{premix}-{number}.csv"
                if not path.exists():
                    rows = [f"{i},{p:.4f}" for i, p in prices.items()] + ([f"{premix},3"] if premix else [])
                    path.write_text("ingredient,price\n" + "\n".join(rows) + "\n")
                jobs.append((profile["species"], stage["id"], str(path)))
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        mixes = list(pool.map(lambda j: run("formulate", "--for", f"{j[0]}/{j[1]}", "--prices", j[2]), jobs))

status = collections.Counter()
limits = collections.Counter()
caps = collections.Counter()
remembered_limits = collections.Counter()
remembered_caps = collections.Counter()
supply = collections.Counter()
remembered_supply = collections.Counter()
values = collections.Counter()
for (species, stage, _), mix in zip(jobs, mixes):
    status[mix["status"]] += 1
    if mix["status"] != "optimal":
        continue
    for limit in mix["limits"]:
        # An advisory limit is compared only; a premix at its rate often gives just what it asks for.
        if not limit.get("binding") or limit.get("advisory") or limit["source"] not in how_known:
            continue
        kind, _, name = limit["id"].partition(":")
        memory = how_known[limit["source"]] == "unverified"
        if kind != "nutrient":
            caps[memory] += 1
            if memory:
                remembered_caps[f"{species} {name} {limit['source']}"] += 1
            continue
        limits[memory] += 1
        if memory:
            remembered_limits[f"{species}/{stage} {name} {limit['source']}"] += 1
        if name not in SUPPLY:
            continue
        # Each mix counts once for each of its binding nutrients, however large the amount.
        parts = []
        for item in mix["mix"]:
            for part in PAIRS.get(name, (name,)):
                found = content(item["id"], species, part)
                if found and found[0] > 0:
                    parts.append((item["percent"] * found[0], found[1], item["id"], part))
        whole = sum(p[0] for p in parts)
        if whole <= 0:
            continue
        supply[name] += 1
        for amount, source, ingredient, part in parts:
            if how_known.get(source) == "unverified":
                remembered_supply[name] += amount / whole
                values[f"{ingredient} {part} {source}"] += amount / whole


def share(part, whole):
    return f"{100 * part / whole:5.1f} % of {whole:.0f}" if whole else "none"


print(f"mixes: {dict(status)}")
print(f"binding nutrient limits remembered: {share(limits[True], sum(limits.values()))}")
print(f"binding caps remembered:            {share(caps[True], sum(caps.values()))}")
both = limits[True] + caps[True]
print(f"limits and caps together:           {share(both, sum(limits.values()) + sum(caps.values()))}")
print(f"supply remembered:                  {share(sum(remembered_supply.values()), sum(supply.values()))}")
for name, count in supply.most_common():
    print(f"  {name:24} {share(remembered_supply[name], count)}")
if most:
    for title, counter in (("limits", remembered_limits), ("caps", remembered_caps), ("values", values)):
        print(f"remembered {title} that weigh most:")
        for name, count in counter.most_common(60):
            print(f"  {count:8.1f} {name}")
