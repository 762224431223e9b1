"""What carries a floor, against numpy and scipy.

Deflection: 200 random joists are bent by integrating the beam equation EI·y'' = M(x) twice with scipy, not by a formula;
the longest span is found by bisection on that integral and on the bending stress. Emission: random dishes, in other units.
Heights: random houses of two rooms, stacks and limits summed as fractions.
"""

import random
from fractions import Fraction

import numpy as np
from drylay import Count, ask
from scipy.integrate import cumulative_simpson
from scipy.optimize import brentq

SEED = 20261129
INCH = 25.4
SIZES = {"2x6": 5.5, "2x8": 7.25, "2x10": 9.25, "2x12": 11.25}


def bent(span, stiffness, moment):
    """The greatest deflection of a beam on two supports, by integrating its bending moment twice."""
    x = np.linspace(0.0, span, 4001)
    slope = cumulative_simpson(moment(x) / stiffness, x=x, initial=0)
    sag = cumulative_simpson(slope, x=x, initial=0)
    # The slope at the support is what brings the far end back to nought.
    sag -= sag[-1] * x / span
    return float(np.max(np.abs(sag)))


def uniform(load, span):
    return lambda x: load * x * (span - x) / 2


def point(pounds, span):
    return lambda x: pounds / 2 * np.minimum(x, span - x)


def joist(rng):
    size = rng.choice(list(SIZES))
    return {
        "span": f"{rng.randint(60, 240)}\"", "bearing": rng.choice([0, "1 1/2\"", "3 1/2\""]), "spacing": rng.choice(["12\"", "16\"", "19\"", "24\""]),
        "size": size, "e_psi": rng.randint(900, 2000) * 1000, "fb_psi": rng.randint(700, 1500), "live_psf": rng.choice([30, 40, 60]),
        "dead_psf": rng.choice([10, 15, 20]), "new_psf": rng.randint(0, 150) / 10,
    }


def inches(value):
    if isinstance(value, str):
        whole, _, part = value.rstrip('"').partition(" ")
        return float(whole) + (float(Fraction(part)) if part else 0)
    return value / INCH


def check_joists(count, rng, n):
    said, ratio, pounds = joist(rng), rng.choice([240, 360, 480, 720]), rng.choice([200, 300, 500])
    rules = [{"ratio": ratio, "under": "live", "source": "s"}, {"ratio": ratio, "under": "all", "source": "s"},
             {"ratio": ratio, "under": "point", "pounds": pounds, "source": "s"}]
    room = {"id": "r", "outline": [[0, 0], [3000, 0], [3000, 2000], [0, 2000]], "base": {"structure": said}}
    found = ask("subfloor", house([room], base={"deflection": rules}))["rooms"][0]["structure"]
    depth, spacing, bearing = SIZES[said["size"]], inches(said["spacing"]), inches(said["bearing"])
    span = inches(said["span"]) + bearing
    inertia, section = 1.5 * depth**3 / 12, 1.5 * depth**2 / 6
    stiffness = said["e_psi"] * inertia
    line = lambda psf: psf * spacing / 144
    loads = {"live": said["live_psf"], "all": said["live_psf"] + said["dead_psf"] + said["new_psf"]}
    moments = {name: (lambda length, w=line(psf): uniform(w, length)) for name, psf in loads.items()}
    moments["point"] = lambda length: point(pounds, length)
    for limit in found["limits"]:
        sag = bent(span, stiffness, moments[limit["under"]](span))
        count.check(abs(limit["gives"] / INCH - sag) < 1e-5 * max(sag, 1e-3), f"joist {n} {limit['under']}: {limit['gives'] / INCH} and {sag}")
        count.check(limit["held"] == (sag <= span / ratio) or abs(sag * ratio / span - 1) < 1e-5, f"joist {n} {limit['under']} held")
    stress = line(loads["all"]) * span**2 / 8 / section
    count.check(abs(found["stress_psi"] / stress - 1) < 1e-9, f"joist {n} stress")

    def worst(length):
        sags = [bent(length, stiffness, moments[name](length)) * ratio / length for name in moments]
        return max([*sags, line(loads["all"]) * length**2 / 8 / section / said["fb_psi"]]) - 1

    longest = brentq(worst, 1.0, 2000.0, xtol=1e-9) - bearing
    if longest > 0:
        count.check(abs(found["longest_span"] / INCH / longest - 1) < 1e-5, f"joist {n} longest: {found['longest_span'] / INCH} and {longest}")


