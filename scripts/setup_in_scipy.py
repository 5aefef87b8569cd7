"""The search for the best setup of the bench's own car, written with NumPy and SciPy: what `scripts/bench` sets beside `plan`.

Every check that steers the search is here but those of pad heights, which are the same for every setup of this car, as
all its undersides are alike: they enter as what they leave. The car has no doors, keep-outs or parts, the lift no teeth
and no plate. Each check is written from docs/method.md for many setups at once. A setup is a row of five numbers:
spot, then aft and left of the two left-hand pads; the right-hand ones mirror them, as they do in `plan` where lift and
vehicle are alike on both sides.
"""

import numpy
from scipy.optimize import minimize

GRAVITY = 9.80665
MOST = 9.0
# Random setups to begin with.
THROWS = 2000
BOX = numpy.array([[1, 1], [1, -1], [-1, 1], [-1, -1]], dtype=float)
CORNERS = ("front-left", "front-right", "rear-left", "rear-right")
# Anticlockwise seen from above.
EDGES = ((0, 2), (2, 3), (3, 1), (1, 0))


def norm(v):
    return numpy.hypot(v[..., 0], v[..., 1])


def point_to_line(p, a, b):
    """Distance of points from straight lines between two ends."""
    along = b - a
    part = ((p - a) * along).sum(-1) / (along * along).sum(-1)
    return norm(p - a - numpy.clip(part, 0, 1)[..., None] * along)


