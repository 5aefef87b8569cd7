"""Whole-process times of every demo plan, and the statics beside the same work in SciPy.

    python bench_against_scipy.py PROGRAM BENCH_OUTPUT DEMO_FOLDER
"""

import pathlib
import re
import statistics
import subprocess
import sys
import time

import cross_check_scipy
from cross_check_scipy import load_estimate, load_ranges, withstands

# The coarsest cut of the friction cone that keeps to 0.1 %, to be fair.
cross_check_scipy.SIDES = 72

UNITS = {"ns": 1e-9, "µs": 1e-6, "ms": 1e-3, "s": 1.0}
ROUNDS = 20


def contract_example():
    def contact(name, x, y):
        return {
            "name": name, "at_m": [x, y, 0.2], "place_tolerance_m": 0.015, "stiffness_n_per_m": 350000,
            "gap_m": 0, "friction": 0.2, "rated_n": 8000, "resists": "every-direction",
        }

    return {
        "contract": "standfast/solve/1", "mass_kg": 1360, "mass_tolerance_kg": 0,
        "cg_m": [-1.03, 0.01, 0.54], "cg_tolerance_m": [0.02, 0.01, 0.02], "tilt_tolerance_rad": 0.017,
        "contacts": [
            contact("front-left", -0.5, 0.72), contact("front-right", -0.5, -0.72),
            contact("rear-left", -1.9, 0.72), contact("rear-right", -1.9, -0.72),
        ],
        "forces": [{"name": "pull on hub", "at_m": [0, 0.8, 0.33], "direction": [0, 1, 0]}],
    }


def median_of(work):
    times = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        work()
        times.append(time.perf_counter() - began)
    return statistics.median(times)


def rust_medians(path):
    """Name -> median seconds, from the bench's table: fastest, slowest, median, mean."""
    found = {}
    for line in pathlib.Path(path).read_text(encoding="utf-8").splitlines():
        cells = re.findall(r"([\d.]+) (ns|µs|ms|s)\b", line)
        name = re.match(r"[│├╰─ ]*(\w+)", line)
        if len(cells) >= 4 and name:
            found.setdefault(name.group(1), float(cells[2][0]) * UNITS[cells[2][1]])
    return found


def main():
    program, bench, demo = sys.argv[1], sys.argv[2], pathlib.Path(sys.argv[3])
    rust = rust_medians(bench)
    question = contract_example()
    force = question["forces"][0]
    print("\nthe same work in SciPy, medians; ratio = SciPy / ours")
    for name, work in (
        ("working_force", lambda: withstands(question, force, False)),
        ("load_estimate", lambda: load_estimate(question)),
        ("load_range", lambda: load_ranges(question)),
    ):
        scipy = median_of(work)
        ours = rust.get(name)
        ratio = f"{scipy / ours:8.0f}" if ours else "       ?"
        print(f"  {name:16} ours {ours * 1e6 if ours else float('nan'):9.2f} µs   SciPy {scipy * 1e6:10.0f} µs   ratio {ratio}")
    print("\nwhole process, medians of", ROUNDS)
    for lift in sorted((demo / "lifts").glob("*.toml")):
        for vehicle in sorted((demo / "vehicles").glob("*.toml")):
            command = [program, "plan", "--lift", lift, "--vehicle", vehicle, "--json"]
            took = median_of(lambda: subprocess.run(command, capture_output=True, check=False))
            print(f"  {vehicle.stem:18} on {lift.stem:12} {took * 1e3:7.1f} ms")


if __name__ == "__main__":
    main()
