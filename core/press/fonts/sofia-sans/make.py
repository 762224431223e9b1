"""Makes the faces of the papers from the screens' typeface: one file a weight, from the web's slices of the variable font.

    python3 make.py NODE_MODULES/@fontsource-variable/sofia-sans-semi-condensed

needs fonttools and brotli. The faces are renamed as the licence allows (no name is reserved), and their bytes are the
same every time.
"""

import sys
from pathlib import Path

from fontTools.merge import Merger
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

SLICES = ["latin", "latin-ext", "cyrillic", "cyrillic-ext", "greek"]
WEIGHTS = {"Regular": 400, "Bold": 700}
FAMILY = "Sofia Sans Semi Condensed"
NAMES = {1: FAMILY, 2: None, 4: None, 6: None, 16: FAMILY, 17: None}


def face(home, weight, scratch):
    parts = []
    for name in SLICES:
        font = TTFont(home / "files" / f"sofia-sans-semi-condensed-{name}-wght-normal.woff2", recalcTimestamp=False)
        font = instancer.instantiateVariableFont(font, {"wght": weight})
        font.flavor = None
        path = scratch / f"{name}.ttf"
        font.save(path)
        parts.append(str(path))
    return Merger().merge(parts)


def rename(font, style):
    table = font["name"]
    for record in list(table.names):
        if record.nameID in NAMES or record.nameID == 25:
            table.removeNames(nameID=record.nameID)
    full = f"{FAMILY} {style}"
    for number, text in {1: FAMILY, 2: style, 4: full, 6: full.replace(" ", "")}.items():
        table.setName(text, number, 3, 1, 0x409)
    bold = style == "Bold"
    font["OS/2"].usWeightClass = WEIGHTS[style]
    font["OS/2"].fsSelection = 0x20 if bold else 0x40
    font["head"].macStyle = 1 if bold else 0


def main():
    import tempfile

    here = Path(__file__).parent
    for style, weight in WEIGHTS.items():
        with tempfile.TemporaryDirectory() as scratch:
            font = face(Path(sys.argv[1]), weight, Path(scratch))
        for table in ["STAT", "gasp", "prep", "fpgm", "cvt "]:
            if table in font:
                del font[table]
        rename(font, style)
        font.recalcTimestamp = False
        font["head"].created = font["head"].modified = 0
        font.save(here / f"sofia-sans-semi-condensed-{style.lower()}.ttf")


main()