class Setups:
    """The checks of one question, for many setups at once."""

    def __init__(self, question):
        q = self.question = question
        self.limits = {c["id"]: c["limit"] for c in q["checks"]}
        self.pivot = numpy.array([arm["pivot"] for arm in q["arms"]])
        self.reach = numpy.array([arm["reach"] for arm in q["arms"]])
        self.swing = numpy.array([arm["swing"] for arm in q["arms"]])
        self.half_beam = numpy.array([arm["beam_width"] for arm in q["arms"]]) / 2
        least, greatest = numpy.array(q["least"]), numpy.array(q["greatest"])
        self.area = numpy.array([least[1:].reshape(4, 2), greatest[1:].reshape(4, 2)])
        own = [0, 1, 2, 5, 6]
        self.least, self.greatest = least[own], greatest[own]
        self.heights = min(c["reserve"] for c in q["checks"] if c["id"].split(":")[0] in ("level", "pad-entry", "arm-under-sill"))
        height, width = q["tyre"]
        self.tyres = numpy.array([
            [[aft - height / 2, side * track / 2 - width / 2], [aft + height / 2, side * track / 2 + width / 2]]
            for aft, track in zip((0, q["wheelbase"]), q["tracks"]) for side in (1, -1)
        ])
        self.heaviest = (q["mass"] + q["mass_tolerance"]) * GRAVITY

    def four_pads(self, x):
        """On the vehicle: aft and left."""
        mirror = numpy.array([1, -1])
        front, rear = x[:, 1:3], x[:, 3:5]
        return numpy.stack([front, front * mirror, rear, rear * mirror], axis=1)

    def reserves(self, x):
        """Reserves of all checks, one row a setup."""
        q, spot, found = self.question, x[:, 0], []

        def at_least(check, demand):
            found.append((check, numpy.minimum(demand / self.limits[check] - 1, MOST)))

        def at_most(check, demand):
            found.append((check, numpy.minimum(self.limits[check] / numpy.maximum(demand, 1e-12) - 1, MOST)))

        pads = self.four_pads(x)
        bay = numpy.stack([spot[:, None] - pads[..., 0], pads[..., 1]], axis=-1)
        arm = bay - self.pivot
        reach = norm(arm)
        angle = numpy.arctan2(arm[..., 1], arm[..., 0])
        off = (angle - self.swing.mean(1) + numpy.pi) % (2 * numpy.pi) - numpy.pi
        half = (self.swing[:, 1] - self.swing[:, 0]) / 2
        pivot = numpy.stack([spot[:, None] - self.pivot[:, 0], numpy.broadcast_to(self.pivot[:, 1], reach.shape)], axis=-1)
        for i, corner in enumerate(CORNERS):
            for depth in (*(pads[:, i] - self.area[0, i]).T, *(self.area[1, i] - pads[:, i]).T):
                at_least(f"pad-in-area:{corner}", depth)
            at_least(f"reach-in:{corner}", reach[:, i] - self.reach[i, 0])
            at_least(f"reach-out:{corner}", self.reach[i, 1] - reach[:, i])
            at_least(f"swing-from:{corner}", half[i] + off[:, i])
            at_least(f"swing-to:{corner}", half[i] - off[:, i])
            for wheel in (i % 2, i % 2 + 2):
                apart = line_to_rectangle(pivot[:, i], pads[:, i], self.tyres[wheel])
                at_least(f"arm-to-tyre:{corner}:{CORNERS[wheel]}", apart - self.half_beam[i])
        for side, (front, rear) in (("left", (0, 2)), ("right", (1, 3))):
            apart = line_to_line(pivot[:, front], pads[:, front], pivot[:, rear], pads[:, rear])
            at_least(f"arm-to-arm:{side}", apart - self.half_beam[front] - self.half_beam[rear])
        at_least("bay-ahead", q["bay"][0] - spot - q["overhangs"][0])
        at_least("bay-behind", q["bay"][1] + spot - q["wheelbase"] - q["overhangs"][1])

        cg = numpy.stack([spot - q["cg"][0], numpy.full_like(spot, q["cg"][1])], axis=-1)
        # Arms that bend by the cube of their reach, those of one diagonal stiffer and the others softer; and rigid ones.
        diagonal = q["arms_differ"] * numpy.array([1, -1, -1, 1])
        arms = [q["arm_stiffness"] * (1 + off) / numpy.maximum(reach, 0.05) ** 3 for off in (diagonal, -diagonal)]
        bending = [1 / (1 / arm + 1 / q["pad_stiffness"]) for arm in arms]
        for stiffness in (*bending, numpy.full_like(reach, q["pad_stiffness"])):
            shares = self.assured_shares(bay, stiffness, cg)
            for i, corner in enumerate(CORNERS):
                least, greatest = shares([i])
                at_least(f"pad-carries:{corner}", least)
                at_most(f"pad-rating:{corner}", greatest * self.heaviest)
            for end, pair in (("front", [0, 1]), ("rear", [2, 3])):
                at_most(f"pair-rating:{end}", shares(pair)[1] * self.heaviest)
        above = q["cg"][2] + q["cg_tolerance"][2] - q["underside"]
        for a, b in EDGES:
            assured = self.assured_edge(bay[:, a], bay[:, b], cg, above * numpy.tan(q["level"]))
            at_least(f"edge-distance:{edge_name(a, b)}", assured)
            at_least("tip-ratio", assured / above)
        found.append(("heights", numpy.full_like(spot, self.heights)))
        return [name for name, _ in found], numpy.stack([reserve for _, reserve in found], axis=1)

    def assured_shares(self, bay, stiffness, cg):
        """Least and greatest share of some pads together, as if pads could pull."""
        rows = numpy.concatenate([numpy.ones(bay.shape[:2] + (1,)), bay - cg[:, None]], axis=-1)
        system = numpy.einsum("ni,nia,nib->nab", stiffness, rows, rows)
        corners = numpy.concatenate([numpy.ones((4, 1)), BOX * self.question["cg_tolerance"][:2]], axis=1).T
        right = numpy.concatenate([numpy.broadcast_to(corners, (len(bay), 3, 4)), rows.transpose(0, 2, 1)], axis=-1)
        solved = numpy.linalg.solve(system, right)
        sinks, soft = solved[..., :4], solved[..., 4:].transpose(0, 2, 1) * stiffness[..., None]
        shares = stiffness[..., None] * (rows @ sinks)
        disc = self.question["placing"]
        allowance = 2 * disc**2 * system[:, 0, 0] / (system[:, 1, 1] + system[:, 2, 2])

        def bounds(pads):
            share, gives = shares[:, pads].sum(1), soft[:, pads].sum(1)
            one = numpy.isin(numpy.arange(4), pads)
            own = stiffness * (one - (rows @ gives[..., None])[..., 0])
            moves = [own[..., None] * sinks[:, axis, None] - gives[:, axis, None, None] * shares for axis in (1, 2)]
            moved = disc * numpy.hypot(*moves).sum(1) + allowance[:, None]
            return (share - moved).min(1), (share + moved).max(1)

        return bounds

    def assured_edge(self, a, b, cg, sway):
        """Least distance of any possible centre from any line that meets both pads' discs."""
        disc, half = self.question["placing"], numpy.array(self.question["cg_tolerance"][:2])
        along = b - a
        long = norm(along)[:, None]
        t = along / long
        left = numpy.stack([-t[:, 1], t[:, 0]], axis=-1)
        normals, allowed = [], []
        for turn in (2 * disc / long, -2 * disc / long, 0 * long):
            normals.append(left * numpy.sqrt(1 - turn**2) - t * turn)
            allowed.append(numpy.ones(len(a), dtype=bool))
        seen = [p - cg + corner * half for p in (a, b) for corner in BOX]
        axes = [numpy.broadcast_to(axis, a.shape) for axis in ([1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0])]
        for v in (*seen, *axes):
            size = numpy.maximum(norm(v), 1e-12)
            normals.append(v / size[:, None])
            allowed.append(((v * left).sum(-1) > 0) & (abs((v * t).sum(-1)) <= 2 * disc / long[:, 0] * size))
        n = numpy.stack(normals, axis=1)
        from_a, from_b = ((n * (cg - p)[:, None]).sum(-1) - disc for p in (a, b))
        distance = numpy.maximum(from_a, from_b) - (abs(n) * half).sum(-1) - sway
        return numpy.where(numpy.stack(allowed, axis=1), distance, numpy.inf).min(1)

    def worst(self, x):
        """Least reserve of one setup, and of which check."""
        names, found = self.reserves(numpy.atleast_2d(x))
        return found[0].min(), names[found[0].argmin()]


