#!/usr/bin/env python3
"""Verifies plan documents with another program and another library (shapely): python3 .ci/verify_plan.py PLAN.json...

Read from the plan alone: overlap of any two plies under 0.01 square mm, nothing off the cloth, every ply a rigid copy of its
piece in the pose given, folded sections alike on both layers, plies numbered, amounts not below what is used, matched points on the repeat of the
print. With --project PROJECT also: counts and mirroring of every cut, nap, bias pairs, and what is matched. Prints what it
found and exits with 1 on any fault.
"""

import argparse
import json
import math
import sys

from shapely.affinity import translate
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

OVERLAP = 0.01  # square mm
PLACE = 1e-4  # mm
MATCH = 0.5  # mm off the repeat of a print

UNITS = {"mm": 1, "cm": 10, "m": 1000, "in": 25.4, "ft": 304.8, "yd": 914.4}

# The turns that a grain allows, without nap and with it.
TURNS = {
    "lengthwise": ([0, 180], [0]),
    "crosswise": ([90, 270], [90]),
    "bias": ([45, 135, 225, 315], [45, 315]),
    "any": ([], [0]),
}


def merge_patch(target, patch):
    """RFC 7396."""
    if not isinstance(patch, dict):
        return patch
    target = dict(target) if isinstance(target, dict) else {}
    for key, value in patch.items():
        if value is None:
            target.pop(key, None)
        else:
            target[key] = merge_patch(target.get(key), value)
    return target


def reflect(point, a, b):
    ax, ay = a
    dx, dy = b[0] - ax, b[1] - ay
    t = ((point[0] - ax) * dx + (point[1] - ay) * dy) / (dx * dx + dy * dy)
    fx, fy = ax + t * dx, ay + t * dy
    return (2 * fx - point[0], 2 * fy - point[1])


def whole(piece):
    """A piece given as half, and its reflection in the fold."""
    a, b = piece["fold"]
    half = Polygon(piece["outline"], piece.get("holes", []))
    holes = [[reflect(p, a, b) for p in hole] for hole in piece.get("holes", [])]
    other = Polygon([reflect(p, a, b) for p in piece["outline"]], holes)
    return half.union(other.buffer(1e-7, join_style="mitre")).buffer(0)


def posed(polygon, mirrored, turn):
    sine, cosine = math.sin(math.radians(turn)), math.cos(math.radians(turn))

    def move(p):
        x, y = p[0], -p[1] if mirrored else p[1]
        return (x * cosine - y * sine, x * sine + y * cosine)

    rings = [[move(p) for p in ring.coords] for ring in [polygon.exterior, *polygon.interiors]]
    return Polygon(rings[0], rings[1:])


def is_copy(ply, piece):
    outline = Polygon(ply["outline"], ply.get("holes", []))
    original = whole(piece) if ply["across_fold"] else Polygon(piece["outline"], piece.get("holes", []))
    copy = posed(original, ply["mirrored"], ply["turn"])
    dx, dy = outline.bounds[0] - copy.bounds[0], outline.bounds[1] - copy.bounds[1]
    copy = translate(copy, dx, dy)
    # Hausdorff distance of the outlines, holes and all, in mm.
    return outline.boundary.hausdorff_distance(copy.boundary) < 10 * PLACE


def layers(section, width):
    """Per fold: the move that lays one layer on the other, and where across the cloth it is double."""
    lines = section["fold_lines"]
    match section["fold"]:
        case "none":
            return []
        case "lengthwise":
            folds = [(lines[0], 0, width)]
        case "partial":
            folds = [(lines[0], 0, 2 * lines[0])]
        case "double":
            folds = [(lines[0], 0, 2 * lines[0]), (lines[1], 2 * lines[1] - width, width)]
        case "crosswise":
            return [(lambda shape, p: (2 * lines[0] - p[0], p[1]), 0, width)]
        case "cut and turned":
            by = lines[0] - section["from"]
            back = lambda shape: -by if shape.centroid.x >= lines[0] else by
            return [(lambda shape, p: (p[0] + back(shape), width - p[1]), 0, width)]
        case other:
            raise ValueError(f"a fold called {other}")
    return [(lambda shape, p, line=line: (p[0], 2 * line - p[1]), low, high) for line, low, high in folds]


