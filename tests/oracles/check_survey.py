"""Adjusted rooms against scipy: 60 random rooms solved anew by a general least-squares solver; 20 floors of rooms
joined by passages likewise; things located by two distances and bowed walls against shapely.

scipy.optimize.least_squares minimises the weighted residuals in the sheet's frame; standardised residuals follow
from its Jacobian (Ghilani, *Adjustment Computations*, 6th ed., ch. 21: w = v / (σ√q_vv)).
"""

import math
import random

import numpy as np
import shapely
from drylay import Count, ask, names, shape
from scipy.optimize import least_squares

SEED = 3


def make(rng):
    kind = rng.choice(["rectangle", "L", "bay", "step"])
    true = shape(rng, kind, rng.uniform(2500, 6000), rng.uniform(2000, 5000))
    true = [[x + rng.uniform(-30, 30), y + rng.uniform(-30, 30)] for x, y in true]
    n, labels = len(true), names(len(true))
    pairs = [(i, (i + 1) % n) for i in range(n)]
    ties = [(i, j) for i in range(n) for j in range(i + 2, n) if (i, j) != (0, n - 1)]
    pairs += rng.sample(ties, min(len(ties), n - 3 + rng.randint(2, 4)))
    sd = [rng.choice([0.8, 1.2, 1.6]) for _ in pairs]
    read = [round(math.dist(true[i], true[j]) + rng.gauss(0, s), 1) for (i, j), s in zip(pairs, sd)]
    out = {labels[k]: "out" for k in range(n) if turns_out(true, k)}
    tape = [{"from": labels[i], "to": labels[j], "read": r, "sd": s} for (i, j), r, s in zip(pairs, read, sd)]
    return {"drylay": 1, "rooms": [{"id": "r", "corners": labels, "turns": out, "tape": tape}]}, true, pairs, read, sd


def turns_out(points, k):
    (ax, ay), (bx, by), (cx, cy) = points[k - 1], points[k], points[(k + 1) % len(points)]
    return (bx - ax) * (cy - by) - (by - ay) * (cx - bx) < 0


def in_frame(points):
    """Turned and moved so that the first corner is the origin and the second on x."""
    (x0, y0), (x1, y1) = points[0], points[1]
    c, s = (x1 - x0) / math.dist(points[0], points[1]), (y1 - y0) / math.dist(points[0], points[1])
    return [((x - x0) * c + (y - y0) * s, (y - y0) * c - (x - x0) * s) for x, y in points]


def solve(true, pairs, read, sd):
    start = np.array([c for p in in_frame(true) for c in p])
    free = [1 + i for i in range(len(start) - 1) if i + 1 not in (1, 3)]
    start_free = start[free]

    def place(x):
        full = np.zeros(len(start))
        full[free] = x
        return full.reshape(-1, 2)

    def weighted(x):
        p = place(x)
        return np.array([(math.dist(p[i], p[j]) - r) / s for (i, j), r, s in zip(pairs, read, sd)])

    found = least_squares(weighted, start_free, jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale=1.0)
    p = place(found.x)
    jac = np.zeros((len(pairs), len(start)))
    for k, ((i, j), s) in enumerate(zip(pairs, sd)):
        d = (p[i] - p[j]) / math.dist(p[i], p[j]) / s
        jac[k, 2 * i : 2 * i + 2], jac[k, 2 * j : 2 * j + 2] = d, -d
    a = jac[:, free]
    q = np.eye(len(pairs)) - a @ np.linalg.inv(a.T @ a) @ a.T
    v = weighted(found.x)
    return p, v / np.sqrt(np.diag(q)), np.linalg.inv(a.T @ a), free


