"""Sharing with pieces that may slide along the tile, against an exact solver and against plain geometry.

OR-tools' CP-SAT puts the pieces' bounding boxes on tiles: across the tile a box stays where it is, along it it goes
anywhere, but where a piece of an interlocking product keeps an end of its tile; boxes of one tile lie a kerf apart, and
set tile may be turned by half a turn. Its optimum is a sharing that exists, so that a bound above it is wrong. Ours may
take fewer only where cuts askew lie closer than boxes do; so shapely looks at every sharing of ours as well: each piece
on its tile, no two of one tile nearer than a kerf.
"""

import random

from drylay import KINDS, Count, ask, product, shape, skew
from ortools.sat.python import cp_model
from shapely import affinity
from shapely.geometry import Polygon, box

SEED = 19
ROOMS = 200
WANTED = 0.97
UNIT = 1000  # CP-SAT counts micrometres


def make(rng):
    points = skew(rng, shape(rng, rng.choice(KINDS), rng.uniform(900, 2800), rng.uniform(600, 1900)), rng.choice([0, 0, 8]))
    p = product(rng, interlock=rng.random() < 0.3)
    layout = {
        "along": ["A", "B"],
        "offset": rng.choice(p["offsets"]),
        "first_row": rng.randint(20, int(p["face"]["width"])),
        "shift": rng.randint(20, int(p["face"]["length"])),
    }
    area = {"id": "a", "rooms": ["r"], "product": "p", "layout": layout}
    # A narrow thing in the way leaves pieces that are cut at both ends.
    inside = Polygon(points).buffer(-10)
    while True:
        x, y = rng.uniform(50, 2000), rng.uniform(50, 1500)
        if inside.covers(box(x, y, x + 120, y + 90)):
            break
    post = {"id": "post", "outline": [[x, y], [x + 120, y], [x + 120, y + 90], [x, y + 90]]}
    room = {"id": "r", "outline": points, "keepouts": [post]}
    return {"drylay": 1, "products": [p], "rooms": [room], "areas": [area]}


def sliding(sheet):
    area = sheet["areas"][0]
    return {**sheet, "areas": [{**area, "layout": {**area["layout"], "slide": True}}]}


def is_held(piece, p):
    """Whether a piece keeps a part of an end of its tile, and its rail with it."""
    ring = piece["on_tile"]
    ends = [0, p["face"]["length"]]
    on = lambda a, b, end: abs(a[0] - end) < 1e-3 and abs(b[0] - end) < 1e-3
    return p["interlock"] and any(on(a, b, end) for a, b in zip(ring, ring[1:] + ring[:1]) for end in ends)


def fewest(pieces, p):
    """The fewest tiles for the boxes of pieces, and whether that is proven."""
    length, width = round(p["face"]["length"] * UNIT), round(p["face"]["width"] * UNIT)
    kerf = round(p["kerf"] * UNIT)
    boxes = [[round(v * UNIT) for v in Polygon(q["on_tile"]).bounds] for q in pieces]
    model, n = cp_model.CpModel(), len(pieces)
    at, low, high, turn = [], [], [], []
    for i, ((u0, v0, u1, v1), q) in enumerate(zip(boxes, pieces)):
        held = is_held(q, p)
        at.append(model.new_int_var(u0 if held else 0, u0 if held else max(length - (u1 - u0), 0), f"u{i}"))
        turn.append(model.new_bool_var(f"h{i}"))
        if p["interlock"]:
            model.add(turn[i] == 0)
        low.append(v0 + (width - v1 - v0) * turn[i])
        high.append(v1 + (width - v1 - v0) * turn[i])
    used = [model.new_bool_var(f"t{t}") for t in range(n)]
    on = [[model.new_bool_var(f"p{i}t{t}") for t in range(i + 1)] for i in range(n)]
    for i in range(n):
        model.add_exactly_one(on[i])
        for t in range(i + 1):
            model.add_implication(on[i][t], used[t])
            if t < i:
                model.add_implication(on[i][t], on[t][t])
    for i in range(n):
        for j in range(i):
            ways = [model.new_bool_var(f"w{i},{j},{k}") for k in range(4)]
            long = lambda k: boxes[k][2] - boxes[k][0]
            model.add(at[i] + long(i) + kerf <= at[j]).only_enforce_if(ways[0])
            model.add(at[j] + long(j) + kerf <= at[i]).only_enforce_if(ways[1])
            model.add(high[i] + kerf <= low[j]).only_enforce_if(ways[2])
            model.add(high[j] + kerf <= low[i]).only_enforce_if(ways[3])
            for t in range(j + 1):
                model.add_bool_or(*ways, on[i][t].negated(), on[j][t].negated())
    area = sum((b[2] - b[0]) * (b[3] - b[1]) / (length * width) for b in boxes)
    model.add(sum(used) >= min(n, int(area * 0.9)))
    model.minimize(sum(used))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = 4
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    return round(solver.objective_value), status == cp_model.OPTIMAL