def same_layers(cloth, index, section):
    for move, low, high in layers(section, cloth["usable_width"]):
        here = [p for p in cloth["plies"] if p["section"] == index]
        shapes = [(p, Polygon(p["outline"])) for p in here]
        shapes = [(p, s) for p, s in shapes if s.bounds[3] > low + PLACE and s.bounds[1] < high - PLACE]
        for ply, shape in shapes:
            under = Polygon([move(shape, p) for p in ply["outline"]])
            if not any(under.symmetric_difference(other).area < 0.1 for _, other in shapes):
                yield f"{ply['cut']} {ply['number']} has nothing under it across the fold"
            # On the fold only where the ply is whole there.
            if section["fold"] != "cut and turned" and under.symmetric_difference(shape).area < 0.1:
                if not ply["across_fold"] and not any(
                    under.symmetric_difference(other).area < 0.1 for p, other in shapes if p is not ply
                ):
                    yield f"{ply['cut']} {ply['number']} lies across the fold and is no half"


def motion(ply, piece):
    """The move from the piece to the ply, as a function of a point."""
    sine, cosine = math.sin(math.radians(ply["turn"])), math.cos(math.radians(ply["turn"]))

    def move(p, dx=0.0, dy=0.0):
        x, y = p[0], -p[1] if ply["mirrored"] else p[1]
        return (x * cosine - y * sine + dx, x * sine + y * cosine + dy)

    corners = [move(p) for p in (whole(piece).exterior.coords if ply["across_fold"] else piece["outline"])]
    dx = min(p[0] for p in ply["outline"]) - min(p[0] for p in corners)
    dy = min(p[1] for p in ply["outline"]) - min(p[1] for p in corners)
    return lambda p: move(p, dx, dy)


def print_faults(plan, cloth):
    """Matched points lie at the same place of the repeat, seen from the piece, in every ply."""
    pattern = cloth.get("print")
    if pattern is None:
        return
    directions = (("along", 0, "repeat_length", "middle_along"), ("across", 1, "repeat_width", "middle_across"))
    for match in pattern["matches"]:
        for way, axis, repeat, middle in directions:
            if way not in match:
                continue
            every, phases = pattern[repeat], []
            for point in match["points"]:
                for ply in (p for p in cloth["plies"] if p["cut"] == point["cut"]):
                    piece = plan["pieces"][ply["piece"]]
                    move = motion(ply, piece)
                    step = (1, 0) if axis == 0 else (0, 1)
                    sign = move(step)[axis] - move((0, 0))[axis]
                    if abs(abs(sign) - 1) > 1e-9:
                        yield f"{match['name']}: {ply['cut']} {ply['number']} lies askew to the print"
                    spots = [(point["at"], sign)]
                    if ply["across_fold"]:
                        # The other side of a whole ply is the piece mirrored.
                        spots.append((reflect(point["at"], *piece["fold"]), -sign if axis == 1 else sign))
                    for at, s in spots:
                        phases.append((s * (move(at)[axis] - pattern[middle]), f"{ply['cut']} {ply['number']}"))
            if not phases:
                if "in_hand" in cloth:
                    continue
                yield f"{match['name']} matches nothing on the cloth"
                continue
            wanted = {"middle": 0.0, "between": every / 2, "alike": phases[0][0]}[match[way]]
            for phase, name in phases:
                off = abs((phase - wanted + every / 2) % every - every / 2)
                if off > MATCH:
                    yield f"{match['name']}: {name} is {off} mm off the repeat {way} the cloth"
    without = pattern.get("without")
    if without and (without["length"] > cloth["length"] or without["buy"] > cloth["buy"]["length"]):
        yield "without matching it would take more than with it"


