"""What is bought and what it costs, against shapely, Python's decimal and Python's csv.

Grout of 60 random rooms is what shapely leaves of the field when all faces are taken away, sealant and trim are walls without
their openings as shapely's lines have them, and strips of underlayment cover the floor with no fewer seams than plain counting
allows. Quotes with made-up prices and rates, read from lists that Python's csv wrote, are added up again with Python's decimal:
every line, discount, tax, deposit and both cases to the cent; and the lines come out as a list that Python's csv reads.
"""

import csv
import io
import json
import math
import random
import subprocess
import tempfile
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from drylay import KINDS, Count, ask, names, product, program, shape, skew
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

SEED = 20261129
CENT = Decimal("0.01")


def supplies(rng):
    return [
        {"id": "mat", "use": "underlay", "width": rng.choice([900, 1000, 1250]), "length": "15 m", "pack": {"price": "41.50", "kg": 6.2}},
        {"id": "tape", "use": "tape", "length": "25 m", "pack": {"price": "7.95"}},
        {"id": "grout", "use": "grout", "depth": rng.choice([4, 8.5]), "density": 1.6, "waste": 0.05, "pack": {"holds": 5, "price": "14.20"}},
        {"id": "bead", "use": "sealant", "depth": 6, "pack": {"holds": 0.3, "price": "8.90", "name": "tube"}},
        {"id": "shoe", "use": "trim", "length": "2.4 m", "kerf": 3, "pack": {"price": "11.60"}},
        {"id": "strip", "use": "transition", "length": "2 m", "pack": {"price": "31.00"}},
        {"id": "mud", "use": "adhesive", "rate": 4.2, "per": "square_metre", "pack": {"holds": 20, "price": "27.50", "name": "bag"}},
    ]


def make_sheet(rng, kind):
    points = shape(rng, kind, rng.uniform(2500, 6000), rng.uniform(2200, 4500))
    points = skew(rng, points, 0 if kind == "rectangle" else 12)
    walls = len(points)
    corners = names(walls)
    room = {"id": "r", "outline": points, "keepouts": [], "openings": [], "settings": ["wet"]}
    x, y = rng.uniform(600, 1500), rng.uniform(500, 1200)
    post = [[x, y], [x + 260, y], [x + 260, y + 180], [x, y + 180]]
    if kind != "rectangle" and Polygon(points).buffer(-120).contains(Polygon(post)):
        room["keepouts"].append({"id": "post", "outline": post})
    wall = max(range(walls), key=lambda i: math.dist(points[i], points[(i + 1) % walls]))
    room["openings"].append({"id": "door", "wall": [corners[wall], corners[(wall + 1) % walls]], "start": rng.randint(50, 400), "width": rng.randint(700, 900)})
    made = product(rng, interlock=False, thickness=9, carton={"tiles": 6, "price": "38.20", "kg": 24.5})
    layout = {"along": ["A", "B"], "offset": made["offsets"][0], "first_row": rng.randint(40, int(made["face"]["width"])), "shift": rng.randint(40, int(made["face"]["length"]))}
    return {"drylay": 1, "rates": {"breakage": 0.03, "attic": 0.05}, "products": [made], "supplies": supplies(rng), "rooms": [room],
            "areas": [{"id": "a", "rooms": ["r"], "product": "p", "layout": layout}], "job": {"built": 1974}}


def rings(shapes):
    return unary_union([Polygon(s["outline"], s.get("holes", [])) for s in shapes])


def walls_of(room):
    """The walls less their openings, as shapely's lines."""
    points, corners = room["outline"], names(len(room["outline"]))
    lines = []
    for i, a in enumerate(points):
        b = points[(i + 1) % len(points)]
        line = LineString([a, b])
        for opening in room["openings"]:
            if opening["wall"][0] == corners[i]:
                hole = LineString([line.interpolate(opening["start"]), line.interpolate(opening["start"] + opening["width"])])
                line = line.difference(hole.buffer(1e-6))
        lines.append(line)
    return lines


