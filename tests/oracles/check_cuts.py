"""Necks, marks and the cut piece against shapely: the thinnest neck of every cut piece of random areas.

shapely (GEOS) is a general-purpose geometry library. A neck is looked for by brute force: straight lines from every
re-entrant corner to the nearest of many points of every edge, those that stay in the piece and leave a real part on
both sides.
And by negative buffering: eroded by less than half its thinnest neck no piece falls into two.
"""

import math
import random

from drylay import KINDS, Count, ask, names, product, shape, skew
from shapely.geometry import LineString, Polygon
from shapely.ops import split
from shapely.prepared import prep

SEED = 20261125
STEP = 1.0  # mm between points of the boundary that are tried
HAIR = 0.02  # mm: what rounding makes is no corner


def area(rng):
    points = shape(rng, rng.choice(KINDS), rng.uniform(1800, 4200), rng.uniform(1500, 3600))
    if rng.random() < 0.7:
        points = skew(rng, points, 15)
    room = {"id": "r", "outline": points, "keepouts": []}
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    if rng.random() < 0.8:
        x, y = rng.uniform(min(xs) + 300, max(xs) - 500), rng.uniform(min(ys) + 300, max(ys) - 400)
        a, b = rng.uniform(60, 400), rng.uniform(60, 400)
        post = [[x, y], [x + a, y], [x + a, y + b], [x, y + b]]
        if Polygon(points).contains(Polygon(post)):
            room["keepouts"].append({"id": "post", "outline": post})
    clearance = rng.choice([0, 0, 2, 3.175])
    tile = product(rng, clearance=clearance, offsets=["1/3"])
    corners = names(len(points))
    layout = {"along": [corners[0], corners[1]], "offset": "1/3", "first_row": min(tile["face"]["width"], 140), "shift": 250}
    return {"drylay": 1, "products": [tile], "rooms": [room], "areas": [{"id": "a", "rooms": ["r"], "product": "p", "layout": layout}]}


def cleaned(ring):
    points = []
    for p in ring:
        if not points or math.dist(points[-1], p) > HAIR:
            points.append(tuple(p))
    while len(points) > 1 and math.dist(points[0], points[-1]) <= HAIR:
        points.pop()
    return points


def reentrant(ring):
    """Corners of a ring whose piece lies to the right of its edges on the page, where it turns the other way."""
    n = len(ring)
    for i in range(n):
        (ax, ay), (bx, by), (cx, cy) = ring[i - 1], ring[i], ring[(i + 1) % n]
        cross = (bx - ax) * (cy - by) - (by - ay) * (cx - bx)
        longer = max(math.hypot(bx - ax, by - ay), math.hypot(cx - bx, cy - by))
        if cross < -HAIR * longer:
            yield (bx, by)


def least_width(points):
    hull = Polygon(points).convex_hull
    ring = list(hull.exterior.coords)
    width = math.inf
    for (ax, ay), (bx, by) in zip(ring, ring[1:]):
        length = math.hypot(bx - ax, by - ay)
        if length > 0:
            away = [((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length for x, y in ring]
            width = min(width, max(away) - min(away))
    return width


def farthest(part, line):
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    length = math.hypot(bx - ax, by - ay)
    return max(abs(((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length) for x, y in part.exterior.coords)


def brute_neck(outer, holes):
    piece = Polygon(outer, holes)
    inside = prep(piece.buffer(1e-6))
    best = least_width(outer)
    boundary = [piece.exterior, *piece.interiors]
    for ring in [outer, *holes]:
        for corner in reentrant(ring):
            for length, point in sorted(nearest(boundary, corner)):
                if length >= best:
                    break
                if length <= HAIR:
                    continue
                line = LineString([corner, point])
                # Along the boundary it parts nothing.
                if not inside.covers(line) or piece.boundary.intersection(line.buffer(1e-7)).length > 0.5 * length:
                    continue
                if not parts(piece, line, length):
                    continue
                best = length
                break
    return best


def nearest(boundary, corner):
    """The nearest of many points of every straight part of the boundary."""
    for ring in boundary:
        for a, b in zip(ring.coords, ring.coords[1:]):
            steps = max(int(math.dist(a, b) / STEP), 1)
            points = [(a[0] + (b[0] - a[0]) * i / steps, a[1] + (b[1] - a[1]) * i / steps) for i in range(steps + 1)]
            yield min((math.dist(corner, p), p) for p in points)


def parts(piece, line, length):
    """Whether a line leaves a part on both sides that reaches away from it by half its length or more."""
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    dx, dy = (bx - ax) / length * 1e-6, (by - ay) / length * 1e-6
    found = split(piece, LineString([(ax, ay), (bx + dx, by + dy)])).geoms
    if len(found) < 2:
        return True  # from a hole to another ring
    reaches = sorted(farthest(part, line) for part in found if part.area > 1e-3)
    return len(reaches) < 2 or reaches[0] >= length / 2 - 1e-9


def check(count, sheet):
    answer = ask("plan", sheet)["areas"][0]
    face, clearance = sheet["products"][0]["face"], sheet["products"][0]["clearance"]
    for piece in answer["pieces"]:
        cutting = piece.get("cutting")
        if (cutting is None) != (piece["cut"] == "whole"):
            count.check(False, f"{piece['id']}: only what is cut has a cutting")
        if cutting is None or clearance > 0 and piece["cut"] == "shape":
            continue
        outer = cleaned(piece["on_tile"])
        holes = [cleaned(h) for h in piece.get("on_tile_holes", [])]
        marks_go_in(count, piece, face, clearance)
        if clearance == 0 and len(outer) >= 3:
            neck = brute_neck(outer, holes)
            # Points a step apart miss the foot of a line by half a step at most.
            allowed = 0.05 + STEP * STEP / (8 * max(neck, 1.0))
            count.check(abs(neck - cutting["neck"]) <= allowed, f"{piece['id']}: neck {cutting['neck']} against {neck}: {outer}")
            eroded = Polygon(outer, holes).buffer(-0.49 * cutting["neck"], join_style="round", quad_segs=64)
            count.check(eroded.geom_type == "Polygon", f"{piece['id']}: eroded it falls apart: {outer}")


def marks_go_in(count, piece, face, clearance):
    """Each figure lies on the looser side of where it would be, by less than a step of the grid."""
    for mark in piece["cutting"]["marks"]:
        count.check(abs(mark["figure"] - mark["exact"]) < 1.0, f"{piece['id']}: {mark}")
        most = face["length"] if mark["from"] in ("start", "end") else face["width"]
        count.check(0 <= mark["figure"] <= math.ceil(most), f"{piece['id']}: off the tile: {mark}")
    length, width = piece["cutting"]["size"]
    xs, ys = [p[0] for p in piece["on_tile"]], [p[1] for p in piece["on_tile"]]
    fits = length <= max(xs) - min(xs) + 1e-6 and width <= max(ys) - min(ys) + 1e-6
    count.check(fits, f"{piece['id']}: cut larger than planned")
    if piece["cut"] == "length" and clearance:
        # Of a piece shorter than the clearance nothing is left.
        most = max(max(xs) - min(xs) - clearance, 0)
        count.check(length <= most + 1e-6, f"{piece['id']}: the clearance is taken off")


def main():
    rng, count = random.Random(SEED), Count()
    for _ in range(60):
        check(count, area(rng))
    count.close()


main()
