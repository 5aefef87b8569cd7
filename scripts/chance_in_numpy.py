"""The chance that a check fails by plain random draws, written with NumPy for many samples at once.

Mass even, centre normal, pads even in their discs, tilt even in its disc, how much arms bend drawn for all together, and
for each how far it differs; every state's loads and edges, and who fails: what `chance` does (docs/method.md).
"""

import numpy

GRAVITY = 9.80665
# Samples that are looked at together: what they need stays in the processor's cache.
TOGETHER = 10_000
# Anticlockwise seen from above.
AROUND = (0, 2, 3, 1)


def disc(random, shape):
    """Even in the disc of radius 1."""
    radius, turn = numpy.sqrt(random.random(shape)), 2 * numpy.pi * random.random(shape)
    return radius * numpy.cos(turn), radius * numpy.sin(turn)


def turned(a, b, c):
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def chances(question):
    """How often each check fails, in the order of the question's checks."""
    random = numpy.random.default_rng(1)
    counts = numpy.zeros(len(question["checks"]), dtype=int)
    for _ in range(question["samples"] // TOGETHER):
        counts += failures(question, random)
    return counts / question["samples"]


def failures(question, random):
    n, at = TOGETHER, numpy.array(question["pads"])
    mass_off, centre_off = random.uniform(-1, 1, n), random.standard_normal((3, n))
    dx, dy = disc(random, (4, n))
    x, y = at[:, :1] + question["placing"] * dx, at[:, 1:] + question["placing"] * dy
    tilt = numpy.array(disc(random, n)) * numpy.tan(question["level"])
    pad = 1 / question["pad_stiffness"]
    most = numpy.array(question["reaches"])[:, None] ** 3 / question["arm_stiffness"] + pad
    part = random.random(n) / (1 + question["arms_differ"] * random.uniform(-1, 1, (4, n)))
    k = 1 / (pad + (most - pad) * part)
    found = [state_of(question, state, mass_off, centre_off, (x, y), tilt, k) for state in question["states"]]
    return numpy.array([fails(check, found).sum() for check in question["checks"]])


def state_of(question, state, mass_off, centre_off, pads, tilt, k):
    """Mass, shares, distances from the edges, height above the pads."""
    (aft, left), (u_aft, u_left, u_up) = question["axes"], state["cg_uncertainty"]
    above = state["cg"][2] + u_up * centre_off[2] - question["height"]
    cx, cy = (
        state["cg"][axis] + aft[axis] * u_aft * centre_off[0] + left[axis] * u_left * centre_off[1] + tilt[axis] * above
        for axis in (0, 1)
    )
    mass = state["mass"] + state["mass_off"] * mass_off
    x, y = pads
    edges = {}
    for i, a in enumerate(AROUND):
        b = AROUND[(i + 1) % 4]
        edges[frozenset((a, b))] = turned((x[a], y[a]), (x[b], y[b]), (cx, cy)) / numpy.hypot(x[b] - x[a], y[b] - y[a])
    nearest = numpy.minimum.reduce(list(edges.values()))
    shares = linear_shares(x, y, k, cx, cy)
    pulls = (shares.min(0) < 0) & (nearest >= 0)
    if pulls.any():
        shares[:, pulls] = with_one_lifted(x[:, pulls], y[:, pulls], k[:, pulls], cx[pulls], cy[pulls])
    return mass, shares, edges, nearest, above


def linear_shares(x, y, k, cx, cy):
    """Of a rigid plane on four springs that could pull as well."""
    whole = k.sum(0)
    mx, my = (k * x).sum(0) / whole, (k * y).sum(0) / whole
    dx, dy = x - mx, y - my
    xx, xy, yy = (k * dx * dx).sum(0), (k * dx * dy).sum(0), (k * dy * dy).sum(0)
    px, py, size = cx - mx, cy - my, xx * yy - xy * xy
    return k * (1 / whole + (px * yy - py * xy) / size * dx + (py * xx - px * xy) / size * dy)


def levers(p, at):
    whole = turned(*p)
    return numpy.array([turned(at, p[1], p[2]), turned(p[0], at, p[2]), turned(p[0], p[1], at)]) / whole


def with_one_lifted(x, y, k, cx, cy):
    """Three carry, and the fourth hangs above its pad: of the four choices the one that comes nearest to that."""
    best, shares = numpy.full(len(cx), -numpy.inf), numpy.zeros_like(x)
    for lifted in range(4):
        on = [i for i in range(4) if i != lifted]
        corners = [(x[i], y[i]) for i in on]
        loads, there = levers(corners, (cx, cy)), levers(corners, (x[lifted], y[lifted]))
        sinks = (there * loads / k[on]).sum(0)
        fit = numpy.minimum(loads.min(0), -sinks * k[lifted])
        better = fit > best
        best = numpy.where(better, fit, best)
        own = numpy.zeros_like(x)
        own[on] = loads
        shares = numpy.where(better, own, shares)
    return shares


def fails(check, found):
    states = found if check["state"] is None else [found[check["state"]]]
    return numpy.logical_or.reduce([fails_in(check, state) for state in states])


def fails_in(check, state):
    mass, shares, edges, nearest, above = state
    kind, pads = check["id"].split(":")[0], check["corners"]
    if kind == "capacity":
        return mass > check["limit"]
    front = shares[0] + shares[1]
    demand = {
        "pad-rating": lambda: shares[pads].sum(0) * mass * GRAVITY,
        "pair-rating": lambda: shares[pads].sum(0) * mass * GRAVITY,
        "pad-carries": lambda: shares[pads[0]],
        "split-rule": lambda: numpy.maximum(front, 1 - front),
        "edge-distance": lambda: edges[frozenset(pads)],
        "tip-ratio": lambda: numpy.where(above > 0, nearest / above, numpy.inf),
    }[kind]()
    beyond = demand > check["limit"] if check["at_most"] else demand < check["limit"]
    return beyond | (nearest < 0)
