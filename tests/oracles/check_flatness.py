"""Floors against numpy, scipy and HiGHS: no sampled chord beats the bound, no correction is much too dear.

The surface is scipy's Delaunay triangulation, with ties turned to the diagonal through the point listed first.
Chords are sampled at random and along the lines between readings; the correction's cost is held against a linear
programme (scipy.optimize.linprog, HiGHS) to whose chords the worst of the floor it makes are added until that floor holds.
"""

import copy
import sys

import numpy as np
from drylay import Count, ask
from scipy.optimize import linprog
from scipy.spatial import Delaunay

SEED = 7
ROUNDS = 60


def triangles(points):
    """Delaunay triangles, ties by the rule of the sheet (integer arithmetic)."""
    p = [(int(x), int(y)) for x, y in points]
    tris = [list(map(int, t)) for t in Delaunay(np.array(points, float)).simplices]

    def turn(a, b, c):
        return (p[b][0] - p[a][0]) * (p[c][1] - p[a][1]) - (p[b][1] - p[a][1]) * (p[c][0] - p[a][0])

    def circle(a, b, c, d):
        m = [(p[k][0] - p[d][0], p[k][1] - p[d][1]) for k in (a, b, c)]
        s = [x * x + y * y for x, y in m]
        return sum(s[i] * (m[(i + 1) % 3][0] * m[(i + 2) % 3][1] - m[(i + 1) % 3][1] * m[(i + 2) % 3][0]) for i in range(3))

    third = {}
    for t in tris:
        a, b, c = t if turn(*t) > 0 else (t[0], t[2], t[1])
        if turn(a, b, c) > 0:
            third[a, b], third[b, c], third[c, a] = c, a, b
    todo = list(third)
    while todo:
        u, v = todo.pop()
        if (u, v) not in third or (v, u) not in third:
            continue
        w, x = third[u, v], third[v, u]
        inside = circle(u, v, w, x)
        if turn(x, v, w) > 0 and turn(w, u, x) > 0 and (inside > 0 or (inside == 0 and min(w, x) < min(u, v))):
            del third[u, v], third[v, u]
            for a, b, c in ((w, x, v), (x, w, u)):
                third[a, b], third[b, c], third[c, a] = c, a, b
            todo += [(u, w), (w, v), (v, x), (x, u)]
    return np.array(sorted({tuple(sorted((a, b, c))) for (a, b), c in third.items()}))


class Surface:
    def __init__(self, points):
        self.p = np.array(points, float)
        self.t = triangles(points)
        self.a = self.p[self.t[:, 0]]
        b, c = self.p[self.t[:, 1]] - self.a, self.p[self.t[:, 2]] - self.a
        self.inv = np.linalg.inv(np.stack([b, c], axis=2))

    def weights(self, q):
        """For each point its triangle's corners and barycentric weights; good where it lies in the hull."""
        local = np.einsum("tij,qtj->qti", self.inv, q[:, None, :] - self.a[None])
        least = np.minimum(local.min(axis=2), 1 - local.sum(axis=2))
        best = least.argmax(axis=1)
        k = np.arange(len(q))
        w = local[k, best]
        return self.t[best], np.column_stack([1 - w.sum(axis=1), w]), least[k, best] > -1e-9

    def height(self, q, z):
        corners, w, good = self.weights(q)
        return (z[corners] * w).sum(axis=1), good


def blocked(a, b, island):
    """Whether chords pass through a rectangle, by clipping."""
    (x0, y0), (x1, y1) = island
    lo, hi = np.zeros(len(a)), np.ones(len(a))
    for axis, low, high in ((0, x0, x1), (1, y0, y1)):
        d = b[:, axis] - a[:, axis]
        d = np.where(np.abs(d) < 1e-12, 1e-12, d)
        r, s = (low - a[:, axis]) / d, (high - a[:, axis]) / d
        lo, hi = np.maximum(lo, np.minimum(r, s)), np.minimum(hi, np.maximum(r, s))
    return hi > lo + 1e-9


def chords(rng, surface, span, count, island):
    """Random chords at most `span` long on the floor, with a point of each."""
    p = surface.p
    k = len(p)
    i, j = rng.integers(0, k, count), rng.integers(0, k, count)
    spread = np.where(rng.random(count) < 0.5, 0.0, 400.0)[:, None]
    middle = p[i] + rng.normal(0, 1, (count, 2)) * spread
    to = p[j] + rng.normal(0, 1, (count, 2)) * spread
    length = np.linalg.norm(to - middle, axis=1)
    keep = length > 1
    middle, to, length = middle[keep], to[keep], length[keep]
    cut = np.minimum(1, span / length * np.where(rng.random(len(length)) < 0.7, 1.0, rng.random(len(length))))
    a, b = middle, middle + (to - middle) * cut[:, None]
    t = rng.random(len(a))
    good = surface.weights(a)[2] & surface.weights(b)[2]
    if island:
        good &= ~blocked(a, b, island)
    return a[good], b[good], t[good]


