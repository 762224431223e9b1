"""Movement joints against shapely: no straight run of the floor is longer than allowed, and no joint can be left out.

The field of 150 random rooms is scanned along and across the rows with shapely's lines, and every line is cut where it
crosses a joint. In plain rectangles the number along the rows is the ⌈L/S⌉ − 1 of plain counting.
"""

import math
import random

from drylay import KINDS, Count, angle_of, ask, names, product, shape, skew
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.ops import unary_union

SEED = 20261126
TOLERANCE = 2e-3


def stretches(turned, joints, at, along_rows):
    """The lengths of the field's stretches on one line, in the lattice's frame; joints as lines across it."""
    lo_u, lo_v, hi_u, hi_v = turned.bounds
    line = LineString([(lo_u - 1, at), (hi_u + 1, at)] if along_rows else [(at, lo_v - 1), (at, hi_v + 1)])
    seen = turned.intersection(line)
    parts = [g for g in getattr(seen, "geoms", [seen]) if g.geom_type == "LineString"]
    of, across = (0, 1) if along_rows else (1, 0)
    lengths = []
    for part in parts:
        ends = sorted(p[of] for p in part.coords)
        stops = [ends[0], ends[-1]]
        for a, b in joints:
            if abs(a[of] - b[of]) < 1e-3 and min(a[across], b[across]) - 1e-3 <= at <= max(a[across], b[across]) + 1e-3:
                if ends[0] < a[of] < ends[-1]:
                    stops.append(a[of])
        stops.sort()
        lengths += [b - a for a, b in zip(stops, stops[1:])]
    return lengths


def levels(rng, turned, joints, along_rows):
    """Lines just beside every corner and every joint's end, and some by chance."""
    k = 1 if along_rows else 0
    rings = [r for g in getattr(turned, "geoms", [turned]) for r in [g.exterior, *g.interiors]]
    corners = [p[k] for r in rings for p in r.coords] + [p[k] for joint in joints for p in joint]
    lo, hi = turned.bounds[k], turned.bounds[k + 2]
    near = [c + d for c in corners for d in (-0.01, 0.01)]
    return [at for at in near + [rng.uniform(lo, hi) for _ in range(40)] if lo < at < hi]


def longest(rng, turned, joints, along_rows):
    return max((l for at in levels(rng, turned, joints, along_rows) for l in stretches(turned, joints, at, along_rows)), default=0)


def make_sheet(rng, kind):
    points = shape(rng, kind, rng.uniform(6000, 19000), rng.uniform(4000, 14000))
    if kind != "rectangle":
        points = skew(rng, points, 25)
    room = {"id": "r", "outline": points, "keepouts": []}
    x, y = rng.uniform(1000, 4000), rng.uniform(300, 2000)
    post = [[x, y], [x + 500, y], [x + 500, y + 400], [x, y + 400]]
    if kind != "rectangle" and Polygon(points).buffer(-50).contains(Polygon(post)):
        room["keepouts"].append({"id": "post", "outline": post})
    made = product(rng, max_run=rng.randint(2500, 8000))
    wall, corners = rng.randrange(len(points)), names(len(points))
    layout = {"along": [corners[wall], corners[(wall + 1) % len(points)]], "offset": "1/3", "order": "stepped",
              "first_row": rng.randint(5, int(made["face"]["width"])), "shift": rng.randint(5, int(made["face"]["length"]))}
    area = {"id": "a", "rooms": ["r"], "product": "p", "layout": layout}
    return {"drylay": 1, "products": [made], "rooms": [room], "areas": [area]}, angle_of(points, wall)


def compare(count, rng, sheet, angle, kind, label):
    made, layout = sheet["products"][0], sheet["areas"][0]["layout"]
    answer = ask("plan", sheet)["areas"][0]
    turn = lambda shape: affinity.rotate(shape, -angle, origin=(0, 0))
    turned = unary_union([turn(Polygon(f["outline"], f["holes"])) for f in answer["field"]])
    lines = [list(turn(LineString(j["line"])).coords) for j in answer["movement_joints"]]
    most = made["max_run"]
    for along_rows in (True, False):
        left = longest(rng, turned, lines, along_rows)
        count.check(left <= most + TOLERANCE, f"{label}: a run of {left} where {most} is allowed")
        of = 0 if along_rows else 1
        parting = [j for j in lines if abs(j[0][of] - j[1][of]) < 1e-3]
        for joint in parting:
            others = [j for j in lines if j is not joint]
            needed = longest(rng, turned, others, along_rows) > most
            count.check(needed, f"{label}: the joint {joint} can be left out")
        if kind == "rectangle" and along_rows:
            length = turned.bounds[2] - turned.bounds[0]
            count.check(len(parting) == math.ceil(length / most - 1e-9) - 1, f"{label}: {len(parting)} joints in {length} at {most}")
    pitch = made["face"]["width"] + made["joint"]
    for joint, line in zip(answer["movement_joints"], lines):
        if joint["between_rows"]:
            off = (line[0][1] - turned.bounds[1] - layout["first_row"] - made["joint"] / 2) % pitch
            count.check(min(off, pitch - off) < TOLERANCE, f"{label}: a joint {off} beside a place between rows")
        middle = LineString(line).interpolate(0.5, normalized=True)
        count.check(turned.buffer(1e-3).contains(middle), f"{label}: a joint outside the field")


def main():
    rng, count = random.Random(SEED), Count()
    for n in range(150):
        kind = rng.choice(KINDS)
        sheet, angle = make_sheet(rng, kind)
        compare(count, rng, sheet, angle, kind, f"field {n} ({kind})")
    count.close()


main()
