"""`standfast solve` against SciPy: load ranges and working force by HiGHS, load estimate by SLSQP.

    python cross_check_scipy.py PROGRAM [SETS]

The circular friction cones are cut twice, from inside and from outside: the true optimum lies between.
"""

import math
import sys

import numpy
from scipy.optimize import linprog, minimize

from support_sets import GRAVITY, solve, support_set, unit

SIDES = 360
# A push of so many weights has no end.
NO_END = 1e4
KEYS = {"contract", "outcome", "contacts", "edges", "assured_edge_distance_m", "tip_ratio", "forces", "residual_n", "residual_nm"}
CONTACT_KEYS = {"name", "load_least_n", "load_greatest_n", "load_estimate_n", "seat_gap_m", "without_it"}
FORCE_KEYS = {"name", "first_unloads_n", "unloads", "withstands_n", "limited_by"}


def plan_balance(question):
    """Rows and right side of force and moments of vertical loads, in weights about the CG."""
    cg = question["cg_m"]
    at = numpy.array([c["at_m"] for c in question["contacts"]])
    return numpy.array([numpy.ones(len(at)), at[:, 0] - cg[0], at[:, 1] - cg[1]]), numpy.array([1.0, 0.0, 0.0])


def load_ranges(question):
    rows, right = plan_balance(question)
    ranges = []
    for i in range(rows.shape[1]):
        cost = numpy.zeros(rows.shape[1])
        cost[i] = 1
        ends = [linprog(sign * cost, A_eq=rows, b_eq=right, method="highs") for sign in (1, -1)]
        if any(end.status == 2 for end in ends):
            return None
        ranges.append([ends[0].fun, -ends[1].fun])
    return ranges


def load_estimate(question):
    """Least complementary energy of one-sided springs with gaps, loads in weights."""
    rows, right = plan_balance(question)
    weight = question["mass_kg"] * GRAVITY
    most = max(c["stiffness_n_per_m"] for c in question["contacts"])
    curve = numpy.array([most / c["stiffness_n_per_m"] for c in question["contacts"]])
    slope = numpy.array([c["gap_m"] * most / weight for c in question["contacts"]])
    start = linprog(numpy.zeros(len(curve)), A_eq=rows, b_eq=right, method="highs").x
    found = minimize(
        lambda n: 0.5 * n @ (curve * n) + slope @ n,
        start,
        jac=lambda n: curve * n + slope,
        bounds=[(0, None)] * len(curve),
        constraints={"type": "eq", "fun": lambda n: rows @ n - right, "jac": lambda n: rows},
        method="SLSQP",
        options={"ftol": 1e-15, "maxiter": 1000},
    )
    return found.x if found.success or numpy.abs(rows @ found.x - right).max() < 1e-9 else None


def rays(contact, outside):
    """Generators of a contact's cone, cut from inside or from outside."""
    friction, resists = contact["friction"], contact["resists"]
    if resists == "every-direction":
        reach = friction / math.cos(math.pi / SIDES) if outside else friction
        turns = [2 * math.pi * k / SIDES for k in range(SIDES)]
        return [[reach * math.cos(t), reach * math.sin(t), 1] for t in turns]
    if "only-along" in resists:
        u = unit(resists["only-along"])
        return [[s * friction * u[0], s * friction * u[1], 1] for s in (1, -1)]
    u = unit(resists["blocks"])
    across = [[-s * friction * u[1], s * friction * u[0], 1] for s in (1, -1)]
    return across + [[u[0], u[1], 0], [-u[0], -u[1], 0]]


def push_program(question, force, outside):
    """Largest push in weights as a linear program over rays of the cones: cost, rated rows, their limits, balance, its right side."""
    weight = question["mass_kg"] * GRAVITY
    cg = numpy.array(question["cg_m"])
    columns, owners = [], []
    for i, contact in enumerate(question["contacts"]):
        arm = numpy.array(contact["at_m"]) - cg
        for ray in rays(contact, outside):
            columns.append(numpy.concatenate([ray, numpy.cross(arm, ray)]))
            owners.append((i, ray[2]))
    direction = unit(force["direction"])
    push = numpy.concatenate([direction, numpy.cross(numpy.array(force["at_m"]) - cg, direction)])
    rows = numpy.array(columns + [push]).T
    right = numpy.array([0, 0, 1, 0, 0, 0], dtype=float)
    rated = [(i, c["rated_n"] / weight) for i, c in enumerate(question["contacts"]) if c["rated_n"] is not None]
    upper = numpy.array([[z if o == i else 0.0 for o, z in owners] + [0.0] for i, _ in rated]) if rated else None
    limit = numpy.array([r for _, r in rated]) if rated else None
    cost = numpy.zeros(rows.shape[1])
    cost[-1] = -1
    return cost, upper, limit, rows, right