def edge_name(a, b):
    """Of the edge between two neighbouring pads."""
    return ("front", "rear")[a // 2] if a // 2 == b // 2 else ("left", "right")[a % 2]


def line_to_rectangle(a, b, rectangle):
    """Apart: their distance. Overlapping: minus the least shift that parts them."""
    least, greatest = rectangle
    corners = numpy.array([least, [greatest[0], least[1]], greatest, [least[0], greatest[1]]])
    low, high = numpy.minimum(a, b), numpy.maximum(a, b)
    parted = numpy.maximum(least - high, low - greatest).max(-1)
    d = b - a
    n = numpy.stack([-d[:, 1], d[:, 0]], axis=-1) / norm(d)[:, None]
    side = ((corners - a[:, None]) * n[:, None]).sum(-1)
    parted = numpy.maximum(parted, numpy.maximum(side.min(1), -side.max(1)))
    ends = [norm(numpy.maximum(numpy.maximum(least - p, p - greatest), 0)) for p in (a, b)]
    nearest = numpy.minimum.reduce([*ends, *(point_to_line(corner, a, b) for corner in corners)])
    return numpy.where(parted <= 0, parted, nearest)


def line_to_line(a, b, c, d):
    """Apart: their distance. Crossing: minus how far the nearer pad sticks through."""
    turn = lambda p, q, r: (q - p)[..., 0] * (r - p)[..., 1] - (q - p)[..., 1] * (r - p)[..., 0]
    cross = (turn(a, b, c) * turn(a, b, d) < 0) & (turn(c, d, a) * turn(c, d, b) < 0)
    through = numpy.minimum(point_to_line(b, c, d), point_to_line(d, a, b))
    ends = [point_to_line(a, c, d), point_to_line(b, c, d), point_to_line(c, a, b), point_to_line(d, a, b)]
    return numpy.where(cross, -through, numpy.minimum.reduce(ends))


def climb(setups, start):
    """The highest least reserve that SLSQP reaches from there: raise t while every reserve stays above it."""
    step = 1e-7

    def all_reserves(z):
        return setups.reserves(z[None, :5])[1][0] - z[5]

    def slopes(z):
        around = numpy.concatenate([z[None, :5], z[:5] + step * numpy.eye(5)])
        found = setups.reserves(around)[1]
        return numpy.concatenate([(found[1:] - found[0]).T / step, -numpy.ones((found.shape[1], 1))], axis=1)

    found = minimize(
        lambda z: -z[5],
        numpy.append(start, setups.worst(start)[0]),
        jac=lambda z: numpy.array([0, 0, 0, 0, 0, -1.0]),
        bounds=[*zip(setups.least, setups.greatest), (None, MOST)],
        constraints={"type": "ineq", "fun": all_reserves, "jac": slopes},
        method="SLSQP",
        options={"maxiter": 100, "ftol": 1e-7},
    )
    return setups.worst(found.x[:5])[0], found.x[:5]


def search(question, starts):
    """The best setup: of random ones the best few, each climbed from."""
    setups = Setups(question)
    random = numpy.random.default_rng(1)
    throws = random.uniform(setups.least, setups.greatest, (THROWS, 5))
    order = setups.reserves(throws)[1].min(1).argsort()[::-1][:starts]
    return max((climb(setups, throws[k]) for k in order), key=lambda found: found[0])