def check_emission(count, rng, n):
    start, gain, hours, area = rng.uniform(20, 40), rng.uniform(0, 9), rng.uniform(60, 72), rng.uniform(300, 700)
    test = {"method": "calcium_chloride", "grams": [start, start + gain], "area_cm2": area, "hours": hours}
    room = {"id": "r", "outline": [[0, 0], [3000, 0], [3000, 2000], [0, 2000]], "base": {"moisture": [test]}}
    found = ask("subfloor", house([room], base={"moisture": {"emission": 3, "source": "s"}}))["rooms"][0]["moisture"][0]["tests"][0]
    # kg for a square metre and second, then pounds for a thousand square feet and a day.
    flux = gain / 1000 / (area / 1e4) / (hours * 3600)
    pounds = flux / 0.45359237 * (1000 * 0.3048**2) * 86400
    count.check(abs(found["value"] - pounds) < 1e-9 * max(pounds, 1), f"dish {n}: {found['value']} and {pounds}")


def house(rooms, base=None, **more):
    made = {"id": "p", "face": {"length": 600, "width": 300}, "joint": 3, "edge_gap": 6, "offsets": ["1/3"], "base": base or {}}
    made.update(more.pop("product", {}))
    return {"drylay": 1, "products": [made], "rooms": rooms, "areas": [{"id": f"a{k}", "rooms": [r["id"]], "product": "p", **more} for k, r in enumerate(rooms)]}


def sixty_fourths(rng, most):
    return Fraction(rng.randint(0, most * 64), 64)


def text(length):
    """Trade notation of a fraction of inches."""
    whole, rest = divmod(length, 1)
    return f'{whole} {rest}"' if rest and whole else f'{rest or whole}"'


def check_heights(count, rng, n):
    tile, mat = Fraction(rng.randint(8, 48), 64), Fraction(rng.randint(0, 16) + 1, 64)
    built = [[sixty_fourths(rng, 1) for _ in range(rng.randint(0, 3))] for _ in range(2)]
    step = sixty_fourths(rng, 1) * rng.choice([-1, 1])
    clearance, gap = sixty_fourths(rng, 2), sixty_fourths(rng, 1)
    counter, least = 34 + sixty_fourths(rng, 2), Fraction(34)
    rated = rng.random() < 0.5
    rooms = []
    for k, name in enumerate(["hall", "bath"]):
        door = {"id": "d", "wall": ["A", "B"], "start": 500, "width": 800}
        if k == 0:
            door["next"] = {"floor": "hard", "base": text(step) if step >= 0 else float(step) * INCH}
            door["door"] = {"clearance": text(clearance), "gap": text(gap), "rated": rated}
        rooms.append({"id": name, "outline": [[0, 0], [3000, 0], [3000, 2000], [0, 2000]], "openings": [door],
                      "base": {"build_up": [{"name": f"b{i}", "thickness": text(t)} for i, t in enumerate(built[k])]}})
    rooms[0]["fixtures"] = [{"id": "dw", "what": "dishwasher", "height": text(counter), "least": text(least)}]
    sheet = house(rooms, product={"thickness": text(tile)}, underlay="m")
    sheet["underlays"] = [{"id": "m", "thickness": text(mat)}]
    sheet["passages"] = [{"a": ["hall", "d"], "b": ["bath", "d"], "depth": 100}]
    hall, bath = ask("heights", sheet)["rooms"]
    stacks = [sum(parts, tile + mat) for parts in built]
    same = lambda found, inches: abs(found - float(inches) * INCH) < 1e-6
    count.check(all(same(r["stack"], s) for r, s in zip([hall, bath], stacks)), f"house {n}: stacks")
    rise = stacks[1] + step - stacks[0]
    meets, back = hall["openings"][0], bath["openings"][0]
    count.check(same(meets["rise"], rise) and same(back["rise"], -rise), f"house {n}: rise {meets['rise']} {back['rise']} {float(rise) * INCH}")
    count.check(meets["transition"] == ("t_strip" if abs(rise) <= Fraction(1, 16) else "ramp_or_end"), f"house {n}: {meets['transition']}")
    r = abs(rise)
    if r <= Fraction(1, 4):
        run = None
    elif r <= Fraction(1, 2):
        run = 2 * (r - Fraction(1, 4))
    else:
        run = 2 * r if r <= Fraction(3, 4) else 12 * r
    count.check((run is None) == ("run" not in meets) and (run is None or same(meets["run"], run)), f"house {n}: run")
    cut = max(Fraction(0), stacks[0] + gap - clearance)
    count.check(same(meets["door"]["cut"], cut) and meets["door"]["check_first"] == (rated and cut > 0), f"house {n}: door")
    limits = {"dw": counter - least, **({"d": clearance - gap} if rated else {})}
    tightest = min(limits.values())
    count.check(same(hall["limit"]["most"], tightest) and limits[hall["limit"]["of"]] == tightest, f"house {n}: limit")


def main():
    count, rng = Count(), random.Random(SEED)
    for n in range(200):
        check_joists(count, rng, n)
    for n in range(100):
        check_emission(count, rng, n)
    for n in range(200):
        check_heights(count, rng, n)
    count.close()


main()