def takeoffs(count, rng):
    for n in range(60):
        kind = rng.choice(KINDS)
        sheet = make_sheet(rng, kind)
        label = f"room {n} ({kind})"
        plan, takeoff = ask("plan", sheet)["areas"][0], ask("takeoff", sheet)
        line = {l["item"]: l for l in takeoff["lines"]}
        made, room = sheet["products"][0], sheet["rooms"][0]
        field, faces = rings(plan["field"]), rings(plan["pieces"])
        if made["joint"] > 0:
            grout = line["grout"]
            mm2 = field.difference(faces).area
            count.check(abs(grout["from"]["joints_m2"] - mm2 / 1e6) < 2e-6, f"{label}: joints of {mm2 / 1e6} m² are {grout['from']}")
            kg = mm2 / 1e6 * sheet["supplies"][2]["depth"] * 1.05 * 1.6
            count.check(abs(grout["quantity"] - kg) < 1e-3, f"{label}: {kg} kg of grout are {grout['quantity']}")
        else:
            count.check("grout" not in line, f"{label}: grout without joints")
        walls = walls_of(room)
        metres = sum(w.length for w in walls) / 1000
        count.check(abs(line["trim"]["from"]["runs_m"] - metres) < 1e-5, f"{label}: walls of {metres} m are {line['trim']['from']}")
        count.check(line["trim"]["quantity"] >= math.ceil(metres / 2.4 - 1e-9), f"{label}: too few bars")
        count.check(line["trim"]["quantity"] >= line["trim"]["from"]["least"], f"{label}: fewer bars than the bound")
        round_posts = sum(Polygon(k["outline"]).exterior.length for k in room["keepouts"]) / 1000
        if made["edge_gap"] > 0:
            bead = line["sealant"]
            litres = (metres + round_posts) * made["edge_gap"] * 6 / 1000
            count.check(abs(bead["from"]["litres"] - litres) < 1e-6, f"{label}: {litres} L of sealant are {bead['from']}")
        mat = line["underlay"]
        floor = Polygon(room["outline"]).area - sum(Polygon(k["outline"]).area for k in room["keepouts"])
        width = sheet["supplies"][0]["width"]
        count.check(mat["from"]["strips_m"] * width / 1000 >= floor / 1e6 - 1e-6, f"{label}: strips do not cover the floor")
        count.check(mat["quantity"] >= math.ceil(mat["from"]["strips_m"] / 15 - 1e-9), f"{label}: too few rolls")
        if kind == "rectangle":
            (w, h) = room["outline"][2]
            fewest = min(math.ceil(w / width - 1e-9), math.ceil(h / width - 1e-9)) - 1
            count.check(mat["from"]["seams"] == fewest, f"{label}: {mat['from']['seams']} seams where {fewest} do")
        m2 = plan["field_m2"]
        count.check(abs(line["adhesive"]["quantity"] - 4.2 * m2) < 1e-6, f"{label}: adhesive")


def rounded(x):
    return x.quantize(CENT, rounding=ROUND_HALF_UP)


def written(columns, rows):
    text = io.StringIO()
    writer = csv.DictWriter(text, columns)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def money(rng, most):
    return str(Decimal(rng.randint(1, most * 1000)) / 1000)


def books(rng):
    prices = [{"item": item, "unit": unit, "price": money(rng, 90), "since": "2026-11-01", "supplier": rng.choice(['Müller, "Söhne"', "石材店", "Ó'Brien\nand son", "plain"])}
              for item, unit in [("p", "carton"), ("mat", "roll"), ("grout", "bag"), ("travel", "km"), ("disposal", "kg"), ("bead", "tube")] if rng.random() < 0.9]
    rates = [{"task": task, "unit": unit, "per_hour": money(rng, 9), "hourly": money(rng, 80)}
             for task, unit in [("lay", rng.choice(["m2", "ft2"])), ("cut", "piece"), ("grout", "m2"), ("trim", "ft"), ("demolish", "m2"), ("read", "m2")]]
    return prices, rates


def with_quote(rng, sheet):
    sheet["quote"] = {
        "currency": "EUR", "discount_percent": rng.choice([0, 2.5, 3.333]), "tax_percent": rng.choice([0, 8.25, 19]), "deposit_percent": rng.choice([0, 33.3, 40]), "signed_at": "home",
        "work": [{"task": "demolish", "quantity": round(rng.uniform(1, 20), 3), "unit": "m2", "kg_each": 21.7}, {"task": "travel", "quantity": rng.randint(10, 200), "unit": "km"}],
        "hidden": [{"name": "board", "unit": "piece", "price": money(rng, 99), "likely": 1, "bad": rng.randint(1, 9)},
                   {"name": "bag", "unit": "bag", "price": money(rng, 60), "likely": 0.5, "bad": 7.25, "reading_settles": True}],
        "lines": [{"name": "Ünder ‘door’, cut", "quantity": 3, "unit": "piece", "price": "28.005"}],
    }
    return sheet


