"""How long scipy's least_squares takes for rooms from their readings, with an analytic Jacobian and from a good start.

The same readings as in `cargo run --release -p drylay-tests --example bench_survey`: one room of 12 corners and 40
readings, and 30 rooms of 6 corners with 400. With each fit comes what the adjustment says of it: covariance,
redundancy numbers and standardised residuals (Ghilani, *Adjustment Computations*, ch. 21). The suspects, the other
shapes that fit, the next tie and the passages of ours are not asked of it. What ours stands beside is least_squares as
it comes (its trust region method); MINPACK's, which it offers as well, is said beside it. Writes `name<TAB>seconds`.
"""

import math
import time

import numpy as np
from scipy.optimize import least_squares

ROOM = [
    (0, 0), (3012, 4), (3009, 811), (5203, 806), (5198, -12), (8004, -5),
    (8011, 4507), (5607, 4498), (5612, 5309), (2405, 5314), (2398, 4512), (-7, 4503),
]
SMALL = [(0, 0), (4000, 0), (4000, 3000), (2500, 3000), (2500, 2000), (0, 2000)]
SMALL_TIES = [(0, 2), (1, 3), (1, 4), (1, 5), (0, 4), (2, 5), (2, 4), (3, 5)]
SD = 1.2
FOR, TIMES = 1.0, 5


def read(k, mm):
    off = 1.2 * ((k * 37 % 17) - 8) / 6
    return math.floor((mm + off) * 10 + 0.5) / 10


def hall():
    n = len(ROOM)
    pairs = [(i, (i + 1) % n) for i in range(n)]
    ties = [(i, (i + step) % n) for step in range(2, 7) for i in range(n)]
    pairs += [(i, j) for i, j in ties if (3 * i + j) % 2 == 0 or i < j][:28]
    return ROOM, pairs, [read(k, math.dist(ROOM[i], ROOM[j])) for k, (i, j) in enumerate(pairs)]


def house():
    rooms, count = [], 0
    for r in range(30):
        pairs = [(i, (i + 1) % 6) for i in range(6)] + SMALL_TIES[: 8 if r < 10 else 7]
        values = []
        for i, j in pairs:
            count += 1
            values.append(read(count, math.dist(SMALL[i], SMALL[j])))
        rooms.append((SMALL, pairs, values))
    return rooms


def in_frame(points):
    p = np.array(points, dtype=float) - points[0]
    c, s = p[1] / np.hypot(*p[1])
    return p @ np.array([[c, -s], [s, c]])


def solve(points, pairs, values, method="trf"):
    start = in_frame(points).ravel()
    free = np.array([k for k in range(len(start)) if k not in (0, 1, 3)])
    i, j = np.array(pairs).T
    values, rows = np.array(values), np.arange(len(pairs))

    def place(x):
        full = np.zeros(len(start))
        full[free] = x
        return full.reshape(-1, 2)

    def weighted(x):
        d = place(x)[j] - place(x)[i]
        return (np.hypot(d[:, 0], d[:, 1]) - values) / SD

    def jacobian(x):
        d = place(x)[j] - place(x)[i]
        u = d / np.hypot(d[:, 0], d[:, 1])[:, None] / SD
        out = np.zeros((len(pairs), len(start)))
        out[rows, 2 * i], out[rows, 2 * i + 1] = -u[:, 0], -u[:, 1]
        out[rows, 2 * j], out[rows, 2 * j + 1] = u[:, 0], u[:, 1]
        return out[:, free]

    found = least_squares(weighted, start[free], jac=jacobian, method=method, xtol=1e-12, ftol=1e-12, gtol=1e-12)
    a = jacobian(found.x)
    covariance = np.linalg.inv(a.T @ a)
    redundancy = 1 - np.einsum("ij,jk,ik->i", a, covariance, a)
    return weighted(found.x) / np.sqrt(redundancy), covariance, 2 * found.cost


def least(act):
    begun, took = time.perf_counter(), []
    while len(took) < TIMES or time.perf_counter() - begun < FOR:
        start = time.perf_counter()
        act()
        took.append(time.perf_counter() - start)
    return min(took)


def main():
    room, rooms = hall(), house()
    print(f"room of 12 corners and 40 readings, scipy\t{least(lambda: solve(*room)):.7f}")
    print(f"room of 12 corners and 40 readings, scipy: sum of squares\t{solve(*room)[2]:.6f}")
    print(f"room of 12 corners and 40 readings, scipy by MINPACK\t{least(lambda: solve(*room, 'lm')):.7f}")
    print(f"30 rooms, 400 readings, scipy\t{least(lambda: [solve(*one) for one in rooms]):.7f}")


main()
