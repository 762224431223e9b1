"""What a job gives out as files, read by other people's programs.

PDFs are read by pypdf: their size, and that the figures on them are those of the program's answers. DXF is audited by ezdxf; its outlines have the areas of the plan's pieces (shapely), in millimetres with y up. SVG is compared with
the plan piece by piece. Lists are read by Python's csv and compared with the program's answers. The same sheet gives the same
bytes, and where a folder or a disk cannot take the files nothing is half written.
"""

import csv
import io
import json
import math
import random
import re
import resource
import subprocess
import tempfile
import xml.etree.ElementTree as ET
from pathlib import Path

import ezdxf
import pypdf
from drylay import KINDS, Count, ask, names, product, program, shape, skew
from ezdxf.lldxf.encoding import decode_dxf_unicode
from shapely.geometry import Point, Polygon

SEED = 20261130
DRAWN = ["--only", "dxf,svg,csv,json"]
SVG = "{http://www.w3.org/2000/svg}"
ODD = 'Küche "石" <b>&1; =\u00b2 50 % \u05d0'


def make_sheet(rng, kind, name="r"):
    points = shape(rng, kind, rng.uniform(1800, 3600), rng.uniform(1500, 3000))
    points = skew(rng, points, 0 if kind == "rectangle" else 9)
    corners = names(len(points))
    x, y = rng.uniform(300, 600), rng.uniform(300, 600)
    post = [[x, y], [x + 210, y], [x + 210, y + 160], [x, y + 160]]
    keepouts = [{"id": "post", "outline": post}] if Polygon(points).buffer(-90).contains(Polygon(post)) else []
    made = product(rng, name=ODD, carton={"tiles": 6, "price": "38.20", "kg": 24.5})
    layout = {"along": ["A", "B"], "offset": made["offsets"][0], "first_row": rng.randint(60, int(made["face"]["width"])),
              "shift": rng.randint(60, int(made["face"]["length"]))}
    return {"drylay": 1, "job": {"name": ODD, "client": name}, "rates": {"breakage": 0.03, "attic": 0.05}, "products": [made],
            "rooms": [{"id": "r", "name": ODD, "outline": points, "corners": corners, "keepouts": keepouts,
                       "openings": [{"id": "door", "wall": ["A", "B"], "start": 90, "width": 400}]}],
            "areas": [{"id": "a", "rooms": ["r"], "product": "p", "layout": layout}]}


def papers(sheet, folder, *more, limit=None):
    """Writes the papers of a sheet; a limit in bytes stands for a disk that is full."""
    def full():
        resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    return subprocess.run([program(), "papers", "-", "--out", str(folder), *more], input=json.dumps(sheet), capture_output=True, text=True,
                          preexec_fn=full if limit else None, restore_signals=limit is None)


def written(sheet, folder, *more):
    run = papers(sheet, folder, *more)
    if run.returncode != 0:
        raise SystemExit(f"drylay papers ended with {run.returncode}:\n{run.stderr}\n{json.dumps(sheet)}")
    return {path.name: path.read_bytes() for path in sorted(Path(folder).iterdir())}


def dxf(check, label, text, area, keepouts):
    document = ezdxf.read(io.StringIO(text))
    auditor = document.audit()
    check.check(not auditor.errors and not auditor.fixes, f"{label}: ezdxf finds {[e.message for e in auditor.errors + auditor.fixes]}")
    check.check(document.header["$INSUNITS"] == 4 and document.dxfversion == "AC1015", f"{label}: millimetres, R2000")
    space = document.modelspace()
    rings = lambda layer: [Polygon([(x, -y) for x, y in e.get_points("xy")]) for e in space.query(f'LWPOLYLINE[layer=="{layer}"]')]
    drawn, holes = [], sum(p.area for p in rings("PIECE_HOLE"))
    for cut in ["whole", "length", "rip", "corner", "shape"]:
        found = rings(f"PIECE_{cut.upper()}")
        wanted = [p for p in area["pieces"] if p["cut"] == cut]
        check.check(len(found) == len(wanted), f"{label}: {len(found)} pieces cut {cut}, not {len(wanted)}")
        for ring, piece in zip(found, wanted):
            check.check(abs(ring.area - Polygon(piece["outline"]).area) < 0.01, f"{label}: area of {piece['id']}")
            check.check(ring.symmetric_difference(Polygon(piece["outline"])).area < 0.01, f"{label}: place of {piece['id']}")
        drawn += found
    plan = sum(Polygon(p["outline"], p["holes"]).area for p in area["pieces"])
    check.check(abs(sum(p.area for p in drawn) - holes - plan) < 1.0, f"{label}: all pieces together")
    numbers = sorted(e.dxf.text for e in space.query('TEXT[layer=="NUMBER"]'))
    check.check(numbers == sorted(p["id"] for p in area["pieces"]), f"{label}: every piece has its number")
    check.check(len(rings("KEEPOUT")) == keepouts, f"{label}: what the floor goes round")
    check.check(ODD in [decode_dxf_unicode(e.dxf.text).replace("%%%", "%") for e in space.query('TEXT[layer=="ROOM"]')], f"{label}: the room's name")
    return rings("ROOM"), rings("FIELD")