def looked_at(count, room, answer, p):
    """Every sharing, piece by piece."""
    length, width = p["face"]["length"], p["face"]["width"]
    tile = box(0, 0, length, width)
    tiles = {}
    for q in answer["pieces"]:
        lying = Polygon(q["on_tile"]).convex_hull
        count.check(tile.buffer(1e-3).covers(lying), f"room {room}: {q['id']} does not lie on its tile")
        if q.get("turned"):
            lying = affinity.rotate(lying, 180, origin=(length / 2, width / 2))
        tiles.setdefault(q["tile"], []).append((q["id"], lying))
    for on_tile in tiles.values():
        for i, (one, a) in enumerate(on_tile):
            for other, b in on_tile[i + 1 :]:
                apart = a.distance(b) >= p["kerf"] - 1e-3 and a.intersection(b).area < 1e-3
                count.check(apart, f"room {room}: {one} and {other} do not come apart by a kerf")


def main():
    rng, count, equal, solved, fewer = random.Random(SEED), Count(), 0, 0, 0
    while solved < ROOMS:
        sheet = make(rng)
        p = sheet["products"][0]
        own = ask("plan", sheet)["areas"][0]
        cut = [q for q in own["pieces"] if q["cut"] != "whole"]
        if not 3 <= len(cut) <= 16:
            continue
        solved += 1
        slid = ask("plan", sliding(sheet))["areas"][0]
        looked_at(count, solved, slid, p)
        for q, r in zip(own["pieces"], slid["pieces"]):
            moved = [[round(u + r.get("slid", 0), 6), v] for u, v in q["on_tile"]]
            same = all(abs(a - b) < 1e-5 for one, two in zip(moved, r["on_tile"]) for a, b in zip(one, two))
            count.check(same, f"room {solved}: {q['id']} is moved otherwise than told")
            count.check(not (is_held(q, p) and r.get("slid")), f"room {solved}: {q['id']} slides off its rail")
        count.check(slid["tiles"] <= own["tiles"], f"room {solved}: sliding takes more tiles")
        count.check(slid["proven_minimum"] <= slid["tiles"], f"room {solved}: bound above the tiles")
        best, proven = fewest(cut, p)
        whole = len(own["pieces"]) - len(cut)
        tiles, least = slid["tiles"] - whole, slid["proven_minimum"] - whole
        count.check(least <= best, f"room {solved}: bound {least}, but {best} tiles are enough")
        equal += tiles <= best
        fewer += tiles < own["tiles"] - whole
        if proven and tiles > best:
            print(f"room {solved}: {tiles} tiles where boxes take {best} (bound {least})")
    print(f"{equal} of {solved} sharings take no more tiles than CP-SAT's, {fewer} fewer than without sliding")
    count.check(equal >= solved * WANTED, f"only {equal} of {solved} take the fewest tiles")
    count.close()


main()
