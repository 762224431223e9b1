"""Pieces against an independent cut: the field and every piece of 200 random areas, made anew with shapely.

shapely (GEOS) is a general-purpose geometry library: here it unites rooms, draws the field in with its own mitred
buffer and intersects it with every tile by the definitions of the job sheet.
"""

import math
import random

import shapely
from drylay import KINDS, Count, angle_of, ask, names, product, shape, skew
from shapely import affinity
from shapely.geometry import Polygon, box

SEED = 20261125
# mm². A nanometre of rounding in the corner of a wall that runs almost along the rows moves where row 1 begins by a
# few hundred nanometres, and with it every piece.
AREA_TOLERANCE = 0.5


def make_room(rng, index):
    points = shape(rng, rng.choice(KINDS), rng.uniform(1800, 5200), rng.uniform(1500, 4200))
    if rng.random() < 0.7:
        points = skew(rng, points, 15)
    return {"id": f"r{index}", "outline": points, "keepouts": [], "openings": [], "edges": []}


def make_sheet(rng):
    """A sheet, and the floor it describes as a shapely polygon before gaps."""
    first = make_room(rng, 0)
    floor = Polygon(first["outline"])
    sheet = {"drylay": 1, "products": [product(rng)], "rooms": [first], "areas": []}
    kind = rng.random()
    if kind < 0.3:
        floor = add_second_room(rng, sheet, floor)
    elif kind < 0.5:
        floor = add_reach(rng, sheet, floor)
    if rng.random() < 0.4:
        floor = add_keepout(rng, first, floor)
    return sheet, floor


def along_wall(points, wall, start, out):
    """The plan point at a distance along a wall and beyond it."""
    (x0, y0), (x1, y1) = points[wall], points[(wall + 1) % len(points)]
    length = math.hypot(x1 - x0, y1 - y0)
    dx, dy = (x1 - x0) / length, (y1 - y0) / length
    return (x0 + dx * start + dy * out, y0 + dy * start - dx * out)


def wall_length(points, wall):
    return math.dist(points[wall], points[(wall + 1) % len(points)])


def opening(rng, room, wall, width):
    start = rng.uniform(0.1, 0.9) * (wall_length(room["outline"], wall) - width)
    corners = names(len(room["outline"]))
    made = {"id": "door", "wall": [corners[wall], corners[(wall + 1) % len(corners)]], "start": start, "width": width}
    room["openings"].append(made)
    return start


def add_reach(rng, sheet, floor):
    room = sheet["rooms"][0]
    width, reach = rng.uniform(600, 900), rng.uniform(30, 140)
    wall = rng.choice([w for w in range(len(room["outline"])) if wall_length(room["outline"], w) > width + 100])
    start = opening(rng, room, wall, width)
    room["openings"][0]["reach"] = reach
    into = [along_wall(room["outline"], wall, s, o) for s, o in ((start, -1), (start, reach), (start + width, reach), (start + width, -1))]
    return floor.union(Polygon(into))


def add_second_room(rng, sheet, floor):
    """A second room behind a door, placed by turning it until the openings face each other."""
    first, second = sheet["rooms"][0], make_room(rng, 1)
    width, depth = rng.uniform(650, 900), rng.uniform(60, 250)
    fits = lambda room: [w for w in range(len(room["outline"])) if wall_length(room["outline"], w) > width + 100]
    wall_a, wall_b = rng.choice(fits(first)), rng.choice(fits(second))
    start_a, start_b = opening(rng, first, wall_a, width), opening(rng, second, wall_b, width)
    middle_a = along_wall(first["outline"], wall_a, start_a + width / 2, depth)
    middle_b = along_wall(second["outline"], wall_b, start_b + width / 2, 0)
    turn = angle_of(first["outline"], wall_a) + 180 - angle_of(second["outline"], wall_b)
    placed = affinity.rotate(Polygon(second["outline"]), turn, origin=middle_b)
    placed = affinity.translate(placed, middle_a[0] - middle_b[0], middle_a[1] - middle_b[1])
    if placed.buffer(-1).intersects(floor.buffer(-1)):
        first["openings"], second["openings"] = [], []
        return floor
    doorway = Polygon([along_wall(first["outline"], wall_a, s, o) for s, o in ((start_a, -1), (start_a, depth + 1), (start_a + width, depth + 1), (start_a + width, -1))])
    sheet["rooms"].append(second)
    sheet["passages"] = [{"a": ["r0", "door"], "b": ["r1", "door"], "depth": depth}]
    return floor.union(placed).union(doorway)


