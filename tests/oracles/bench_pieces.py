"""How long shapely takes to cut a field into the pieces of one choice, vectorised and with the field prepared.

The same field and choices as in `cargo run --release -p drylay-plan --example bench_search`: an L of 30 m² with an
island, 600 × 300 tile. Tiles that the prepared field holds whole are not cut, only those that its edge runs through.
Writes `name<TAB>seconds`.
"""

import math
import time

import numpy as np
import shapely
from shapely.geometry import Polygon

LENGTH, WIDTH, JOINT, GAP = 600, 300, 3, 8
CHOICES = 100

L = [(0, 0), (7004, 9), (6995, 3493), (4003, 3508), (3996, 5706), (-6, 5695)]
ISLAND = [(1800, 1500), (3603, 1507), (3598, 2406), (1797, 2401)]


def pieces(field, first_row, shift):
    u0, v0, u1, v1 = field.bounds
    band = field.intersection(shapely.box(u0 - 1, v0, u1 + 1, v0 + first_row))
    first_u, first_v = band.bounds[0] + shift - LENGTH, v0 + first_row - WIDTH
    rows = np.arange(math.ceil((v1 - first_v) / (WIDTH + JOINT)))
    moved = (rows * (LENGTH + JOINT) / 3) % (LENGTH + JOINT)
    columns = np.arange(-2, 2 + math.ceil((u1 - u0) / (LENGTH + JOINT)))
    us = (first_u + moved[:, None] + columns[None, :] * (LENGTH + JOINT)).ravel()
    vs = np.repeat(first_v + rows * (WIDTH + JOINT), len(columns))
    tiles = shapely.box(us, vs, us + LENGTH, vs + WIDTH)
    whole = shapely.contains_properly(field, tiles)
    met = ~whole & shapely.intersects(field, tiles)
    parts = shapely.get_parts(shapely.intersection(field, tiles[met]))
    return np.concatenate([tiles[whole], parts[shapely.area(parts) > 1]])


def main():
    join = {"join_style": "mitre"}
    field = Polygon(L).buffer(-GAP, **join).difference(Polygon(ISLAND).buffer(GAP, **join))
    shapely.prepare(field)
    begun, least, count = time.perf_counter(), [math.inf] * CHOICES, 0
    # Of each choice the least counts, as of ours.
    while count == 0 or time.perf_counter() - begun < 2.0:
        count = 0
        for i in range(CHOICES):
            start = time.perf_counter()
            count += len(pieces(field, 20 + i % 280, 30 + 2 * i % 560))
            least[i] = min(least[i], time.perf_counter() - start)
    print(f"pieces of one choice, shapely\t{sum(least) / CHOICES:.7f}")
    print(f"pieces of one choice, shapely: how many\t{count / CHOICES:.1f}")


main()
