"""Adjusted rooms against scipy: 60 random rooms solved anew by a general least-squares solver.

scipy.optimize.least_squares minimises the weighted residuals in the sheet's frame; standardised residuals follow
from its Jacobian (Ghilani, *Adjustment Computations*, 6th ed., ch. 21: w = v / (σ√q_vv)).
"""

import math
import random

import numpy as np
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


def main():
    rng, count = random.Random(SEED), Count()
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
