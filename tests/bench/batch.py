# SPDX-License-Identifier: GPL-3.0-or-later
"""Measures feedwright batch; run by batch.sh, which builds what is compared.

Every way of solving is run several times, in turn with the others; the best time of each counts, so
that what else the machine does falls on all alike. Tables are Markdown.
"""
import json
import os
import random
import subprocess
import sys
import tempfile
import time

ROOT, BUILD, LISTS = sys.argv[1], sys.argv[2], int(sys.argv[3])
PROGRAM = BUILD + "/src/feedwright"
SOLVERS = BUILD + "/tests/bench/batch_solvers"
DATA = ROOT + "/data"
ROUNDS = 7
SPREAD = 0.1
GLPSOL_LISTS = 200


def run(*arguments):
    done = subprocess.run([str(a) for a in arguments], stdout=subprocess.PIPE, check=True, text=True)
    return done.stdout


def prices(job, lists, file, seed=1, spread=SPREAD):
    with open(file, "w") as out:
        subprocess.run([SOLVERS, "prices", DATA, job, str(lists), str(spread), str(seed)],
                       stdout=out, check=True)


class Time:
    """The best time by the clock and of the processor, in seconds."""

    def __init__(self):
        self.wall = self.processor = float("inf")

    def add(self, wall, processor):
        self.wall = min(self.wall, wall)
        self.processor = min(self.processor, processor)


def batch_once(job, table, output, threads, *more):
    """One whole process, file to file: wall, processor seconds and peak memory in kB."""
    # time as the parent: a child that Python starts counts Python's own memory as its peak.
    command = ["/usr/bin/time", "-f", "%M", "-o", output + ".memory",
               PROGRAM, "batch", job, table, "-o", output, "--threads", str(threads),
               "--summary", output + ".summary", *more]
    if os.path.exists(output):
        os.remove(output)  # emptying a large file takes time that is not the program's
    start = time.perf_counter()
    child = subprocess.Popen(command)
    _, status, usage = os.wait4(child.pid, 0)
    wall = time.perf_counter() - start
    child.returncode = os.waitstatus_to_exitcode(status)
    if child.returncode != 0:
        raise SystemExit(f"{command} ended with {child.returncode}")
    with open(output + ".memory") as text:
        return wall, usage.ru_utime + usage.ru_stime, int(text.read())


def costs_of(output):
    with open(output) as lines:
        return [json.loads(line)["cost_per_kg"] for line in lines]


def highs_loop(job, table, count, compared):
    """scipy's linprog, a call a list, with its own tolerances; its time. And how far the costs in
    `compared` are from HiGHS's, which is asked again with its tightest tolerances where they are not
    within 1e-9; and on how many lists that was so."""
    import numpy
    from scipy.optimize import linprog
    program = json.loads(run(SOLVERS, "json", DATA, job))
    upper, upper_limit, equal, equal_limit = [], [], [], []
    for row in program["rows"]:
        if row["lower"] is not None and row["lower"] == row["upper"]:
            equal.append(row["a"])
            equal_limit.append(row["lower"])
            continue
        if row["upper"] is not None:
            upper.append(row["a"])
            upper_limit.append(row["upper"])
        if row["lower"] is not None:
            upper.append([-a for a in row["a"]])
            upper_limit.append(-row["lower"])
    arrays = [numpy.array(x) if x else None for x in (upper, upper_limit, equal, equal_limit)]
    with open(table) as lines:
        next(lines)
        lists = [numpy.array([float(c) for c in line.split(",")[1:]]) for line in lines][:count]

    def solve(list_prices, **options):
        return linprog(list_prices, *arrays, bounds=program["columns"], method="highs",
                       options=options).fun

    start = time.perf_counter()
    costs = [solve(list_prices) for list_prices in lists]
    wall = time.perf_counter() - start
    again, largest = 0, 0.0
    for list_prices, cost, ours in zip(lists, costs, compared):
        if abs(ours - cost) > 1e-9 * abs(cost):
            again += 1
            cost = solve(list_prices, dual_feasibility_tolerance=1e-10,
                         primal_feasibility_tolerance=1e-10)
        largest = max(largest, abs(ours - cost) / abs(cost))
    return wall, largest, again


def apart(costs, others):
    """By how much of a cost the first are dearer, and cheaper, at most."""
    shares = [(a - b) / abs(b) for a, b in zip(costs, others)]
    return max(0.0, max(shares)), max(0.0, -min(shares))


def close_prices(job, file):
    """The job with every unused ingredient at the price at which it would come in: the hardest
    prices there are, because next to nothing decides which ingredients are in the mix."""
    answer = json.loads(run(PROGRAM, "formulate", job, "--as", "json"))
    enters = {item["id"]: item.get("enters_below") for item in answer["unused"]}
    with open(job) as text:
        document = json.load(text)
    for item in document["ingredients"]:
        if enters.get(item["id"]):
            item["price"] = round(enters[item["id"]], 4)
    with open(file, "w") as out:
        json.dump(document, out)


