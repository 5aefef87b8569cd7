"""Looks at what is printed as somebody else's tools see it: every demonstration job, both papers, both systems of units.

    check_paper.py STANDFAST FOLDER

Needs pdftotext, pdfinfo, pdffonts and pdftoppm (package poppler-utils) and qpdf. Holds that
- the file is sound (qpdf --check), tagged, titled, of the right size, and its fonts are embedded;
- of PDF/UA what general tools show: the title is displayed, the language set, what a reader of the tags hears is what stands there in
  words, every figure has a text;
- the settings of the arms are 8 mm high; a working has at most four pages, of type of 8 points or more;
- the words can be taken out of it again, and the figures are those of the plan (`--json` of the same program; the report in words);
- a sheet for the column is one page, with a box for everything that is confirmed; nothing announced is missing; that of a refused
  plan gives no settings;
- nothing is printed in colour or within 7 mm of the edge (pages rendered to pictures);
- the same plan gives the same bytes.
The pages stay in FOLDER as pictures, to be looked at.
Where `outloud` is beside this Python or on the path (PyPI, package outloud), what it finds against the checkpoints of the Matterhorn
Protocol for PDF/UA-1 in every file on A4 counts as well. Where `verapdf` is on the path, its verdict on every file counts (its options
and the first word of its answer are from memory). It was tried for: Debian has no such package, packages of PyPI only call one that is
there, Maven's repository was out of reach.
"""

import json
import os
import re
import shutil
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

DEMO = Path(__file__).resolve().parent.parent / "demo"
JOBS = [
    ("raise", "north-bay", "hatchback", None),
    ("brakes", "mill-bay", "hatchback", "brakes"),
    ("engine", "mill-bay", "hatchback", "engine-and-gearbox-out"),
    ("rear-axle", "mill-bay", "pickup", "rear-axle-off"),
    ("battery", "long-bay", "battery-hatch", "battery-pack-out"),
    ("exhaust", "long-bay", "long-van", "loaded-van-exhaust"),
    ("exhaust-refused", "north-bay", "long-van", "loaded-van-exhaust"),
    ("shell", "north-bay", "sports-coupe", "strip-the-shell"),
    ("front-end", "north-bay", "sports-coupe", "front-end-off"),
    ("front-end-on-stands", "north-bay", "sports-coupe", "front-end-off-on-stands"),
]
SIZES = {"a4": (595.276, 841.89), "letter": (612.0, 792.0)}
DOTS = 60  # to an inch
HIGH = 8 / 25.4 * 72 / 0.687  # points of a type whose digits are 8 mm high: Arimo's are 0.687 of its size
LINE = 0.9386  # the height of a word that pdftotext gives, in sizes of this type: measured on a word of known size
VERAPDF = shutil.which("verapdf")
OUTLOUD = shutil.which("outloud", path=Path(sys.executable).parent) or shutil.which("outloud")
faults = []
looked = []


def run(*command, codes=(0,)):
    done = subprocess.run([str(c) for c in command], capture_output=True, check=False)
    if done.returncode not in codes:
        raise SystemExit(f"{command}: exit {done.returncode}\n{done.stderr.decode(errors='replace')}")
    return done.stdout


def fault(where, what):
    faults.append(f"{where}: {what}")


def text_of(pdf):
    return run("pdftotext", "-layout", pdf, "-").decode()


def bare(text):
    return re.sub(r"\s+", "", text)


def looks(where, pdf, paper, one_page):
    """The file itself."""
    looked.append(where)
    checked = subprocess.run(["qpdf", "--check", str(pdf)], capture_output=True, check=False)
    if checked.returncode != 0:
        fault(where, f"qpdf --check: {checked.stdout.decode()}{checked.stderr.decode()}")
    if VERAPDF:
        judged = subprocess.run([VERAPDF, "--flavour", "ua1", "--format", "text", str(pdf)], capture_output=True, check=False)
        if not judged.stdout.startswith(b"PASS"):
            fault(where, f"verapdf: {judged.stdout.decode()}{judged.stderr.decode()}")
    info = dict(line.split(":", 1) for line in run("pdfinfo", pdf).decode().splitlines() if ":" in line)
    info = {key.strip(): value.strip() for key, value in info.items()}
    if info.get("Tagged") != "yes" or not info.get("Title"):
        fault(where, "not tagged, or no title")
    width, height = (float(n) for n in re.findall(r"[\d.]+", info["Page size"])[:2])
    if abs(width - SIZES[paper][0]) > 0.6 or abs(height - SIZES[paper][1]) > 0.6:
        fault(where, f"is {width} by {height} points")
    pages = int(info["Pages"])
    if one_page and pages != 1:
        fault(where, f"{pages} pages")
    for line in run("pdffonts", pdf).decode().splitlines()[2:]:
        embedded = line.split()[-5:-2]
        if "Arimo" not in line or embedded[0] != "yes" or embedded[2] != "yes":
            fault(where, f"font: {line}")
    tags(where, pdf)
    pictures(where, pdf)
    return pages