def withstands(question, force, outside):
    """Largest push in weights: a number, None when there is no end to it, 0 when nothing balances."""
    cost, upper, limit, rows, right = push_program(question, force, outside)
    still = [(0, None)] * (len(cost) - 1)
    rest = linprog(0 * cost, A_ub=upper, b_ub=limit, A_eq=rows, b_eq=right, bounds=still + [(0, 0)], method="highs")
    if rest.status != 0:
        # Status 2, or 4 where HiGHS finds it infeasible without a certificate.
        if "nfeasible" in rest.message:
            return 0.0
        raise RuntimeError(f"HiGHS: {rest.message}")
    found = linprog(cost, A_ub=upper, b_ub=limit, A_eq=rows, b_eq=right, bounds=still + [(0, NO_END)], method="highs")
    if found.status == 3 or found.status == 0 and -found.fun > 0.9 * NO_END:
        return None
    if found.status != 0:
        raise RuntimeError(f"HiGHS: {found.message}")
    return -found.fun


def differences(question, answer):
    """Everything in which the answer departs from SciPy's."""
    found = []
    weight = question["mass_kg"] * GRAVITY
    if not KEYS <= answer.keys():
        return [f"keys missing: {KEYS - answer.keys()}"]
    for contact in answer["contacts"]:
        if not CONTACT_KEYS <= contact.keys():
            return [f"keys of a contact missing: {CONTACT_KEYS - contact.keys()}"]
    ranges = load_ranges(question)
    loads = [c["load_estimate_n"] for c in answer["contacts"]]
    if ranges is None:
        if any(load is not None for load in loads):
            found.append("loads though nothing balances")
        if answer["outcome"] == "stable":
            found.append("stable though nothing balances")
    else:
        for c, (least, most) in zip(answer["contacts"], ranges):
            for name, have, want in (("least", c["load_least_n"], least), ("greatest", c["load_greatest_n"], most)):
                if have is None or abs(have / weight - want) > 1e-6:
                    found.append(f"{c['name']}: {name} {have}, SciPy {want * weight}")
        estimate = load_estimate(question)
        if estimate is not None:
            for c, want in zip(answer["contacts"], estimate):
                if c["load_estimate_n"] is None or abs(c["load_estimate_n"] / weight - want) > 2e-5:
                    found.append(f"{c['name']}: estimate {c['load_estimate_n']}, SciPy {want * weight}")
        if None not in loads:
            at = [c["at_m"] for c in question["contacts"]]
            lost = abs(sum(loads) - weight)
            moved = max(abs(sum(n * (p[k] - question["cg_m"][k]) for n, p in zip(loads, at))) for k in (0, 1))
            if lost > 1e-6 * weight or moved > 1e-6 * weight:
                found.append(f"out of balance by {lost} N, {moved} N m")
        for key in ("residual_n", "residual_nm"):
            if answer[key] is None or not 0 <= answer[key] < 1e-6 * weight:
                found.append(f"{key} is {answer[key]}")
    for force, said in zip(question["forces"], answer["forces"]):
        if not FORCE_KEYS <= said.keys():
            return [f"keys of a force missing: {FORCE_KEYS - said.keys()}"]
        inside, outside = (withstands(question, force, cut) for cut in (False, True))
        have = said["withstands_n"]
        if inside is None or outside is None:
            if have is not None and inside is None:
                found.append(f"{force['name']}: {have}, SciPy no end")
        elif have is None:
            found.append(f"{force['name']}: no end, SciPy {inside * weight}")
        elif have / weight > outside * (1 + 1e-6) + 1e-6 or have / weight < inside * 0.999 - 1e-6:
            found.append(f"{force['name']}: {have}, SciPy between {inside * weight} and {outside * weight}")
    return found


def main():
    program = sys.argv[1]
    count = int(sys.argv[2]) if len(sys.argv) > 2 else 200
    wrong = 0
    for seed in range(count):
        question = support_set(seed)
        try:
            found = differences(question, solve(program, question))
        except (RuntimeError, KeyError, ValueError) as error:
            found = [f"{type(error).__name__}: {error}"]
        if found:
            wrong += 1
            print(f"set {seed}:", *found, sep="\n    ")
    print(f"SciPy: {count} support sets compared, {wrong} differ")
    sys.exit(1 if wrong or not count else 0)


if __name__ == "__main__":
    main()