def made_job(ingredients, limits, file):
    """A job of made-up ingredients and nutrients, its limits just below what an even mix holds."""
    rng = random.Random(1000 * ingredients + limits)
    names = [f"n{k}" for k in range(limits)]
    items, total = [], dict.fromkeys(names, 0.0)
    for i in range(ingredients):
        values = {name: round(rng.uniform(0, 20), 3) for name in names if rng.random() < 0.8}
        for name, value in values.items():
            total[name] += value
        items.append({"id": f"i{i:03}", "name": f"ingredient {i}", "price": 0, "nutrients": values})
        items[-1]["price"] = round(0.2 + 0.01 * sum(values.values()) * 30 / limits
                                   + rng.uniform(0, 0.2), 4)
    document = {
        "format": "feedwright-job/1", "title": f"{ingredients} ingredients, {limits} limits",
        "nutrients": [{"id": n, "name": n, "unit": "%"} for n in names],
        "ingredients": items,
        "limits": [{"nutrient": n, "min": round(0.95 * total[n] / ingredients, 4)} for n in names]}
    with open(file, "w") as out:
        json.dump(document, out)


def library_pages():
    """As-fed compositions of the library, by ingredient: what one can buy dry and by the sack."""
    pages = {}
    for item in json.loads(run(PROGRAM, "list", "ingredients", "--as", "json"))["ingredients"]:
        page = json.loads(run(PROGRAM, "show", item["id"], "--as", "json"))
        values = {v["nutrient"]: v["value"] for v in page["as_fed"]}
        if values.get("dry_matter", 0) > 80 and "crude_protein" in values and "lysine" in values:
            pages[item["id"]] = values
    return pages