def price(folder, sheet, prices, rates, more=(), expect=0):
    paths = [Path(folder) / "prices.csv", Path(folder) / "rates.csv"]
    paths[0].write_text(prices, encoding="utf-8", newline="")
    paths[1].write_text(rates, encoding="utf-8", newline="")
    call = [program(), "price", "-", "--prices", paths[0], "--rates", paths[1], *more]
    run = subprocess.run(call, input=json.dumps(sheet), capture_output=True, text=True)
    if run.returncode != expect:
        raise SystemExit(f"drylay price ended with {run.returncode}:\n{run.stderr}")
    return run.stdout if expect == 0 else run.stderr


def totals(amounts, quote):
    percent = lambda x, p: rounded(x * Decimal(str(quote[p])) / 100)
    lines = sum(amounts, Decimal(0))
    discount = percent(lines, "discount_percent")
    net = lines - discount
    tax = rounded(net * Decimal(str(quote["tax_percent"])) / 100)
    total = net + tax
    deposit = rounded(total * Decimal(str(quote["deposit_percent"])) / 100)
    return {"lines": lines, "discount": discount, "net": net, "tax": tax, "total": total, "deposit": deposit, "rest": total - deposit}


def same(count, found, known, label):
    for name, value in known.items():
        count.check(Decimal(found[name]) == value, f"{label}: {name} {value} is {found[name]}")


def quotes(count, rng):
    with tempfile.TemporaryDirectory() as folder:
        for n in range(40):
            sheet = with_quote(rng, make_sheet(rng, rng.choice(KINDS)))
            # The percentages are to hundredths, as the program keeps them.
            for p in ("discount_percent", "tax_percent", "deposit_percent"):
                sheet["quote"][p] = float(rounded(Decimal(str(sheet["quote"][p]))))
            prices, rates = books(rng)
            prices = [p | {"supplier": p["supplier"].replace("\n", " ")} for p in prices]
            texts = written(["item", "unit", "price", "since", "supplier"], prices), written(["task", "unit", "per_hour", "hourly"], rates)
            answer = json.loads(price(folder, sheet, *texts))
            quote, label = answer["quotes"][0], f"quote {n}"
            of_price = {(p["item"], p["unit"]): Decimal(p["price"]) for p in prices}
            of_rate = {r["task"]: (Decimal(r["per_hour"]), Decimal(r["hourly"])) for r in rates}
            amounts = []
            for line in quote["lines"]:
                many = Decimal(line["quantity"])
                if "hours" in line:
                    per_hour, hourly = of_rate[line["item"]]
                    hours = rounded(many / per_hour)
                    count.check(Decimal(line["hours"]) == hours, f"{label}: {many} at {per_hour} are {line['hours']} h")
                    known = rounded(hours * hourly)
                else:
                    cost = of_price.get((line["item"], line["unit"]))
                    cost = Decimal(line["price"]) if cost is None and "price" in line else cost
                    if cost is None:
                        count.check("amount" not in line, f"{label}: {line['item']} costs {line.get('amount')} without a price")
                        continue
                    known = rounded(many * cost)
                count.check(Decimal(line["amount"]) == known, f"{label}: {line} comes to {known}")
                amounts.append(known)
            same(count, quote["totals"], totals(amounts, sheet["quote"]), label)
            hidden = sheet["quote"]["hidden"]
            at = lambda which: [rounded(Decimal(str(h[which])) * Decimal(h["price"])) for h in hidden]
            likely = totals(amounts + at("likely"), sheet["quote"])
            same(count, quote["cases"]["likely"], likely, f"{label}, likely")
            bad = totals(amounts + at("bad"), sheet["quote"])
            same(count, quote["cases"]["bad"], bad, f"{label}, bad: a given outline adds no tile")
            count.check(Decimal(quote["cases"]["reading"]["spread"]) == bad["total"] - likely["total"], f"{label}: spread")
            rows = list(csv.DictReader(io.StringIO(price(folder, sheet, *texts, more=["--csv"]))))
            count.check([r["name"] for r in rows] == [l["name"] for l in quote["lines"]], f"{label}: names in the list")
            count.check(sum((Decimal(r["amount"] or 0) for r in rows), Decimal(0)) == sum(amounts, Decimal(0)), f"{label}: amounts in the list")
        told = price(folder, sheet, texts[0].replace("price", "cost", 1), texts[1], expect=2)
        count.check("line 1" in told and "price" in told, f"a missing column is told as {told}")
        told = price(folder, sheet, "item;unit;price\np;carton;38,20\n", texts[1], expect=2)
        count.check("line 2, price" in told, f"a decimal comma is told as {told}")


def main():
    rng, count = random.Random(SEED), Count()
    takeoffs(count, rng)
    quotes(count, rng)
    count.close()


main()
