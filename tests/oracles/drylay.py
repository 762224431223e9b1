"""Asking the program `drylay`, and making rooms to ask about."""

import json
import math
import random
import subprocess
import sys


def program():
    return sys.argv[1]


def ask(command, sheet, expect=0):
    """The answer to a sheet; ends the check where the program does not end as expected."""
    run = subprocess.run([program(), command, "-"], input=json.dumps(sheet), capture_output=True, text=True)
    if run.returncode != expect:
        raise SystemExit(f"drylay {command} ended with {run.returncode}:\n{run.stderr}\n{json.dumps(sheet)}")
    return json.loads(run.stdout) if expect == 0 else run.stderr


class Count:
    """Counts what was checked and says the closing line."""

    def __init__(self):
        self.passed = 0
        self.failures = []

    def check(self, holds, what):
        if holds:
            self.passed += 1
        else:
            self.failures.append(what)
            print("FAILED:", what)

    def close(self):
        print(f"{self.passed} passed, {len(self.failures)} failed")
        sys.exit(1 if self.failures else 0)


def product(rng, **more):
    """An invented product."""
    made = {
        "id": "p",
        "face": {"length": rng.choice([298, 450, 596, 900.5]), "width": rng.choice([148, 297, 298])},
        "joint": rng.choice([0, 2, 2.5, 3.175]),
        "edge_gap": rng.choice([0, 5, 6.35, 10]),
        "kerf": rng.choice([0, 2.4, 3]),
        "interlock": True,
        "offsets": ["1/3", "1/2", "2/5"],
        "min_row_width": 60,
        "min_end_length": 150,
        "carton": {"tiles": rng.choice([5, 7, 8])},
    }
    made.update(more)
    return made


def skew(rng, points, by):
    """Corners moved a little, as a survey leaves them."""
    return [[round(x + rng.uniform(-by, by), 3), round(y + rng.uniform(-by, by), 3)] for x, y in points]


def shape(rng, kind, w, h):
    """The corners of a room of some kind, clockwise on the page."""
    a, b = w * rng.uniform(0.3, 0.6), h * rng.uniform(0.3, 0.6)
    if kind == "rectangle":
        return [[0, 0], [w, 0], [w, h], [0, h]]
    if kind == "L":
        return [[0, 0], [w, 0], [w, b], [a, b], [a, h], [0, h]]
    if kind == "alcove":
        d = rng.uniform(200, 900)
        return [[0, 0], [a, 0], [a, -d], [a + 0.25 * w, -d], [a + 0.25 * w, 0], [w, 0], [w, h], [0, h]]
    if kind == "corridor":
        return [[0, 0], [w, 0], [w, rng.uniform(700, 1300)], [0, rng.uniform(700, 1300)]]
    if kind == "bay":
        c = min(w, h) * 0.3
        return [[0, 0], [w, 0], [w, h - c], [w - c, h], [0, h]]
    return [[0, 0], [a, 0], [a, b], [w, b], [w, h], [0, h]]  # "step"


KINDS = ["rectangle", "L", "alcove", "corridor", "bay", "step"]


def angle_of(points, i):
    (x0, y0), (x1, y1) = points[i], points[(i + 1) % len(points)]
    return math.degrees(math.atan2(y1 - y0, x1 - x0))


def names(n):
    return [chr(65 + i) for i in range(n)]