def library_job(pages, ingredients, limits, file):
    """Ingredients of the library, spread over it; the nutrients known of most of them, each at least
    seven tenths of what an even mix holds. Prices are invented: by protein, with a share of chance."""
    rng = random.Random(ingredients * 1000 + limits)
    ids = sorted(pages)
    ids = [ids[k * len(ids) // ingredients] for k in range(ingredients)]
    sums = {}
    for i in ids:
        for nutrient, value in pages[i].items():
            known, total = sums.get(nutrient, (0, 0.0))
            sums[nutrient] = known + 1, total + value
    best_known = sorted(sums, key=lambda n: (-sums[n][0], n))
    chosen = [n for n in best_known if sums[n][1] > 0 and n not in ("dry_matter", "moisture")]
    document = {
        "format": "feedwright-job/1", "title": f"{ingredients} ingredients, {limits} limits",
        "ingredients": [{"id": i, "price": round((0.1 + 0.012 * pages[i]["crude_protein"])
                                                 * rng.uniform(0.8, 1.25), 4)} for i in ids],
        "limits": [{"nutrient": n, "min": round(0.7 * sums[n][1] / ingredients, 5)}
                   for n in chosen[:limits]]}
    with open(file, "w") as out:
        json.dump(document, out)


def recalled(output):
    with open(output + ".summary") as text:
        words = " ".join(text.read().split())
    return words.split(" % of the mixes were known")[0].split()[-1]


def row(*cells):
    print("| " + " | ".join(str(c) for c in cells) + " |", flush=True)


def head(*cells):
    row(*cells)
    print("|" + "---|" * len(cells), flush=True)


def compare(work, title, job):
    table, output = work + "/prices.csv", work + "/out.jsonl"
    prices(job, LISTS, table)
    ways = {name: Time() for name in ("batch", "batch2", "glpk", "clp", "lp_solve")}
    for _ in range(ROUNDS):
        ways["batch"].add(*batch_once(job, table, output, 1)[:2])
        ways["batch2"].add(*batch_once(job, table, work + "/out2.jsonl", 2)[:2])
        for name in ("glpk", "clp", "lp_solve"):
            words = run(SOLVERS, name, DATA, job, table, f"{work}/{name}").split()
            ways[name].add(float(words[2]), float(words[3]))
    with open(output, "rb") as one, open(work + "/out2.jsonl", "rb") as two:
        same = one.read() == two.read()
    costs = costs_of(output)
    wall, largest, again = highs_loop(job, table, LISTS, costs)
    folder = work + "/glpsol"
    os.makedirs(folder, exist_ok=True)
    glpsol = Time()
    for _ in range(3):
        words = run(SOLVERS, "glpsol", DATA, job, table, GLPSOL_LISTS, folder).split()
        glpsol.add(float(words[2]), float(words[3]))

    print(f"\n### {title}\n")
    print(f"{LISTS} lists; {recalled(output)} % of them needed no vertex that was not known yet. "
          f"Lines with two threads {'are the same bytes' if same else 'DIFFER'}.\n")
    head("way", "lists", "microseconds a list", "lists a second", "batch is faster by")
    ours = ways["batch"].wall / LISTS

    def show(name, lists, seconds):
        each = seconds / lists
        row(name, lists, f"{each * 1e6:.2f}", f"{1 / each:,.0f}", f"{each / ours:.1f}")

    show("batch, file to file, 1 thread", LISTS, ways["batch"].wall)
    show("batch, file to file, 2 threads", LISTS, ways["batch2"].wall)
    show("GLPK, warm-started loop in memory", LISTS, ways["glpk"].wall)
    show("Clp, warm-started loop in memory", LISTS, ways["clp"].wall)
    show("lp_solve, warm-started loop in memory", LISTS, ways["lp_solve"].wall)
    show("scipy linprog(method=\"highs\")", LISTS, wall)
    show("one glpsol process a list", GLPSOL_LISTS, glpsol.wall)
    print(f"\nCosts agree with HiGHS's within {largest:.1e} on all lists; {again} of them had to be "
          "solved again with its tightest tolerances for that.")
    for name in ("glpk", "clp", "lp_solve"):
        with open(f"{work}/{name}") as lines:
            dearer, cheaper = apart(costs, [float(x) for x in lines])
        print(f"Against {name} batch is dearer by at most {dearer:.0e}, cheaper by at most "
              f"{cheaper:.0e} of the cost.")


def threads(work, job):
    """Long enough that starting the program counts for nothing."""
    lists = 20 * LISTS
    table, output = work + "/prices.csv", work + "/out.jsonl"
    prices(job, lists, table)
    best = {1: Time(), 2: Time()}
    for _ in range(ROUNDS):
        for count, kept in best.items():
            kept.add(*batch_once(job, table, output, count)[:2])
    return lists, best


def grow(work, title, sizes, make):
    """How the time of a list grows; GLPK's warm-started loop beside it."""
    print(f"\n### {title}\n")
    head("ingredients", "limits", "microseconds a list", "per ingredient x limit, ns",
         "lists known, %", "GLPK loop, microseconds", "batch dearer by", "cheaper by")
    job, table, output = work + "/made.json", work + "/prices.csv", work + "/out.jsonl"
    for ingredients, limits in sizes:
        make(ingredients, limits, job)
        prices(job, LISTS, table)
        ours, glpk = Time(), Time()
        for _ in range(3):
            ours.add(*batch_once(job, table, output, 1)[:2])
            words = run(SOLVERS, "glpk", DATA, job, table, work + "/glpk").split()
            glpk.add(float(words[2]), float(words[3]))
        with open(work + "/glpk") as lines:
            dearer, cheaper = apart(costs_of(output), [float(x) for x in lines])
        each = ours.wall / LISTS
        row(ingredients, limits, f"{each * 1e6:.2f}", f"{each * 1e9 / ingredients / limits:.2f}",
            recalled(output), f"{glpk.wall / LISTS * 1e6:.2f}", f"{dearer:.0e}", f"{cheaper:.0e}")


def main():
    forty = ROOT + "/tests/bench/forty-by-thirty.json"
    with tempfile.TemporaryDirectory() as work:
        close = work + "/close.json"
        close_prices(forty, close)
        print(f"Processors: {os.cpu_count()}; load when begun: {os.getloadavg()[0]:.1f}")
        compare(work, "Prices within 10 % of invented ones", forty)
        compare(work, "Prices within 10 % of those at which every ingredient just comes in", close)

        print("\n### Threads\n")
        head("prices", "lists", "1 thread, s", "2 threads, s", "faster by",
             "processor time, 2 to 1")
        for name, job in (("invented", forty), ("close", close)):
            lists, best = threads(work, job)
            row(name, lists, f"{best[1].wall:.3f}", f"{best[2].wall:.3f}",
                f"{best[1].wall / best[2].wall:.2f}",
                f"{best[2].processor / best[1].processor:.2f}")

        print("\n### Lists and memory\n")
        head("prices", "lists", "microseconds a list", "peak memory, MB")
        for name, job in (("invented", forty), ("close", close)):
            for lists in (LISTS // 20, LISTS // 2, LISTS * 5, LISTS * 50):
                table, output = work + "/prices.csv", work + "/out.jsonl"
                prices(job, lists, table)
                best, memory = Time(), 0
                for _ in range(3):
                    wall, processor, peak = batch_once(job, table, output, 2)
                    best.add(wall, processor)
                    memory = max(memory, peak)
                row(name, lists, f"{best.wall / lists * 1e6:.2f}", f"{memory / 1024:.1f}")

        pages = library_pages()
        sizes = [(n, 30) for n in (10, 20, 40, 80, 160)] + [(40, m) for m in (7, 15, 60)]
        grow(work, "Ingredients and limits: compositions of the library", sizes,
             lambda n, m, file: library_job(pages, n, m, file))
        grow(work, "Ingredients and limits: numbers by chance", sizes + [(40, 120)], made_job)


main()