def tags(where, pdf):
    """What a general tool shows of PDF/UA. What is said of a figure stands in its own object; its letters are not read."""
    objects = run("qpdf", "--qdf", "--object-streams=disable", pdf, "-")
    for what, wanted in (("title shown", rb"/DisplayDocTitle true"), ("language", rb"/Lang \(en\)")):
        if not re.search(wanted, objects):
            fault(where, f"no {what}")
    for figure in re.finditer(rb"<<[^<>]*/S /Figure[^<>]*>>", objects):
        if not re.search(rb"/Alt [(<][^)>]", figure[0]):
            fault(where, "a figure without text")
    # What is tagged stands in the same order on the pages, but for their numbers and, after the first, the foot.
    heard = run("pdfinfo", "-struct-text", pdf).decode()
    shown, unheard, at = "", "", 0
    for k, page in enumerate(run("pdftotext", "-raw", pdf, "-").decode().split("\f")):
        page = re.sub(r"page\d+of\d+$", "", bare(page))
        shown += re.sub(r"(Exercise\.Setnoliftbythispaper\.)?ComputedbyStandfast(;|fromplan).*$", "", page) if k else page
    for says in (bare(says) for says in re.findall(r'^ +"(.*)"$', heard, re.M)):
        found = shown.find(says, at)
        if found < 0:
            fault(where, f"is heard and not shown in this order: {says[:60]}")
            return
        unheard, at = unheard + shown[at:found], found + len(says)
    unheard += shown[at:]
    if unheard:
        fault(where, f"is shown and not heard: {unheard[:60]}")


def heard(folder):
    """The verdict of a checker of tags on every file on A4; a line of its answer that begins with FAIL tells one."""
    files = sorted(folder.rglob("*-a4*.pdf"))
    judged = subprocess.run([OUTLOUD, "--layer", "conformance", "--quiet", "--no-info", *map(str, files)], capture_output=True, text=True, check=False)
    lines = judged.stdout.splitlines()
    if len([line for line in lines if ".pdf:" in line]) != len(files):
        fault("outloud", f"answers of {len(files)} files: {judged.stdout[-300:]}{judged.stderr[-300:]}")
    for line in lines:
        if line.startswith("FAIL"):
            fault("outloud", line)


def sizes(pdf):
    """Words with the sizes of their type, points."""
    word = r'yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">(.*?)</word>'
    return [((float(end) - float(top)) / LINE, says) for top, end, says in re.findall(word, run("pdftotext", "-bbox", pdf, "-").decode())]


def pictures(where, pdf):
    """No ink near the edge, no colour."""
    run("pdftoppm", "-r", DOTS, pdf, pdf.with_suffix(""))
    for picture in sorted(pdf.parent.glob(pdf.stem + "-*.ppm")):
        if not re.fullmatch(re.escape(pdf.stem) + r"-\d+", picture.stem):
            continue
        raw = picture.read_bytes()
        head = re.match(rb"P6\s(\d+)\s(\d+)\s255\s", raw)
        width, height = int(head[1]), int(head[2])
        pixels = raw[head.end():]
        if pixels[0::3] != pixels[1::3] or pixels[1::3] != pixels[2::3]:
            fault(where, "printed in colour")
        grey, edge = pixels[0::3], int(7 / 25.4 * DOTS)
        rows = [grey[y * width:(y + 1) * width] for y in range(height)]
        margin = b"".join(rows[:edge] + rows[-edge:] + [r[:edge] + r[-edge:] for r in rows])
        if min(margin) < 250:
            fault(where, f"ink near the edge of {picture.name}")
        if min(grey) > 60:
            fault(where, f"{picture.name} is empty")