def add_keepout(rng, room, floor):
    lo_x, lo_y, hi_x, hi_y = Polygon(room["outline"]).bounds
    x, y = rng.uniform(lo_x, hi_x), rng.uniform(lo_y, hi_y)
    w, h = rng.uniform(200, 1200), rng.uniform(200, 900)
    ring = skew(rng, [[x, y], [x + w, y], [x + w, y + h], [x, y + h]], 5)
    if Polygon(ring).intersection(floor).area < 1000:
        return floor
    room["keepouts"].append({"id": "k", "outline": ring if rng.random() < 0.5 else ring[::-1]})
    return floor.difference(Polygon(ring))


def convex_with_own_gaps(rng, sheet):
    """A convex room whose walls have gaps of their own: the field is an intersection of half planes."""
    room = make_room(rng, 0)
    points = skew(rng, shape(rng, rng.choice(["rectangle", "bay"]), rng.uniform(2000, 5000), rng.uniform(1500, 4000)), 20)
    corners = names(len(points))
    gaps = [rng.choice([4, 8, 12, 20]) for _ in points]
    room["outline"] = points
    room["edges"] = [{"wall": [corners[i], corners[(i + 1) % len(points)]], "gap": g} for i, g in enumerate(gaps)]
    sheet["rooms"] = [room]
    field = Polygon(points)
    for i, gap in enumerate(gaps):
        far = 1e5
        strip = [along_wall(points, i, s, o) for s, o in ((-far, -gap), (far, -gap), (far, far), (-far, far))]
        field = field.difference(Polygon(strip))
    return field


def fixed_layout(rng, sheet, field_count):
    p = sheet["products"][0]
    points = sheet["rooms"][0]["outline"]
    wall = rng.randrange(len(points))
    corners = names(len(points))
    by_wall = rng.random() < 0.7
    angle = angle_of(points, wall) if by_wall else rng.choice([0, 45, 90, 12.5])
    layout = {
        "along": [corners[wall], corners[(wall + 1) % len(points)]] if by_wall else angle,
        "offset": rng.choice(p["offsets"]),
        "order": rng.choice(["stepped", "alternating"]),
        "first_row": rng.randint(5, int(p["face"]["width"])),
        "shift": rng.randint(5, int(p["face"]["length"])),
    }
    sheet["areas"] = [{"id": "a", "rooms": [r["id"] for r in sheet["rooms"]], "product": "p", "layout": layout}]
    return angle, layout


def cut_independently(field, p, angle, layout):
    """Every part of every tile, by row, from shapely alone; in the lattice's frame."""
    turned = affinity.rotate(field, -angle, origin=(0, 0))
    length, width, joint = p["face"]["length"], p["face"]["width"], p["joint"]
    lo_u, lo_v, hi_u, hi_v = turned.bounds
    band = turned.intersection(box(lo_u - 1, lo_v, hi_u + 1, lo_v + layout["first_row"]))
    num, den = (int(x) for x in layout["offset"].split("/"))
    pitch = length + joint
    rows, row = [], 0
    top = lo_v + layout["first_row"] - width
    while top < hi_v:
        steps = row if layout["order"] == "stepped" else row % 2
        u = band.bounds[0] + layout["shift"] - length + steps * pitch * num / den
        u += pitch * math.floor((lo_u - u) / pitch)
        parts = []
        while u < hi_u:
            seen = turned.intersection(box(u, top, u + length, top + width))
            polygons = [g for g in getattr(seen, "geoms", [seen]) if g.geom_type == "Polygon" and g.area > 1e-9]
            parts += [(g, u, top) for g in polygons]
            u += pitch
        rows.append(parts)
        top, row = top + width + joint, row + 1
    return turned, rows