def cloth_faults(plan, cloth):
    plies = cloth["plies"]
    shapes = [Polygon(p["outline"], p.get("holes", [])) for p in plies]
    names = [f"{p['cut']} {p['number']}" for p in plies]
    for name, ply, shape in zip(names, plies, shapes):
        x0, y0, x1, y1 = shape.bounds
        section = cloth["sections"][ply["section"]]
        if not shape.is_valid:
            yield f"{name} is no proper polygon"
        if x0 < section["from"] - PLACE or x1 > section["to"] + PLACE:
            yield f"{name} lies outside its section"
        if y0 < -PLACE or y1 > cloth["usable_width"] + PLACE:
            yield f"{name} lies off the cloth"
        if not is_copy(ply, plan["pieces"][ply["piece"]]):
            yield f"{name} is not a rigid copy of its piece"
    for i, a in enumerate(shapes):
        for j in range(i + 1, len(shapes)):
            area = a.intersection(shapes[j]).area
            if area >= OVERLAP:
                yield f"{names[i]} and {names[j]} overlap by {area} square mm"
    for index, section in enumerate(cloth["sections"]):
        yield from same_layers(cloth, index, section)
    yield from print_faults(plan, cloth)
    end = max(s.bounds[2] for s in shapes)
    if abs(end - cloth["length"]) > PLACE or cloth["sections"][-1]["to"] != cloth["length"]:
        yield f"the plies end at {end}, the length is {cloth['length']}"
    share = sum(s.area for s in shapes) / (cloth["length"] * cloth["usable_width"])
    if abs(share - cloth["used_share"]) > 1e-6:
        yield f"the share used is {share}, not {cloth['used_share']}"
    hand = cloth.get("in_hand")
    if cloth["least_possible"] > cloth["length"] or not hand and cloth["buy"]["length"] < cloth["length"]:
        yield "the figures contradict each other"
    if hand:
        yield from hand_faults(cloth, hand, list(zip(names, shapes)))


def hand_faults(cloth, hand, shapes):
    """A length in hand: nothing off its end or on a flaw, nothing bought, and what is said to be left is."""
    long, wide = hand["length"], cloth["usable_width"]
    if cloth["length"] > long + PLACE or cloth["buy"]["length"] != 0:
        yield f"{cloth['length']} of {long} are used, {cloth['buy']['length']} bought"
    flaws = [(f["name"], Polygon(f["outline"])) for f in hand.get("flaws", [])]
    for name, shape in shapes:
        for flaw, taken in flaws:
            if shape.intersection(taken).area >= OVERLAP:
                yield f"{name} lies on the {flaw}"
    taken = unary_union([shape for _, shape in shapes + flaws])
    rectangle = hand["remains"].get("rectangle")
    if rectangle:
        (x0, y0), (x1, y1) = rectangle
        inside = -PLACE <= x0 < x1 <= long + PLACE and -PLACE <= y0 < y1 <= wide + PLACE
        if not inside or box(x0, y0, x1, y1).intersection(taken).area >= OVERLAP:
            yield "the rectangle that is said to be left is not"
    end = hand["remains"]["full_width_end"]
    ends = [box(0, 0, end, wide), box(long - end, 0, long, wide)]
    if end > long + PLACE or all(e.intersection(taken).area >= OVERLAP for e in ends):
        yield "the end that is said to be left is not"


def project_faults(plan, project):
    for name, value in plan["chosen"].items():
        project = merge_patch(project, project["choices"][name][value])
    for name, cut in project["cuts"].items():
        on = [(c, p) for c in plan["cloths"] if c["cloth"] == cut["cloth"] for p in c["plies"] if p["cut"] == name]
        plies = [p for _, p in on]
        cloth = project["cloths"][cut["cloth"]]
        count = cut.get("count", 1) * cut.get("layers", 1)
        if sorted(p["number"] for p in plies) != list(range(1, count + 1)):
            yield f"{name}: {len(plies)} plies, not {count}"
        mirrored = count // 2 if cut.get("mirrored") and not cut.get("on_fold") else 0
        if cloth.get("right_side", True) and sum(p["mirrored"] for p in plies) != mirrored:
            yield f"{name}: {sum(p['mirrored'] for p in plies)} mirrored, not {mirrored}"
        if any(p["across_fold"] != cut.get("on_fold", False) for p in plies):
            yield f"{name}: halves and wholes mixed up"
        tilt = cut.get("tilt", 0)
        threads = [-p["turn"] if p["mirrored"] else p["turn"] for p in plies]
        if cut.get("grain") == "bias" and mirrored and any(
            abs((t - threads[0] + 90) % 180 - 90) > 2 * tilt + 1e-6 for t in threads
        ):
            yield f"{name}: a mirrored pair lies on both biases"
        for ply in plies:
            # Seen from the piece: mirrored plies are turned the other way round.
            turn = -ply["turn"] if ply["mirrored"] else ply["turn"]
            allowed = TURNS[cut.get("grain", "lengthwise")][bool(cloth.get("nap"))]
            if allowed and min(abs((turn - a + 180) % 360 - 180) for a in allowed) > tilt + 1e-6:
                yield f"{name} {ply['number']}: turned by {ply['turn']} degrees, against grain or nap"
        if cut.get("border"):
            yield from border_faults(project, name, cut, on)
    for cloth in plan["cloths"]:
        if cloth.get("in_hand"):
            yield from have_faults(project, project["cloths"][cloth["cloth"]], cloth)
    for name, match in project.get("matches", {}).items():
        key = project["cuts"][match["points"][0].split(".")[0]]["cloth"]
        for cloth in (cloth for cloth in plan["cloths"] if cloth["cloth"] == key):
            given = [m for m in cloth.get("print", {}).get("matches", []) if m["name"] == name]
            held = [(m.get("along"), m.get("across"), [f"{p['cut']}.{p['name']}" for p in m["points"]]) for m in given]
            if held != [(match.get("along"), match.get("across"), match["points"])]:
                yield f"the match \"{name}\" is not in the plan as asked for"
    cuts = set(project["cuts"])
    for cloth in plan["cloths"]:
        for ply in cloth["plies"]:
            if ply["cut"] not in cuts:
                yield f"{ply['cut']}: never asked for"