def svg(check, label, text, area):
    root = ET.fromstring(text)
    paths = {p.get("data-piece"): p for p in root.iter(f"{SVG}path") if p.get("data-piece")}
    check.check(sorted(paths) == sorted(p["id"] for p in area["pieces"]), f"{label}: the pieces of the plan")
    for piece in area["pieces"]:
        path = paths[piece["id"]]
        rings = [[tuple(map(float, at.split(","))) for at in re.findall(r"[-\d.]+,[-\d.]+", part)] for part in path.get("d").split("Z") if part]
        drawn, wanted = Polygon(rings[0], rings[1:]), Polygon(piece["outline"], piece["holes"])
        check.check(drawn.symmetric_difference(wanted).area < 0.01, f"{label}: {piece['id']} as the plan has it")
        check.check((path.get("data-cut"), path.get("data-tile")) == (piece["cut"], str(piece["tile"])), f"{label}: cut and tile of {piece['id']}")


def lists(check, label, files, area, sheet):
    rows = list(csv.DictReader(io.StringIO(files["pieces.csv"].decode())))
    wanted = [(p["id"], p["cut"], str(p["tile"]), p["from"]) for p in area["pieces"]]
    check.check([(r["piece"], r["cut"], r["tile"], r["from"]) for r in rows] == wanted, f"{label}: the list of pieces")
    for row, piece in zip(rows, area["pieces"]):
        face = sheet["products"][0]["face"]
        size = piece["cutting"]["size"] if "cutting" in piece else [face["length"], face["width"]]
        check.check(abs(float(row["length_mm"]) - size[0]) < 0.006 and abs(float(row["width_mm"]) - size[1]) < 0.006, f"{label}: size of {piece['id']}")
    bought = list(csv.DictReader(io.StringIO(files["order.csv"].decode())))
    lines = ask("takeoff", sheet)["lines"]
    check.check([(r["product"], float(r["quantity"]), r["packs"]) for r in bought] == [(l["product"], float(l["quantity"]), str(l.get("packs", ""))) for l in lines],
                f"{label}: the list of what to buy")
    check.check(bought[0]["name"] == ODD, f"{label}: a name with anything in it")
    quoted = list(csv.DictReader(io.StringIO(files["quote.csv"].decode())))
    priced = [line for quote in ask("price", sheet)["quotes"] for line in quote["lines"]]
    check.check([(r["item"], r["amount"]) for r in quoted] == [(l["item"], l.get("amount", "")) for l in priced], f"{label}: the lines of the quote")


def rooms(check, rng):
    for n in range(12):
        kind = KINDS[n % len(KINDS)]
        sheet, label = make_sheet(rng, kind), f"room {n} ({kind})"
        area = ask("plan", sheet)["areas"][0]
        with tempfile.TemporaryDirectory() as folder:
            files = written(sheet, folder, *DRAWN)
            again = written(sheet, Path(folder) / "again", *DRAWN)
        check.check(files == again, f"{label}: the same sheet gives the same bytes")
        outline = Polygon(sheet["rooms"][0]["outline"])
        walls, field = dxf(check, label, files["plan-a.dxf"].decode("ascii"), area, len(sheet["rooms"][0]["keepouts"]))
        check.check(len(walls) == 1 and walls[0].symmetric_difference(outline).area < 0.01, f"{label}: the room's outline")
        inner = sum(p.area for p in field[:1]) - sum(p.area for p in field[1:])
        check.check(abs(inner / 1e6 - area["field_m2"]) < 1e-6 or len(area["field"]) > 1, f"{label}: the field's area")
        svg(check, label, files["plan-a.svg"].decode(), area)
        lists(check, label, files, area, sheet)
        check.check(ask("plan", json.loads(files["sheet.json"]))["areas"][0]["pieces"] == area["pieces"], f"{label}: the sheet that is given out")


SIZES = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}  # points; ASME Y14.1 and ISO 216
PAPERS = ["quote", "order", "setting-out", "cuts", "flatness", "handover"]


def whole_sheet(rng):
    """A job with something for every paper."""
    sheet = make_sheet(rng, "L")
    points = sheet["rooms"][0]["outline"]
    inner = Polygon(points).buffer(-150)
    places = [(x, y) for x in range(150, 4000, 500) for y in range(150, 4000, 500) if inner.covers(Point(x, y))]
    sheet["rooms"][0]["level"] = {"sd": 0.5, "readings": [{"id": f"p{i}", "at": [x, y], "rod": 1200 + 7 * math.sin(x / 500) + rng.uniform(0, 2)} for i, (x, y) in enumerate(places)]}
    sheet["products"][0]["flatness"] = [{"gap": 3, "span": 2000, "sides": "both"}]
    sheet["compounds"] = [{"id": "fill", "name": "Pond fill", "way": "trowel", "bag_litres": 7.5, "bag_price": "17.40", "bag_kg": 10, "most": 30,
                           "pot_life_minutes": 15, "mix_minutes": 6, "bags_in_mix": 1, "walk_hours": 3, "cover_hours": 11}]
    sheet["supplies"] = [{"id": "grout", "name": "Grey grout", "use": "grout", "density": 1.6, "pack": {"holds": 5, "price": "14.20", "name": "bag", "kg": 5.1}}]
    sheet["quote"] = {"currency": "EUR", "tax_percent": 19, "deposit_percent": 30, "signed_at": "home",
                      "hidden": [{"name": "Rotten board", "unit": "piece", "price": "85.00", "likely": 1, "bad": 4}],
                      "lines": [{"name": "Doors undercut", "quantity": 3, "unit": "piece", "price": "28.00"}]}
    sheet["job"]["built"] = 1974
    return sheet


