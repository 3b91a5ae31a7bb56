#!/usr/bin/env python3
"""Verifies a DXF export with another program's reader (ezdxf): python3 .ci/verify_dxf.py PIECES.dxf PIECES.svg

The file is sound by ezdxf's audit, and each piece in it has the outline it has in the SVG export of the same project: no
point of either lies further than 0.01 mm from the other. Prints what it found and exits with 1 on any fault.
"""

import re
import sys
from xml.etree import ElementTree

import ezdxf
from shapely.geometry import LinearRing, Point

SAME = 0.01  # mm
NUMBERS = {"M": 2, "L": 2, "Q": 4, "C": 6}


def curve(points, steps=256):
    """Points of a Bezier curve after its first (de Casteljau)."""
    for step in range(1, steps + 1):
        t, level = step / steps, points
        while len(level) > 1:
            level = [((1 - t) * a[0] + t * b[0], (1 - t) * a[1] + t * b[1]) for a, b in zip(level, level[1:])]
        yield level[0]


def outline(data):
    """The first ring of path data in absolute commands, piece side up: x up the sheet, y to the left."""
    words = iter(re.findall(r"[A-Za-z]|-?[\d.]+", data.split("Z")[0]))
    ring = []
    for command in words:
        numbers = [float(next(words)) for _ in range(NUMBERS[command])]
        points = [(-numbers[i + 1], -numbers[i]) for i in range(0, len(numbers), 2)]
        ring.extend(points if command in "ML" else curve([ring[-1], *points]))
    return ring


def at_origin(ring):
    left, low = min(x for x, _ in ring), min(y for _, y in ring)
    return [(x - left, y - low) for x, y in ring]


def apart(ring, other):
    line = LinearRing(other)
    return max(line.distance(Point(p)) for p in ring)


def in_dxf(path):
    document = ezdxf.readfile(path)
    audit = document.audit()
    if audit.has_errors:
        sys.exit("\n".join(f"{path}: {error.message}" for error in audit.errors))
    pieces = {}
    for insert in document.modelspace().query("INSERT"):
        block = document.blocks[insert.dxf.name]
        [line] = block.query('POLYLINE[layer=="1"]')
        assert line.is_closed, block.name
        [name] = [t.dxf.text for t in block.query("TEXT") if t.dxf.text.startswith("Piece Name: ")]
        pieces[name.removeprefix("Piece Name: ")] = [(v.dxf.location.x, v.dxf.location.y) for v in line.vertices]
    texts = [text.dxf.text for text in document.modelspace().query("TEXT")]
    assert "Units: METRIC" in texts, texts
    return pieces


def in_svg(path):
    space = "{http://www.w3.org/2000/svg}"
    paths = ElementTree.parse(path).iter(f"{space}path")
    return {p.find(f"{space}title").text: outline(p.get("d")) for p in paths if p.get("class") == "outline"}


def main():
    dxf, svg = in_dxf(sys.argv[1]), in_svg(sys.argv[2])
    if not dxf or list(dxf) != list(svg):
        sys.exit(f"not the same pieces: {list(dxf)} and {list(svg)}")
    worst = 0.0
    for name, ring in dxf.items():
        one, other = at_origin(ring), at_origin(svg[name])
        off = max(apart(one, other), apart(other, one))
        if off > SAME:
            sys.exit(f"{name}: the outlines are {off} mm apart")
        worst = max(worst, off)
    print(f"{sys.argv[1]}: {len(dxf)} pieces, sound, outlines within {worst:.4f} mm of the SVG")


main()
