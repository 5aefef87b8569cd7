"""Seeded support sets in the form that `standfast solve` reads, and a way to ask it."""

import json
import math
import random
import subprocess

GRAVITY = 9.80665  # CGPM 1901


def support_set(seed):
    """Three to eight contacts round an oval, all kinds of resistance, some with ratings."""
    draw = random.Random(seed)
    count = draw.randint(3, 8)
    base = draw.uniform(0.1, 1.8)
    start = draw.uniform(0, 2 * math.pi)
    contacts = []
    for i in range(count):
        angle = start + 2 * math.pi / count * (i + draw.uniform(-0.3, 0.3))
        size = draw.uniform(0.7, 1.3)
        line = draw.uniform(0, 2 * math.pi)
        kind = draw.choice(["every-direction"] * 3 + ["only-along", "blocks"])
        unit = [math.cos(line), math.sin(line)]
        contacts.append(
            {
                "name": f"contact {i + 1}",
                "at_m": [1.3 * size * math.cos(angle), 0.7 * size * math.sin(angle), base + draw.uniform(0, 0.2)],
                "place_tolerance_m": draw.uniform(0, 0.02),
                "stiffness_n_per_m": 10 ** draw.uniform(5, 6.5),
                "gap_m": draw.uniform(0, 0.004) if draw.random() < 0.5 else 0,
                "friction": draw.uniform(0.05, 0.8),
                "rated_n": draw.uniform(6e3, 3e4) if draw.random() < 0.4 else None,
                "resists": kind if kind == "every-direction" else {kind: unit},
            }
        )
    shares = [draw.expovariate(1) for _ in contacts]
    push = draw.uniform(1.2, 3) if draw.random() < 0.2 else 1
    cg = [push * sum(s * c["at_m"][k] for s, c in zip(shares, contacts)) / sum(shares) for k in (0, 1)]
    return {
        "contract": "standfast/solve/1",
        "mass_kg": draw.uniform(1000, 4000),
        "mass_tolerance_kg": 0,
        "cg_m": cg + [base + draw.uniform(0.2, 0.8)],
        "cg_tolerance_m": [draw.uniform(0, 0.03) for _ in range(3)],
        "tilt_tolerance_rad": draw.uniform(0, 0.02),
        "contacts": contacts,
        "forces": [
            {
                "name": "pull",
                "at_m": [cg[k] + draw.uniform(-0.8, 0.8) for k in (0, 1)] + [base + draw.uniform(-0.2, 1.2)],
                "direction": [draw.uniform(-1, 1), draw.uniform(-1, 1), draw.uniform(-0.5, 0.5)],
            }
        ],
    }


def solve(program, question):
    """The program's answer; an error when it gives none."""
    run = subprocess.run(
        [program, "solve", "-"], input=json.dumps(question), capture_output=True, text=True, timeout=60, check=False
    )
    if run.returncode != 0:
        raise RuntimeError(f"exit status {run.returncode}: {run.stderr.strip()}")
    return json.loads(run.stdout)


def unit(vector):
    size = math.sqrt(sum(v * v for v in vector))
    return [v / size for v in vector]