def house(rng):
    """A floor of rooms in a grid, each door marked a few millimetres off: its sheet, and its passages as numbers."""
    across, down = rng.randint(2, 4), rng.randint(2, 3)
    wide = [rng.uniform(2500, 5000) for _ in range(across)]
    deep = [rng.uniform(2200, 4000) for _ in range(down)]
    depth = {"e": [rng.uniform(80, 200) for _ in range(across)], "s": [rng.uniform(80, 200) for _ in range(down)]}
    rooms, passages, sides = [], [], []
    for r in range(across * down):
        w, h = wide[r % across], deep[r // across]
        skew = [[x + rng.uniform(-15, 15), y + rng.uniform(-15, 15)] for x, y in [(0, 0), (w, 0), (w, h), (0, h)]]
        outline = [[round(v, 3) for v in p] for p in skew]
        rooms.append({"id": f"r{r}", "outline": outline, "openings": []})

    def door(r, wall, start, width=900):
        n = len(rooms[r]["openings"])
        start = round(start + rng.gauss(0, 4), 3)
        label = "ABCD"
        rooms[r]["openings"].append({"id": f"o{n}", "wall": [label[wall], label[(wall + 1) % 4]], "start": start, "width": width})
        a, b = np.array(rooms[r]["outline"][wall]), np.array(rooms[r]["outline"][(wall + 1) % 4])
        u = (b - a) / np.hypot(*(b - a))
        return [f"r{r}", f"o{n}"], (r, a + u * start, a + u * (start + width))

    for r in range(across * down):
        i, j = r % across, r // across
        if i + 1 < across:
            y = rng.uniform(300, deep[j] - 1300)
            a, b = door(r, 1, y), door(r + 1, 3, deep[j] - y - 900)
            passages.append((a, b, depth["e"][i]))
        if j + 1 < down:
            x = rng.uniform(300, wide[i] - 1300)
            a, b = door(r, 2, wide[i] - x - 900), door(r + across, 0, x)
            passages.append((a, b, depth["s"][j]))
    joined = [{"a": a[0], "b": b[0], "depth": round(d, 3)} for a, b, d in passages]
    sheet = {"drylay": 1, "rooms": rooms, "passages": joined}
    return sheet, [(a[1], b[1], round(d, 3)) for a, b, d in passages], len(rooms)


def place(passages, n, sd=3.0, sd_turn=math.radians(0.3)):
    """Poses of rooms by scipy: middles meet along and across the wall of side a, and walls are parallel."""

    def parts(side, out):
        _, left, right = side
        u = (right - left) / np.hypot(*(right - left))
        return (left + right) / 2 + out * np.array([u[1], -u[0]]), math.atan2(u[1], u[0])

    def pose(x, r):
        return (0.0, 0.0, 0.0) if r == 0 else x[3 * r - 3 : 3 * r]

    def at(p, q):
        c, s = math.cos(p[2]), math.sin(p[2])
        return np.array([p[0] + c * q[0] - s * q[1], p[1] + s * q[0] + c * q[1]])

    def weighted(x):
        out = []
        for a, b, depth in passages:
            (ma, ha), (mb, hb) = parts(a, depth), parts(b, 0.0)
            pa, pb = pose(x, a[0]), pose(x, b[0])
            g, turn = at(pb, mb) - at(pa, ma), pa[2] + ha
            twist = (pb[2] + hb - turn - math.pi + math.pi) % (2 * math.pi) - math.pi
            c, s = math.cos(turn), math.sin(turn)
            out += [(g[0] * c + g[1] * s) / sd, (g[1] * c - g[0] * s) / sd, twist / sd_turn]
        return np.array(out)

    # From a grid laid by hand: along each passage once.
    start, known = np.zeros(3 * n - 3), {0}
    while len(known) < n:
        for a, b, depth in passages:
            for near, far, side in ((a, b, 1), (b, a, -1)):
                if near[0] in known and far[0] not in known:
                    (mn, hn), (mf, hf) = parts(near, depth), parts(far, 0.0)
                    p = pose(start, near[0])
                    turn = p[2] + hn + math.pi - hf
                    q = at(p, mn) - at((0, 0, turn), mf)
                    start[3 * far[0] - 3 : 3 * far[0]] = [q[0], q[1], math.remainder(turn, 2 * math.pi)]
                    known.add(far[0])
    found = least_squares(weighted, start, jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15, x_scale="jac")
    a = found.jac
    q = np.eye(len(found.fun)) - a @ np.linalg.pinv(a.T @ a) @ a.T
    return found.x, found.fun / np.sqrt(np.diag(q))


def check_houses(rng, count):
    for n in range(20):
        sheet, passages, rooms = house(rng)
        floor = ask("survey", sheet)["floors"][0]
        x, w = place(passages, rooms)
        for r in range(1, rooms):
            found = floor["rooms"][r]
            count.check(math.dist(found["at"], x[3 * r - 3 : 3 * r - 1]) < 0.01, f"house {n}: room {r} at {found} {x[3 * r - 3 : 3 * r]}")
            off = math.remainder(found["degrees"] - math.degrees(x[3 * r - 1]), 360)
            count.check(abs(off) < 1e-5, f"house {n}: room {r} turned by {off}")
        for k, passage in enumerate(floor["passages"]):
            want = max(abs(v) for v in w[3 * k : 3 * k + 3])
            count.check(abs(passage["w"] - want) < 1e-4 * max(1, want), f"house {n}: passage {k}: w {passage['w']} {want}")


def check_places(rng, count):
    """Things by two distances against shapely's circles, floors with strings against shapely's areas."""
    for n in range(30):
        w, h = rng.uniform(2500, 6000), rng.uniform(2000, 5000)
        outline = [[0, 0], [round(w, 2), 0], [round(w, 2), round(h, 2)], [0, round(h, 2)]]
        thing = (rng.uniform(300, w - 300), rng.uniform(300, h - 300))
        offsets = sorted((round(rng.uniform(200, w - 200), 1), round(rng.uniform(-12, 12), 1)) for _ in range(rng.randint(1, 5)))
        reads = [round(math.dist(thing, outline[k]), 1) for k in (0, 1)]
        sheet = {"drylay": 1, "rooms": [{
            "id": "r", "outline": outline,
            "strings": [{"wall": ["A", "B"], "offsets": [{"along": s, "offset": o} for s, o in offsets]}],
            "located": [{"id": "t", "distances": [{"corner": c, "read": r} for c, r in zip("AB", reads)], "diameter": 60}],
        }]}
        room = ask("survey", sheet)["rooms"][0]
        # So many sides that the circles' crossing is known to a thousandth of a millimetre.
        rings = [shapely.Point(outline[k]).buffer(r, quad_segs=20000).exterior for k, r in enumerate(reads)]
        crossing = [p for p in shapely.get_parts(rings[0].intersection(rings[1])) if p.y > 0]
        count.check(math.dist(room["located"][0]["at"], crossing[0].coords[0]) < 0.01, f"thing {n}: {room['located'][0]['at']} {crossing[0]}")
        ring = shapely.Polygon(room["located"][0]["outline"])
        count.check(ring.contains(shapely.Point(room["located"][0]["at"]).buffer(29.99, quad_segs=200)), f"thing {n}: the ring cuts the pipe")
        bowed = shapely.Polygon([outline[0], *((s, -o) for s, o in offsets), *outline[1:]])
        count.check(abs(room["area_m2"] - bowed.area / 1e6) < 1e-8, f"string {n}: {room['area_m2']} {bowed.area / 1e6}")


def main():
    rng, count = random.Random(SEED), Count()
    check_houses(rng, count)
    check_places(rng, count)
    for n in range(60):
        sheet, true, pairs, read, sd = make(rng)
        answer = ask("survey", sheet)["rooms"][0]
        suspects = [r for r in answer["readings"] if r["suspect"]]
        p, w, covariance, free = solve(true, pairs, read, sd)
        for k, reading in enumerate(answer["readings"]):
            if "w" in reading:
                count.check(abs(reading["w"] - w[k]) < 1e-6 * max(1, abs(w[k])) + 1e-6, f"room {n}: w of reading {k}: {reading['w']} {w[k]}")
        if suspects:
            continue  # then the corners are those without the suspects' influence
        for k, label in enumerate(names(len(true))):
            at = answer["corners"][label]["at"]
            count.check(math.dist(at, p[k]) < 0.01, f"room {n}: corner {label} {at} {p[k]}")
        for at, c in enumerate(free):
            sd_ours = answer["corners"][names(len(true))[c // 2]]["sd"][c % 2]
            count.check(abs(sd_ours - math.sqrt(covariance[at, at])) < 1e-4, f"room {n}: sd of coordinate {c}")
    count.close()


main()