def border_faults(project, name, cut, on):
    """As much of each ply as its border edge is long lies on a selvedge with the border."""
    piece, mm = project["pieces"][cut["piece"]], UNITS[project["units"]]
    first, *_, last = [piece["points"][point] for point in piece["edges"][cut["border"]]]
    long = math.dist(first, last) * mm * piece.get("scale", 1)
    both = project["cloths"][cut["cloth"]].get("border") == "both selvedges"
    for cloth, ply in on:
        outline = Polygon(ply["outline"]).exterior
        edges = [0, cloth["usable_width"]] if both else [0]
        if not any(outline.intersection(box(-1e9, y - 0.6, 1e9, y + 0.6)).length >= long - 2 for y in edges):
            yield f"{name} {ply['number']}: not on the border"


def have_faults(project, cloth, plan):
    """The length and its flaws are the project's, shrunk and with half of the ends off either end."""
    mm, hand = UNITS[project["units"]], plan["in_hand"]
    have = cloth["have"][hand["number"] - 1]
    shrinks = {} if have.get("washed") else cloth.get("shrinkage", {})
    along, across = (1 - shrinks.get(key, 0) / 100 for key in ("length", "width"))
    ends, selvedge = cloth.get("ends", 0) * mm, cloth.get("selvedge", 0) * mm
    if abs(have["length"] * mm * along - ends - hand["length"]) > PLACE:
        yield f"length {hand['number']} in hand is {hand['length']}"
    if abs((have.get("width", cloth["width"]) * mm - 2 * selvedge) * across - plan["usable_width"]) > PLACE:
        yield f"length {hand['number']} in hand is {plan['usable_width']} wide"
    named = {flaw["name"]: Polygon(flaw["outline"]).bounds for flaw in hand.get("flaws", [])}
    for flaw in have.get("flaws", []):
        if "rectangle" in flaw:
            xs, ys = zip(*flaw["rectangle"])
            wanted = [v * mm * along - ends / 2 for v in sorted(xs)], [(v * mm - selvedge) * across for v in sorted(ys)]
            (x0, x1), (y0, y1) = wanted
            found = named.get(flaw.get("name", "flaw"))
            if not found or max(abs(a - b) for a, b in zip(found, (x0, y0, x1, y1))) > PLACE:
                yield f"the {flaw.get('name', 'flaw')} of length {hand['number']} is elsewhere"


def main():
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("plans", nargs="+")
    parser.add_argument("--project")
    arguments = parser.parse_args()
    failed = 0
    for path in arguments.plans:
        with open(path, encoding="utf-8") as file:
            plan = json.load(file)
        faults = [f"{cloth['cloth']}: {fault}" for cloth in plan["cloths"] for fault in cloth_faults(plan, cloth)]
        if arguments.project:
            with open(arguments.project, encoding="utf-8") as file:
                faults += project_faults(plan, json.load(file))
        plies = sum(len(cloth["plies"]) for cloth in plan["cloths"])
        print(f"{path}: {len(plan['cloths'])} cloths, {plies} plies: {'; '.join(faults) or 'holds'}")
        failed |= bool(faults)
    sys.exit(failed)


if __name__ == "__main__":
    main()