def plain(text):
    """Words as they are read, however they were broken into lines."""
    return re.sub(r"\s+", "", text)


def money(text):
    whole, cents = text.split(".")
    return f"{int(whole):,}.{cents}"


def pdfs(check, rng):
    sheet = whole_sheet(rng)
    more = ["--only", "pdf", "--day", "2026-03-02", "--shop", "Pond & Söhne"]
    with tempfile.TemporaryDirectory() as folder:
        made = {size: written(sheet, Path(folder) / size, *more, "--paper", size) for size in SIZES}
        again = written(sheet, Path(folder) / "again", *more)
    check.check(again == made["a4"], "the same job gives the same papers, on A4 in a metric job")
    area, price = ask("plan", sheet)["areas"][0], ask("price", sheet)["quotes"][0]
    takeoff, floor = ask("takeoff", sheet)["lines"], ask("flatness", sheet)["rooms"][0]
    for size, (width, height) in SIZES.items():
        check.check(sorted(made[size]) == sorted(f"{name}.pdf" for name in PAPERS), f"{size}: every paper is made")
        text = {}
        for name in PAPERS:
            reader = pypdf.PdfReader(io.BytesIO(made[size][f"{name}.pdf"]))
            boxes = {tuple(sorted((float(p.mediabox.width), float(p.mediabox.height)))) for p in reader.pages}
            check.check(all(abs(a - width) < 0.1 and abs(b - height) < 0.1 for a, b in boxes), f"{size}, {name}: {boxes}")
            pages = [plain(page.extract_text()) for page in reader.pages]
            text[name] = "".join(pages)
            for k, words in enumerate(pages, 1):
                check.check(words.endswith(f"{k}/{len(pages)}"), f"{size}, {name}: page {k} of {len(pages)} says so below")
                check.check("Küche" in words, f"{size}, {name}: page {k} names its job")
            for words in ["Pond&Söhne", "2026-03-02"]:
                check.check(words in text[name], f"{size}, {name}: {words}")
        has = lambda name, words: check.check(plain(words) in text[name], f"{size}, {name}: {words}")
        for figure in ["lines", "tax", "total", "deposit", "rest"]:
            has("quote", money(price["totals"][figure]))
        for line in price["lines"]:
            has("quote", money(line["amount"]) if line.get("amount") else "–")
        has("quote", money(price["cases"]["bad"]["total"]))
        for words in ["Rotten board", "85.00", "lead pamphlet", "local law", "The client"]:
            has("quote", words)
        for line in takeoff:
            if "packs" in line:
                has("order", f"{line['packs']} {line['pack']}")
        for piece in area["pieces"]:
            if "cutting" in piece:
                has("cuts", piece["id"])
                for mark in piece["cutting"]["marks"]:
                    has("cuts", f"{mark['figure']:.0f} mm")
            has("setting-out", piece["id"])
        if "setting_out" in area:
            for mark in area["setting_out"]["marks"]:
                has("setting-out", f"{mark['off']:.0f} mm off")
            has("setting-out", f"{area['setting_out']['check']['reads']:.0f} mm")
        worst = max(t[k]["deviation"] for t in floor["tolerances"] for k in ("worst_dip", "worst_hump"))
        has("flatness", f"{worst:.1f} mm")
        for point in floor["heights"]:
            has("flatness", f"{point['z']:.1f}")
        has("handover", "3 h")
        has("handover", "11 h")
    codes = [piece["id"] for piece in area["pieces"]]
    check.check(len(codes) > 20, "a plan that fills a page")


def refusals(check, rng):
    sheet = make_sheet(rng, "rectangle")
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        run = papers(sheet, folder / "full", *DRAWN, limit=3000)
        check.check(run.returncode == 1 and "plan-a.dxf" in run.stderr, f"a full disk is told with the place: {run.stderr}")
        check.check(list((folder / "full").iterdir()) == [], "a full disk leaves nothing half written")
        (folder / "file").write_text("x")
        run = papers(sheet, folder / "file", *DRAWN)
        check.check(run.returncode == 1 and "file" in run.stderr, f"no folder can be made there: {run.stderr}")
        sheet["rooms"][0]["outline"] = [[0, 0], [1, 1]]
        run = papers(sheet, folder / "wrong")
        check.check(run.returncode == 2 and not (folder / "wrong").exists(), "a wrong sheet writes nothing")


def main():
    check, rng = Count(), random.Random(SEED)
    rooms(check, rng)
    pdfs(check, rng)
    refusals(check, rng)
    check.close()


main()
