"""How long numpy takes to find the worst chord of a floor of 42 readings to half a per cent.

The same floor as in `cargo run --release -p drylay-survey --example bench_floor`: a wavy 4 x 3 m, straightedges up to
3048 mm. Chords are laid over a grid of places, directions and lengths all at once, the best of them are moved about in
ever smaller steps until nothing improves; dips and humps each. That finds a chord, and proves nothing about the rest,
while ours also bounds what any chord can do. Writes `name<TAB>seconds`.
"""

import statistics
import time

import numpy as np

SPAN = 3048.0
ALONG = np.linspace(0, 1, 33)
STEP = 250.0
BEST = 200
TIMES = 5


def floor():
    seed, points, z = 12345, [], []
    for k in range(42):
        x, y = 150 + k % 7 * 3700 // 6, 150 + k // 7 * 2700 // 5
        seed = (seed * 1_664_525 + 1_013_904_223) % 2**32
        wave = np.sin(x / 700) * np.cos(y / 900) * 3
        points.append((x, y))
        z.append(wave + 2 * ((seed >> 8) / 2**24 - 0.5) + 0.001 * x)
    return np.array(points, float), np.array(z)


def heights(at, xs, ys, z):
    """Heights over the grid's cells, each cut along the diagonal through the reading that is listed first."""
    i = np.clip(np.searchsorted(xs, at[..., 0], side="right") - 1, 0, len(xs) - 2)
    j = np.clip(np.searchsorted(ys, at[..., 1], side="right") - 1, 0, len(ys) - 2)
    u = (at[..., 0] - xs[i]) / (xs[i + 1] - xs[i])
    v = (at[..., 1] - ys[j]) / (ys[j + 1] - ys[j])
    a, b, c, d = z[j, i], z[j, i + 1], z[j + 1, i], z[j + 1, i + 1]
    return np.where(u > v, a + (b - a) * u + (d - b) * v, a + (d - c) * u + (c - a) * v)


def deviation(a, b, sign, xs, ys, z):
    """The most that the floor lies beside each chord, and nothing for chords that are too long or leave the floor."""
    at = a[:, None] + (b - a)[:, None] * ALONG[None, :, None]
    h = sign * heights(at, xs, ys, z)
    most = (h[:, :1] * (1 - ALONG) + h[:, -1:] * ALONG - h).max(axis=1)
    low, high = np.array([xs[0], ys[0]]), np.array([xs[-1], ys[-1]])
    inside = ((a >= low) & (a <= high) & (b >= low) & (b <= high)).all(axis=1)
    return np.where(inside & (np.hypot(*(b - a).T) <= SPAN + 1e-9), most, 0.0)


def worst(sign, xs, ys, z):
    rng = np.random.default_rng(1)
    gx, gy = np.meshgrid(np.arange(xs[0], xs[-1] + 1, STEP), np.arange(ys[0], ys[-1] + 1, STEP))
    starts = np.column_stack([gx.ravel(), gy.ravel()])
    turns = np.linspace(0, np.pi, 24, endpoint=False)
    sweep = np.array([(np.cos(t) * l, np.sin(t) * l) for t in turns for l in (SPAN, SPAN * 0.7, SPAN * 0.45)])
    a = np.repeat(starts, len(sweep), axis=0)
    b = a + np.tile(sweep, (len(starts), 1))
    best = deviation(a, b, sign, xs, ys, z)
    keep = np.argsort(best)[-BEST:]
    a, b, best = a[keep], b[keep], best[keep]
    step = STEP
    while step > 1:
        gained = 0.0
        for _ in range(6):
            na, nb = (p + rng.uniform(-step, step, p.shape) for p in (a, b))
            now = deviation(na, nb, sign, xs, ys, z)
            better = now > best
            gained = max(gained, now.max() - best.max())
            a, b, best = np.where(better[:, None], na, a), np.where(better[:, None], nb, b), np.where(better, now, best)
        if gained < 0.001 * best.max():
            step /= 2
    return best.max()


def main():
    points, z = floor()
    xs, ys = np.unique(points[:, 0]), np.unique(points[:, 1])
    z = z.reshape(len(ys), len(xs))
    took = []
    for _ in range(TIMES):
        start = time.perf_counter()
        found = [worst(sign, xs, ys, z) for sign in (1, -1)]
        took.append(time.perf_counter() - start)
    print(f"verdict, 42 readings, 4 x 3 m, numpy\t{statistics.median(took):.6f}")
    for which, most in zip(("dip", "hump"), found):
        print(f"worst {which}, 42 readings, 4 x 3 m, numpy\t{most:.6f}")


main()