def compare(count, sheet, field, angle, layout, label):
    p = sheet["products"][0]
    answer = ask("plan", sheet)["areas"][0]
    count.check(abs(answer["field_m2"] * 1e6 - field.area) < 1.0, f"{label}: field {answer['field_m2'] * 1e6} {field.area}")
    turned, rows = cut_independently(field, p, angle, layout)
    expected = [(r + 1, *part) for r, parts in enumerate(rows) for part in parts]
    if any(0.9 < g.area < 1.1 for _, g, _, _ in expected):
        return  # whether it is a piece hangs on the last digit
    expected = [e for e in expected if e[1].area > 1.0]
    count.check(len(expected) == len(answer["pieces"]), f"{label}: {len(answer['pieces'])} pieces, {len(expected)} by shapely")
    left = list(expected)
    for piece in answer["pieces"]:
        ours = affinity.rotate(Polygon(piece["outline"], piece["holes"]), -angle, origin=(0, 0))
        best = min(left, key=lambda e: (e[0] != piece["row"], ours.symmetric_difference(e[1]).area), default=None)
        same = best is not None and best[0] == piece["row"] and ours.symmetric_difference(best[1]).area < AREA_TOLERANCE
        count.check(same, f"{label}: piece {piece['id']} is not what shapely cuts")
        if not same:
            continue
        left.remove(best)
        on_tile = Polygon(piece["on_tile"], piece.get("on_tile_holes", []))
        there = affinity.translate(best[1], -best[2], -best[3])
        count.check(on_tile.symmetric_difference(there).area < AREA_TOLERANCE, f"{label}: piece {piece['id']} on its tile")
    check_rules(count, answer, p, label)
    check_sharing_holds(count, answer, p, label)


def check_rules(count, answer, p, label):
    broken, open_cases = set(), set()
    for piece in answer["pieces"]:
        lo_u, lo_v, hi_u, hi_v = Polygon(piece["on_tile"]).bounds
        for rule, value, limit in (("narrow", hi_v - lo_v, p["min_row_width"]), ("short", hi_u - lo_u, p["min_end_length"])):
            if abs(value - limit) < 1e-3:
                open_cases.add((rule, piece["id"]))  # within a micrometre either answer is right
            elif value < limit:
                broken.add((rule, piece["id"]))
    told = {(b["rule"], b["piece"]) for b in answer["breaches"]} - open_cases
    count.check(told == broken, f"{label}: breaches {told ^ broken}")


def check_sharing_holds(count, answer, p, label):
    tiles = {}
    for piece in answer["pieces"]:
        tiles.setdefault(piece["tile"], []).append(Polygon(piece["on_tile"]).convex_hull)
    count.check(len(tiles) == answer["tiles"] >= answer["proven_minimum"], f"{label}: number of tiles")
    for tile, hulls in tiles.items():
        apart = all(a.distance(b) >= p["kerf"] - 1e-3 and a.intersection(b).area < 1e-3 for i, a in enumerate(hulls) for b in hulls[:i])
        count.check(apart, f"{label}: the pieces of tile {tile} do not come apart")
    cartons = -(-answer["tiles"] // p["carton"]["tiles"])
    count.check(cartons == answer["cartons"], f"{label}: cartons")


def main():
    rng, count = random.Random(SEED), Count()
    for n in range(200):
        sheet, floor = make_sheet(rng)
        if n % 5 == 4:
            field = convex_with_own_gaps(rng, sheet)
            sheet.pop("passages", None)
        else:
            # A mitre limit far beyond any corner of a room: corners stay mitred.
            field = floor.buffer(-sheet["products"][0]["edge_gap"], join_style="mitre", mitre_limit=20)
        field = shapely.make_valid(field)
        if field.area < 1e5:
            continue
        angle, layout = fixed_layout(rng, sheet, n)
        compare(count, sheet, field, angle, layout, f"field {n}")
    count.close()


main()
