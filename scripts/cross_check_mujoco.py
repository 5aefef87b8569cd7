"""`standfast solve` against a physics engine: does a body on its contacts stay or tip over, and does the floor
push back with its weight.

    python cross_check_mujoco.py PROGRAM

A body with small ball feet, all at one height, is put on a floor in MuJoCo and left alone for some seconds.
Compared: stays or tips, the sum of the contact forces, and their moment about the CG. Never the split over
the feet, which is a matter of the engine's contact model. Then the floor is tilted (gravity is turned) just
less and just more than the tip ratio says.
"""

import math
import sys

import mujoco
import numpy

from support_sets import GRAVITY, solve

FOOT = 0.02
HEIGHT = 0.5
OUTLINES = {
    "three": [(0, 0), (2, 0), (1, 1.5)],
    "rectangle": [(1.3, 0.55), (-1.3, 0.55), (-1.3, -0.55), (1.3, -0.55)],
    "trapezium": [(0, 0.45), (0, -0.45), (1.6, 0.6), (1.6, -0.6)],
    "five": [(1, 0), (0.3, 0.9), (-0.8, 0.6), (-0.8, -0.6), (0.3, -0.9)],
}
# Outline, CG in plan: some well inside, some a few centimetres from an edge on either side.
BODIES = [
    ("three", (1, 0.6)),
    ("three", (0.35, 0.45)),
    ("three", (0.25, 0.45)),
    ("rectangle", (0, 0)),
    ("rectangle", (0.2, 0.51)),
    ("rectangle", (0.2, 0.59)),
    ("rectangle", (-1.26, 0.1)),
    ("rectangle", (-1.34, 0.1)),
    ("trapezium", (0.7, 0.05)),
    ("trapezium", (0.05, -0.4)),
    ("trapezium", (-0.05, 0.0)),
    ("five", (0, 0.1)),
    ("five", (-0.76, 0.2)),
    ("five", (-0.84, 0.2)),
]


def question(outline, cg):
    contacts = [
        {
            "name": f"foot {i + 1}",
            "at_m": [x, y, 0],
            "place_tolerance_m": 0,
            "stiffness_n_per_m": 1e6,
            "gap_m": 0,
            "friction": 1.0,
            "rated_n": None,
            "resists": "every-direction",
        }
        for i, (x, y) in enumerate(OUTLINES[outline])
    ]
    return {
        "contract": "standfast/solve/1",
        "mass_kg": 1500,
        "mass_tolerance_kg": 0,
        "cg_m": [cg[0], cg[1], HEIGHT],
        "cg_tolerance_m": [0, 0, 0],
        "tilt_tolerance_rad": 0,
        "contacts": contacts,
        "forces": [],
    }


def settle(asked, lean=(0.0, 0.0)):
    """Stays?, sum of vertical contact forces in weights, their moment about the CG in weights times metres."""
    cx, cy, cz = asked["cg_m"]
    feet = "".join(
        f'<geom type="sphere" size="{FOOT}" pos="{c["at_m"][0] - cx} {c["at_m"][1] - cy} {FOOT - cz}" mass="0"'
        ' friction="2 0.005 0.0001"/>'
        for c in asked["contacts"]
    )
    model = mujoco.MjModel.from_xml_string(
        f"""<mujoco>
          <option timestep="0.002" gravity="{lean[0] * GRAVITY} {lean[1] * GRAVITY} {-GRAVITY}" cone="elliptic"/>
          <worldbody>
            <geom type="plane" size="20 20 1" friction="2 0.005 0.0001"/>
            <body pos="{cx} {cy} {cz}"><freejoint/>
              <inertial pos="0 0 0" mass="{asked['mass_kg']}" diaginertia="600 1500 1800"/>{feet}
            </body>
          </worldbody>
        </mujoco>"""
    )
    data = mujoco.MjData(model)
    for _ in range(3000):
        mujoco.mj_step(model, data)
    turned = numpy.zeros(9)
    mujoco.mju_quat2Mat(turned, data.qpos[3:7])
    stays = turned[8] > math.cos(0.05)
    weight = asked["mass_kg"] * GRAVITY
    total, moment = 0.0, numpy.zeros(2)
    for i in range(data.ncon):
        local = numpy.zeros(6)
        mujoco.mj_contactForce(model, data, i, local)
        force = data.contact[i].frame.reshape(3, 3).T @ local[:3]
        total += force[2] / weight
        moment += force[2] / weight * (data.contact[i].pos[:2] - data.qpos[:2])
    return stays, total, float(numpy.linalg.norm(moment))


def check(program, outline, cg):
    asked = question(outline, cg)
    answer = solve(program, asked)
    stays, total, moment = settle(asked)
    found = []
    if answer["outcome"] != ("stable" if stays else "tips"):
        found.append(f"program says {answer['outcome']}, engine: {'stays' if stays else 'tips'}")
    if stays:
        loads = [c["load_estimate_n"] for c in answer["contacts"]]
        share = sum(loads) / (asked["mass_kg"] * GRAVITY)
        if abs(total - share) > 0.01 or moment > 0.01:
            found.append(f"floor carries {total:.4f} of the weight (program {share:.4f}), moment {moment:.4f} m")
        edge = min(answer["edges"], key=lambda e: e["distance_m"])
        ends = [next(c["at_m"] for c in asked["contacts"] if c["name"] == edge[k]) for k in ("from", "to")]
        along = numpy.array(ends[1][:2]) - numpy.array(ends[0][:2])
        outwards = numpy.array([along[1], -along[0]]) / numpy.linalg.norm(along)
        for part, want in ((0.9, True), (1.1, False)):
            lean = outwards * answer["tip_ratio"] * part
            if settle(asked, lean)[0] != want:
                found.append(f"at {part} of its tip ratio {answer['tip_ratio']:.3f} the engine says {not want}")
    return stays, found


def main():
    program = sys.argv[1]
    wrong, stood = 0, 0
    for outline, cg in BODIES:
        try:
            stays, found = check(program, outline, cg)
        except (RuntimeError, KeyError, ValueError) as error:
            stays, found = False, [f"{type(error).__name__}: {error}"]
        stood += stays
        if found:
            wrong += 1
            print(f"{outline} {cg}:", *found, sep="\n    ")
    print(f"MuJoCo: {len(BODIES)} bodies, {stood} stay, {len(BODIES) - stood} tip; {wrong} differ")
    sys.exit(1 if wrong or not stood or stood == len(BODIES) else 0)


if __name__ == "__main__":
    main()