def deviations(surface, z, a, b, t):
    m = a + (b - a) * t[:, None]
    za, zb, zm = (surface.height(q, z)[0] for q in (a, b, m))
    return za + (zb - za) * t - zm


def row_matrix(surface, a, b, t):
    rows = np.zeros((len(a), len(surface.p)))
    k = np.arange(len(a))
    for q, share in ((a, 1 - t), (b, t), (a + (b - a) * t[:, None], -np.ones(len(a)))):
        corners, w, _ = surface.weights(q)
        for c in range(3):
            np.add.at(rows, (k, corners[:, c]), w[:, c] * share)
    return rows


def make(rng, n):
    w, h = int(rng.integers(25, 45)) * 100, int(rng.integers(20, 35)) * 100
    nx, ny = 7, 6
    grid = n % 2 == 0
    at = []
    for k in range(nx * ny):
        x, y = 100 + k % nx * (w - 200) // (nx - 1), 100 + k // nx * (h - 200) // (ny - 1)
        if not grid:
            x, y = x + int(rng.integers(-60, 60)), y + int(rng.integers(-60, 60))
        at.append([x, y])
    rod = np.round([1200 + 4 * np.sin(x / 700 + n) * np.cos(y / 800) + rng.normal(0, 0.7) for x, y in at], 2)
    island = ((w // 2 - 300, h // 2 - 200), (w // 2 + 250, h // 2 + 350)) if n % 3 == 2 else None
    gap, span = float(rng.choice([2.5, 4.0, 5.0])), float(rng.choice([1800, 2000, 3048]))
    humps = n % 4 != 3
    room = {
        "id": "r",
        "outline": [[0, 0], [w, 0], [w, h], [0, h]],
        "level": {
            "sd": 0.5,
            "readings": [{"id": f"p{k}", "at": p, "rod": float(r)} for k, (p, r) in enumerate(zip(at, rod))],
            "correction": {"fill_cost": 1, "grind_cost": 4, "grind": n % 5 != 4, "margin": 0.3},
        },
    }
    if island:
        (x0, y0), (x1, y1) = island
        room["keepouts"] = [{"id": "k", "outline": [[x0, y0], [x1, y0], [x1, y1], [x0, y1]]}]
    product = {
        "id": "p",
        "face": {"length": 600, "width": 300},
        "offsets": ["1/3"],
        "flatness": [{"gap": gap, "span": span, "sides": "both" if humps else "dips"}],
    }
    return {"drylay": 1, "products": [product], "rooms": [room]}, at, -rod, island, gap, span, humps


def attained(count, surface, z, told, span, sign, island, what):
    a, b = (np.array([p]) for p in told["chord"])
    at = np.array([told["at"]])
    length = np.linalg.norm(b - a)
    if length < 1e-6:
        return
    t = np.array([np.linalg.norm(at - a) / length])
    off = sign * deviations(surface, z, a, b, t)[0]
    count.check(abs(off - told["deviation"]) < 1e-4, f"{what}: attained {off}, told {told['deviation']}")
    count.check(length <= span + 1e-6 and not (island and blocked(a, b, island)[0]), f"{what}: the chord leaves the floor")


def correction(count, rng, surface, z, told, case, sheet, what):
    gap, span, humps, island, grind = case
    limit = gap - 0.3
    change = np.array([p["fill"] - p["grind"] for p in told["points"]])
    count.check(told["worst_after"] <= limit + 1e-6, f"{what}: {told['worst_after']} is left of {limit}")
    a, b, t = chords(rng, surface, span, 40000, island)
    after = deviations(surface, z + change, a, b, t)
    worst = max(after.max(), -after.min() if humps else 0)
    count.check(worst <= limit + 1e-6, f"{what}: a chord is left with {worst}")
    p, tri = surface.p, surface.t
    side, other = p[tri[:, 1]] - p[tri[:, 0]], p[tri[:, 2]] - p[tri[:, 0]]
    twice = side[:, 0] * other[:, 1] - side[:, 1] * other[:, 0]
    share = np.zeros(len(p))
    for c in range(3):
        np.add.at(share, tri[:, c], np.abs(twice) / 6e6)
    cost = share @ np.maximum(change, 0) + 4 * share @ np.maximum(-change, 0)
    count.check(abs(cost - told["cost"]) < 1e-6 * max(1, cost), f"{what}: cost {cost}, told {told['cost']}")
    least = cheapest(rng, surface, z, share, case, sheet)
    count.check(least <= cost + 1e-6, f"{what}: cheaper than HiGHS allows: {cost} {least}")
    # A floor that is over by hundredths costs next to nothing, whatever the share.
    count.check(cost <= 1.02 * least + 0.01, f"{what}: cost {cost}, HiGHS {least}")


def nearby(rng, surface, a, b, t, span, island):
    """The same chords moved a little, and none longer than the span."""
    a, b, t = (np.repeat(v, 8, axis=0) for v in (a, b, t))
    by = 10 ** rng.uniform(-1, 2, len(a))[:, None]
    a, b = a + rng.normal(0, 1, a.shape) * by, b + rng.normal(0, 1, b.shape) * by
    t = np.clip(t + rng.normal(0, 0.02, len(t)), 0, 1)
    cut = np.minimum(1, span / np.maximum(np.linalg.norm(b - a, axis=1), 1e-9))
    b = a + (b - a) * cut[:, None]
    good = surface.weights(a)[2] & surface.weights(b)[2]
    if island:
        good &= ~blocked(a, b, island)
    return a[good], b[good], t[good]


def worst_told(sheet, z):
    """The worst chords that the program tells of a floor with these heights, and how far they are off."""
    probe = copy.deepcopy(sheet)
    level = probe["rooms"][0]["level"]
    del level["correction"]
    for reading, height in zip(level["readings"], z):
        reading["rod"] = float(-height)
    told = ask("flatness", probe)["rooms"][0]["tolerances"][0]
    found = [told[key] for key in ("worst_dip", "worst_hump") if key in told]
    ends = [(one["chord"][0], one["chord"][1], one["at"]) for one in found if one["chord"][0] != one["chord"][1]]
    a, b, m = (np.array([end[k] for end in ends], float).reshape(-1, 2) for k in range(3))
    t = np.linalg.norm(m - a, axis=1) / np.linalg.norm(b - a, axis=1)
    return a, b, t, max((one["deviation"] for one in found), default=0.0)


def cheapest(rng, surface, z, share, case, sheet):
    """What no correction can cost less than: HiGHS over chords that are added until the floor it makes holds.

    Every chord only asks what the tolerance asks, so each programme's cost is a bound from below, whoever found its
    chords: sampled ones, and the worst the program tells of the floor so far. When that floor holds, the bound is the
    least cost itself.
    """
    gap, span, humps, island, grind = case
    limit, n = gap - 0.3, len(z)
    bounds = [(0, None)] * n + [(0, None if grind else 0)] * n
    rows, most, change, cost = [], [], np.zeros(n), 0.0
    for _ in range(ROUNDS):
        told = worst_told(sheet, z + change)
        if told[3] <= limit + 0.002:
            break
        a, b, t = chords(rng, surface, span, 20000, island)
        for _ in range(3):
            off = deviations(surface, z + change, a, b, t)
            pick = np.argsort(-(np.abs(off) if humps else off))[:400]
            more = nearby(rng, surface, a[pick], b[pick], t[pick], span, island)
            a, b, t = (np.concatenate([v[pick], w]) for v, w in zip((a, b, t), more))
        a, b, t = (np.concatenate([v, w]) for v, w in zip((a, b, t), told))
        off = deviations(surface, z + change, a, b, t)
        worst = np.abs(off) if humps else off
        pick = np.argsort(-worst)[:300]
        pick = pick[worst[pick] > limit]
        if not len(pick):
            break
        asked = row_matrix(surface, a[pick], b[pick], t[pick])
        sign = np.sign(off[pick])
        rows.append(asked * sign[:, None])
        most.append(limit - sign * (asked @ z))
        upper = np.hstack([np.vstack(rows), -np.vstack(rows)])
        costs = np.r_[share, 4 * share]
        least = linprog(costs, A_ub=upper, b_ub=np.concatenate(most), bounds=bounds, method="highs")
        change, cost = least.x[:n] - least.x[n:], least.fun
    return cost


def main():
    # Without words, floors read on a grid and beside one, where slivers lie along the hull, and one with an island; a
    # number as the second word checks so many floors of all sorts.
    numbers = range(int(sys.argv[2])) if len(sys.argv) > 2 else (0, 3, 4, 5)
    rng, count = np.random.default_rng(SEED), Count()
    for n in numbers:
        sheet, at, z, island, gap, span, humps = make(rng, n)
        answer = ask("flatness", sheet)["rooms"][0]
        told, surface, what = answer["tolerances"][0], Surface(at), f"floor {n}"
        heights = np.array([h["z"] for h in answer["heights"]])
        count.check(np.ptp(heights - z) < 1e-9, f"{what}: heights")
        a, b, t = chords(rng, surface, span, 40000, island)
        off = deviations(surface, z, a, b, t)
        worst = max(off.max(), -off.min() if humps else 0)
        count.check(worst <= told["bound"] + 1e-6, f"{what}: a chord with {worst} over the bound {told['bound']}")
        best = max(told["worst_dip"]["deviation"], told.get("worst_hump", {"deviation": 0})["deviation"])
        count.check(told["bound"] - best <= max(0.02, 0.005 * best), f"{what}: bound {told['bound']} for {best}")
        count.check(worst > 0.8 * best, f"{what}: sampled {worst}, told {best}")
        attained(count, surface, z, told["worst_dip"], span, 1, island, what + " dip")
        if humps:
            attained(count, surface, z, told["worst_hump"], span, -1, island, what + " hump")
        if "correction" in answer:
            grind = sheet["rooms"][0]["level"]["correction"]["grind"]
            correction(count, rng, surface, z, answer["correction"], (gap, span, humps, island, grind), sheet, what)
        else:
            count.check(False, f"{what}: no correction")
    count.close()


main()
