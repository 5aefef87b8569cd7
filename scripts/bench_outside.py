"""The table of speeds: the rows of `cargo bench --bench core`, and the same work in Python libraries and whole processes.

    bench_outside.py PROGRAM FOLDER DEMO_FOLDER

FOLDER holds bench-rows.json and bench-inputs.json, as `cargo bench --bench core -- --write FOLDER` writes them, and
fleet.csv. Times are the least and the median of many; a ratio is theirs to ours, of the least, as other
work on the machine lengthens medians unevenly. Where a package is not
installed, its row says so.
"""

import functools
import json
import math
import os
import pathlib
import resource
import subprocess
import sys
import tempfile
import time

LONGEST, SAMPLES = 2.0, (3, 200)


def timed(work):
    """Least and median seconds of the same work, again and again, and its last answer."""
    times, began = [], time.perf_counter()
    while len(times) < SAMPLES[0] or len(times) < SAMPLES[1] and time.perf_counter() - began < LONGEST:
        start = time.perf_counter()
        answer = work()
        times.append(time.perf_counter() - start)
    times.sort()
    return [times[0], times[len(times) // 2]], answer


def told(seconds):
    size, unit = (seconds * 1e6, "us") if seconds < 1e-3 else (seconds * 1e3, "ms") if seconds < 1 else (seconds, "s")
    return f"{size:.{2 if size < 10 else 1 if size < 100 else 0}f} {unit}"


class Table:
    """Rows as they are measured, printed in one table at the end."""

    def __init__(self, rows):
        self.rows = rows

    def ours(self, what):
        return next((row["ours"] for row in self.rows if row["what"] == what), None)

    def add(self, what, against, work, answers, ours=None):
        """`answers` tells how the answers compare, from what the work gives."""
        row = {"what": what, "ours": ours or self.ours(what), "against": against, "theirs": None}
        try:
            row["theirs"], answer = timed(work)
            row["answers"] = answers(answer)
        except ImportError as missing:
            row["answers"] = f"not measured: {missing.name} is not installed"
        # Beside the other rows of the same question.
        same = [k for k, other in enumerate(self.rows) if other["what"] == what]
        self.rows.insert(same[-1] + 1 if same else len(self.rows), row)

    def print(self):
        print("| what | ours: least, median | against | theirs: least, median | ratio of the least | answers |")
        print("|---|---|---|---|---|---|")
        for row in self.rows:
            if row["against"] == "" and any(o["what"] == row["what"] and o["against"] for o in self.rows):
                continue
            ours, theirs = row["ours"], row["theirs"]
            ratio = f"{theirs[0] / ours[0]:,.1f}" if ours and theirs and theirs[0] < 10 * ours[0] else (
                f"{theirs[0] / ours[0]:,.0f}" if ours and theirs else "")
            cells = (", ".join(map(told, times)) if times else "" for times in (ours, theirs))
            ours, theirs = cells
            print(f"| {row['what']} | {ours} | {row['against']} | {theirs} | {ratio} | {row['answers']} |")


def plan_rows(table, question):
    def search(starts):
        from setup_in_scipy import search

        return search(question, starts)

    def answers(found):
        from setup_in_scipy import Setups

        ours = question["ours"]
        again, held = Setups(question).worst([ours["spot"], *ours["pads"][0], *ours["pads"][2]])
        return (f"least reserve {ours['reserve']:.4f} by {ours['check']}, {found[0]:.4f}; "
                f"of our setup the script's checks find {again:.4f} by {held}")

    for starts, name in ((8, "eight climbs"), (1, "one climb")):
        what = f"the same search in SciPy, SLSQP: {name} from the best of 2,000 random setups"
        table.add("plan of a simple vehicle", what, lambda: search(starts), answers)


def statics_rows(table, question):
    what = "working force, four rated contacts, true cones"
    force, weight = question["forces"][0], question["mass_kg"] * 9.80665
    for sides in (8, 72):
        def program(sides=sides):
            import cross_check_scipy

            cross_check_scipy.SIDES = sides
            return cross_check_scipy.push_program(question, force, False)

        name = f"inscribed polygon of {sides} sides"
        answers = lambda push: f"{push * weight:.3f} N"
        table.add(what, f"HiGHS, {name}, solved", prepared(highs, program), answers)
        table.add(what, f"SciPy linprog, {name}, solved", prepared(scipy_push, program), answers)

    def statics(name):
        import cross_check_scipy

        return getattr(cross_check_scipy, name)(question)

    loads = lambda shares: f"{shares[0] * weight:.3f} N on the first"
    table.add("load estimate, four contacts", "SciPy SLSQP", lambda: statics("load_estimate"), loads)
    ends = lambda ranges: f"{ranges[0][0] * weight:.3f} to {ranges[0][1] * weight:.3f} N on the first"
    table.add("load range, four contacts", "SciPy linprog, eight programs", lambda: statics("load_ranges"), ends)


def prepared(solver, program):
    """Solving alone; the program is built at the first call."""
    made = functools.cache(lambda: solver(*program()))
    return lambda: made()()


def highs(cost, upper, limit, rows, right):
    """One model passed once, without presolve; every run forgets the last."""
    import highspy
    import numpy

    matrix = numpy.vstack([rows, upper])
    lp = highspy.HighsLp()
    lp.num_row_, lp.num_col_ = matrix.shape
    lp.col_cost_ = cost
    lp.col_lower_, lp.col_upper_ = numpy.zeros(len(cost)), numpy.full(len(cost), highspy.kHighsInf)
    lp.row_lower_ = numpy.concatenate([right, numpy.full(len(limit), -highspy.kHighsInf)])
    lp.row_upper_ = numpy.concatenate([right, limit])
    columns = [numpy.flatnonzero(column) for column in matrix.T]
    lp.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    lp.a_matrix_.start_ = numpy.cumsum([0] + [len(column) for column in columns])
    lp.a_matrix_.index_ = numpy.concatenate(columns)
    lp.a_matrix_.value_ = numpy.concatenate([matrix[column, k] for k, column in enumerate(columns)])
    model = highspy.Highs()
    model.silent()
    # A program so small is solved sooner without.
    model.setOptionValue("presolve", "off")
    model.passModel(lp)

    def solve():
        model.clearSolver()
        model.run()
        return -model.getInfo().objective_function_value

    return solve


def scipy_push(cost, upper, limit, rows, right):
    from scipy.optimize import linprog

    return lambda: -linprog(cost, A_ub=upper, b_ub=limit, A_eq=rows, b_eq=right, method="highs").fun


def chance_rows(table, questions):
    for what, question in questions.items():
        def draw():
            from chance_in_numpy import chances

            return chances(question)

        def apart(found):
            checks, samples = question["checks"], question["samples"]
            error = lambda c: math.hypot(c["error"], math.sqrt(c["chance"] * (1 - c["chance"]) / samples))
            some = [(c, there) for c, there in zip(checks, found) if 0.001 < c["chance"] < 0.999]
            most = max(abs(c["chance"] - there) / error(c) for c, there in some)
            return f"{len(some)} chances between 0.001 and 0.999, at the most {most:.1f} standard errors apart"

        table.add(what, "plain draws in NumPy, 10,000 at once", draw, apart)


def run(command, **options):
    return subprocess.run(command, capture_output=True, check=False, **options)


def survey_rows(table, program, folder, demo):
    fleet = folder / "fleet.csv"
    vehicles = len(fleet.read_text(encoding="utf-8").splitlines()) - 1
    lifts = len(list((demo / "lifts").glob("*.toml")))
    pairs, spent = vehicles * lifts, {}

    def survey(threads, cores):
        pinned = ["taskset", "-c", cores]
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        command = [program, "survey", "--lifts", demo / "lifts", "--vehicles", fleet, "--threads", str(threads)]
        ended = run([*pinned, *command, "--csv", folder / "survey.csv"])
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        if ended.returncode not in (0, 1):
            sys.exit(ended.stderr.decode())
        used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        spent[threads] = min(used, spent.get(threads, used))

    rate = lambda seconds: f"{pairs / seconds:,.0f} pairs a second"
    what = f"survey, {vehicles} drawn vehicles on {lifts} lifts, one core"
    one, _ = timed(lambda: survey(1, "0"))
    if (os.cpu_count() or 1) < 2:
        table.rows.append({"what": what, "ours": one, "against": "", "theirs": None, "answers": rate(one[0])})
        return
    two, _ = timed(lambda: survey(2, "0,1"))
    table.rows.append({
        "what": what, "ours": one, "against": "two cores", "theirs": two,
        "answers": f"{rate(one[0])} at the best, {rate(two[0])}; of processor time {rate(spent[1])} and core, {rate(spent[2])} and core",
    })


def process_rows(table, program, demo):
    nothing, _ = timed(lambda: run(["true"]))
    beside = {"against": "a process that does nothing", "theirs": nothing, "answers": ""}
    with tempfile.TemporaryDirectory() as folder:
        book = pathlib.Path(folder) / "small.book"
        small_book(program, book, demo)
        for what, arguments in (
            ("whole process: --version", ["--version"]),
            ("whole process: help", ["help"]),
            ("whole process: book show, one lift and one vehicle", ["book", "show", "--book", book]),
        ):
            ours, ended = timed(lambda: run([program, *arguments]))
            if ended.returncode != 0:
                sys.exit(ended.stderr.decode())
            table.rows.append({"what": what, "ours": ours, **beside})
    for lift in sorted((demo / "lifts").glob("*.toml")):
        for vehicle in sorted((demo / "vehicles").glob("*.toml")):
            ours, _ = timed(lambda: run([program, "plan", "--lift", lift, "--vehicle", vehicle, "--json"]))
            what = f"whole process: plan, {vehicle.stem} on {lift.stem}"
            table.rows.append({"what": what, "ours": ours, "against": "", "theirs": None, "answers": ""})


def small_book(program, book, demo):
    pin = {**os.environ, "STANDFAST_PIN": "4711"}
    for command in (
        ["new", "--shop", "Tarnwick Motor Works", "--zone", "Europe/Berlin", "--rules", "germany", "--lead", "r-holt",
         "--name", "R. Holt", "--of-age", "1990-03-04"],
        ["import", demo / "lifts/north-bay.toml", demo / "vehicles/hatchback.toml", "--as", "r-holt"],
    ):
        ended = run([program, "book", *command, "--book", book], env=pin)
        if ended.returncode != 0:
            sys.exit(ended.stderr.decode())


def main():
    program, folder, demo = (pathlib.Path(a).resolve() for a in sys.argv[1:4])
    table = Table(json.loads((folder / "bench-rows.json").read_text(encoding="utf-8")))
    inputs = json.loads((folder / "bench-inputs.json").read_text(encoding="utf-8"))
    plan_rows(table, inputs["plan"])
    statics_rows(table, inputs["support"])
    chance_rows(table, inputs["chances"])
    survey_rows(table, program, folder, demo)
    process_rows(table, program, demo)
    table.print()


if __name__ == "__main__":
    main()
