"""The best plan against random choices: of rooms whose best plan is called proven, no choice on the grid is better.

Each random choice is cut with shapely by the definitions of the job sheet, and judged in the order of worth of the
job sheet: fewest breaches, fewest cartons, widest narrowest piece, fewest tiles, fewest cut pieces. Tiles are bounded
from below by the pieces that lie over one point of the tile; only where that does not settle it, the program
is asked for the tiles of that one choice, whose sharing another check holds against an exact solver.

Half of the choices are drawn from the whole grid, half from close to the best. DRYLAY_CHOICES is how many there are for
each room; 10,000 is the full check.
"""

import math
import os
import random

import numpy as np
import shapely
from drylay import KINDS, Count, ask, names, product, shape, skew
from shapely import affinity
from shapely.geometry import Polygon

SEED = 41
ROOMS = 50
CHOICES = int(os.environ.get("DRYLAY_CHOICES", "80"))
NEAR = 1e-3  # mm: what rounding may change in an extent


def make(rng):
    points = skew(rng, shape(rng, rng.choice(KINDS), rng.uniform(1200, 3000), rng.uniform(900, 2200)), rng.choice([0, 8]))
    p = product(rng, interlock=rng.random() < 0.8)
    area = {"id": "a", "rooms": ["r"], "product": "p", "layout": {}}
    return {"drylay": 1, "products": [p], "rooms": [{"id": "r", "outline": points}], "areas": [area]}


class Frame:
    """The field turned so that rows run along x, and its pieces for any choice."""

    def __init__(self, field, degrees, p):
        self.region = affinity.rotate(field, -degrees, origin=(0, 0))
        shapely.prepare(self.region)
        self.p = p
        self.length, self.width = p["face"]["length"], p["face"]["width"]

    def pieces(self, offset, first_row, shift):
        """Parts of the field by tile, and where each part's tile lies."""
        length, width, joint = self.length, self.width, self.p["joint"]
        u0, v0, u1, v1 = self.region.bounds
        band = self.region.intersection(shapely.box(u0 - 1, v0, u1 + 1, v0 + first_row))
        first_u, first_v = band.bounds[0] + shift - length, v0 + first_row - width
        numerator, denominator = map(int, offset.split("/"))
        rows = np.arange(math.ceil((v1 - first_v) / (width + joint)))
        moved = rows * numerator * (length + joint) / denominator
        pitch = length + joint
        columns = np.arange(math.floor((u0 - first_u - moved.max()) / pitch) - 1, math.ceil((u1 - first_u) / pitch) + 1)
        us = (first_u + moved[:, None] + columns[None, :] * (length + joint)).ravel()
        vs = np.repeat(first_v + rows * (width + joint), len(columns))
        near = (us < u1) & (us + length > u0)
        us, vs = us[near], vs[near]
        cut = shapely.intersection(self.region, shapely.box(us, vs, us + length, vs + width))
        parts, tile = shapely.get_parts(cut, return_index=True)
        real = shapely.area(parts) > 1
        return parts[real], us[tile[real]], vs[tile[real]]

    def better(self, choice, ours):
        """What a choice is worth at least, if that is better than ours."""
        parts, us, vs = self.pieces(*choice)
        bounds = shapely.bounds(parts)
        along, across = bounds[:, 2] - bounds[:, 0], bounds[:, 3] - bounds[:, 1]
        limit = lambda rule, most: min(self.p[rule], most) - NEAR
        breaches = (across < limit("min_row_width", self.width)).sum() + (along < limit("min_end_length", self.length)).sum()
        whole = (self.length * self.width - shapely.area(parts)) < 0.5
        cut, at = parts[~whole], np.stack([us[~whole], vs[~whole]], axis=1)
        at_least = lambda tiles: worth(int(breaches), int(whole.sum()) + tiles, float(min(along.min(), across.min())), len(cut), self.p)
        by_area = math.ceil(shapely.area(cut).sum() / (self.length * self.width) - 1e-9)
        if not better(at_least(by_area), ours):
            return None
        found = at_least(max(by_area, self.over_one_point(cut, at)))
        return found if better(found, ours) else None

    def over_one_point(self, cut, at):
        if not self.p["interlock"]:
            return 0
        xs, ys = np.meshgrid(np.linspace(3, self.length - 3, 24), np.linspace(2, self.width - 2, 6))
        over = lambda x, y: int(shapely.intersects_xy(cut, at[:, 0] + x, at[:, 1] + y).sum())
        return max(map(over, xs.ravel(), ys.ravel()))


def worth(breaches, tiles, narrowest, cut, p):
    return breaches, math.ceil(tiles / p["carton"]["tiles"]), -narrowest, tiles, cut


def better(one, other):
    """Whether one worth is better than another by more than rounding."""
    if one[:2] != other[:2]:
        return one[:2] < other[:2]
    if abs(one[2] - other[2]) > NEAR:
        return one[2] < other[2]
    return one[3:] < other[3:]


def fixed(sheet, along, choice):
    made = {**sheet, "areas": [{**sheet["areas"][0], "layout": dict(zip(("offset", "first_row", "shift"), choice), along=along)}]}
    return ask("plan", made)["areas"][0]


def draw(rng, best, walls, p, near):
    """A wall, both ways, an offset, a first row and a shift."""
    most = int(p["face"]["width"]), int(p["face"]["length"])
    if not near:
        return rng.choice(walls), (rng.choice(p["offsets"]), rng.randint(1, most[0]), rng.randint(1, most[1]))
    close = lambda value, most: min(most, max(1, round(value) + rng.randint(-12, 12)))
    row, shift = close(best["first_row"], most[0]), close(best["shift"], most[1])
    return best["along"], (best["offset"], row, shift)


def check(rng, count, number, sheet, answer):
    p, best = sheet["products"][0], answer["choice"]
    ring = answer["field"]
    field = shapely.union_all([Polygon(part["outline"], part["holes"]) for part in ring])
    corners = dict(zip(names(len(sheet["rooms"][0]["outline"])), sheet["rooms"][0]["outline"]))
    order = list(corners)
    walls = [w for a, b in zip(order, order[1:] + order[:1]) for w in ([a, b], [b, a])]
    turned = lambda w: math.degrees(math.atan2(corners[w[1]][1] - corners[w[0]][1], corners[w[1]][0] - corners[w[0]][0]))
    frames = {tuple(w): Frame(field, turned(w), p) for w in walls}
    m = answer["measures"]
    ours = worth(len(answer["breaches"]), answer["tiles"], m["narrowest"], m["cut_pieces"], p)
    asked = 0
    for i in range(CHOICES):
        along, choice = draw(rng, best, walls, p, near=i % 2)
        found = frames[tuple(along)].better(choice, ours)
        if found:
            asked += 1
            tiles = fixed(sheet, along, choice)["tiles"]
            found = (found[0], math.ceil(tiles / p["carton"]["tiles"]), found[2], tiles, found[4])
            count.check(not better(found, ours), f"room {number}: {along} {choice} is worth {found}, the proven best {ours}")
        else:
            count.check(True, "")
    return asked


def main():
    rng, count, proven, tried, asked = random.Random(SEED), Count(), 0, 0, 0
    while proven < ROOMS:
        tried += 1
        sheet = make(rng)
        answer = ask("plan", sheet)["areas"][0]
        if answer["proven"]:
            proven += 1
            asked += check(rng, count, proven, sheet, answer)
    print(f"{proven} of {tried} plans were proven; of {proven * CHOICES} choices {asked} had to be shared out")
    count.close()


main()