def figures(where, text, report, refused):
    """What is set at the arms and where the wheel stands, as the report says them."""
    found = bare(text)
    length = r"((?:\d+ )?\d+(?:/8|/4|/2)? (?:mm|in))"
    row = rf"^(?:Front|Rear) (?:left|right) .*?{length} +(square|\d+° (?:ahead|back)) +{length}"
    rows = re.findall(row, report, re.M)
    if len(rows) != 4:
        raise SystemExit(f"{where}: the report has no table of arms")
    for figure in (figure for row in rows for figure in row):
        if not refused and bare(figure) not in found:
            fault(where, f"{figure} is missing")
    for word in ("Reach", "Swing", "Adapters"):
        if refused == (word in text):
            fault(where, f"{word}: {'given by a refused plan' if refused else 'missing'}")
    return rows


def high_enough(where, pdf, rows):
    """Every figure that is set at an arm, its fractions too."""
    words = sizes(pdf)
    for figure in {word for row in rows for figure in row for word in figure.split() if word[0].isdigit()}:
        if max((size for size, says in words if says == figure), default=0) < HIGH - 0.05:
            fault(where, f"{figure} is less than 8 mm high")


def where_it_stands(where, text, report, refused):
    found = bare(text)
    wheel = re.search(r"^Front wheel +(.*?) (?:of )?the column line", report, re.M).group(1)
    if not refused and bare(wheel).lower() not in found.lower():
        fault(where, f"{wheel} is missing")


def look_at_all_of(program, folder, name, lift, vehicle, job):
    plan = ["plan", "--lift", DEMO / f"lifts/{lift}.toml", "--vehicle", DEMO / f"vehicles/{vehicle}.toml"]
    if job:
        plan += ["--job", DEMO / f"jobs/{job}.toml"]
    answer = json.loads(run(program, *plan, "--json", codes=(0, 1)))
    refused = answer["verdict"] == "do-not-raise"
    for units in ("metric", "us"):
        for paper in SIZES:
            at = folder / f"{name}-{units}-{paper}"
            files = {o: at.with_name(f"{at.name}-{o}.pdf") for o in ("pdf", "pdf-working", "pdf-class")}
            options = [x for o, file in files.items() for x in (f"--{o}", file)]
            for file in files.values():
                file.unlink(missing_ok=True)
            report = run(program, *plan, "--units", units, "--paper", paper, *options, codes=(0, 1)).decode()
            bay = files["pdf"]
            looks(bay.name, bay, paper, one_page=True)
            text = text_of(bay)
            if not refused and "Confirm in this order" not in text:
                fault(bay.name, "nothing is to be confirmed")
            for word in ("values; the working", "No room in the drawing"):
                if word in text:
                    fault(bay.name, f"{word}: something announced is missing")
            rows = figures(bay.name, text, report, refused)
            where_it_stands(bay.name, text, report, refused)
            if not refused:
                high_enough(bay.name, bay, rows)
            if refused != ("MUST NOT" in text):
                fault(bay.name, "says another verdict than the plan")
            for edition in ("pdf-working", "pdf-class"):
                pages = looks(files[edition].name, files[edition], paper, one_page=False)
                if edition == "pdf-working" and pages > 4:
                    fault(files[edition].name, f"{pages} pages")
                if min(size for size, _ in sizes(files[edition])) < 7.95:
                    fault(files[edition].name, "type of less than 8 points")
            again = at.with_name(f"{at.name}-again.pdf")
            again.unlink(missing_ok=True)
            run(program, *plan, "--units", units, "--paper", paper, "--pdf", again, codes=(0, 1))
            if again.read_bytes() != bay.read_bytes():
                fault(bay.name, "other bytes of the same plan")
            again.unlink()


def main():
    program, folder = sys.argv[1], Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    # Each waits for programs that it starts.
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(lambda job: look_at_all_of(program, folder, *job), JOBS))
    if OUTLOUD:
        heard(folder)
    for what in faults:
        print(f"!! {what}")
    by = ", ".join(["qpdf"] + ["verapdf"] * bool(VERAPDF) + ["those on A4 by outloud"] * bool(OUTLOUD))
    print(f"{len(looked)} files looked at by {by}, {len(faults)} faults; pictures in {folder}")
    sys.exit(1 if faults or len(looked) != len(JOBS) * 12 else 0)


main()
