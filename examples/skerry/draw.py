#!/usr/bin/env python3
"""Draws island.svg: the rock units of an invented island, for a museum's tray.

The island is a set of Voronoi cells of hand-placed sites. Every border is drawn once and used by both neighbours:
coasts are rugged curves, faults are sharp zigzags, contacts between rocks are smooth waves. Nothing comes from a real map.

    python3 draw.py > island.svg
"""
import math
import random

WIDTH, HEIGHT = 480.0, 410.0   # mm, the drawing's frame
TOP = 395.0                     # y of the drawing that lies on the frame's upper edge
RNG = random.Random(19)

# name: (x, y, colour). Sites called "sea" only shape the coast.
SITES = [
    ("basalt", 92, 268, "#3b3f46"), ("tuff-upper", 160, 318, "#b79a7b"), ("tuff-lower", 172, 246, "#a3835f"),
    ("gabbro", 98, 180, "#4c5a52"), ("schist-west", 152, 130, "#8d93a5"), ("schist-east", 232, 96, "#9aa2b8"),
    ("granite", 238, 196, "#d8b4a0"), ("sandstone-red", 240, 282, "#b5573c"), ("sandstone-pale", 306, 324, "#dcb98a"),
    ("limestone", 320, 240, "#dfe3d8"), ("marl", 312, 152, "#b9c2a0"), ("conglomerate", 312, 62, "#a58a72"),
    ("slate", 388, 106, "#5d6b7a"), ("chert", 396, 190, "#7a5a4a"), ("shale", 390, 268, "#6e6a66"),
    ("gravel", 424, 330, "#c9c1b0"), ("peat", 64, 108, "#54412f"), ("gravel", 176, 50, "#c9c1b0"),
]
INTRUSION = ("dolerite", 236, 200, 24.0, "#2f4236")   # a round unit inside the granite
SEA = [(20, 330), (12, 240), (16, 150), (8, 60), (96, 34), (70, 20), (232, 14), (300, -26), (398, 24), (462, 64),
       (478, 150), (470, 230), (486, 300), (476, 372), (370, 384), (250, 372), (190, 392), (96, 372), (40, 390),
       (120, -20), (470, 0), (350, 410)]
# Pairs with a sharp border; the rest between rocks is smooth.
FAULTS = {("granite", "marl"), ("schist-east", "schist-west"), ("basalt", "gabbro"), ("limestone", "shale"),
          ("sandstone-pale", "sandstone-red"), ("marl", "slate")}


def clip(polygon, nx, ny, limit):
    """The part of a convex polygon with nx * x + ny * y <= limit."""
    out = []
    for (ax, ay), (bx, by) in zip(polygon, polygon[1:] + polygon[:1]):
        da, db = nx * ax + ny * ay - limit, nx * bx + ny * by - limit
        if da <= 0:
            out.append((ax, ay))
        if (da < 0 < db) or (db < 0 < da):
            t = da / (da - db)
            out.append((ax + t * (bx - ax), ay + t * (by - ay)))
    return out


def voronoi(sites):
    cells = []
    for i, (x, y) in enumerate(sites):
        cell = [(-200, -200), (700, -200), (700, 600), (-200, 600)]
        for j, (u, v) in enumerate(sites):
            if i != j:
                cell = clip(cell, u - x, v - y, (u * u + v * v - x * x - y * y) / 2)
        cells.append(cell)
    return cells


def key(point):
    return (round(point[0], 3), round(point[1], 3))


def zigzag(a, b, pitch, height):
    """Sharp teeth that turn by less than 80 degrees, so that a 3 mm cutter moves them by less than 0.5 mm."""
    length = math.dist(a, b)
    count = max(2, int(length / pitch))
    tx, ty = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    points = [a]
    for k in range(1, count):
        along = length * k / count
        side = height * (1 if k % 2 else -1) * RNG.uniform(0.75, 1.0)
        points.append((a[0] + tx * along - ty * side, a[1] + ty * along + tx * side))
    return points + [b]


def jagged(a, b, rough, shortest):
    """Midpoint displacement down to `shortest` mm."""
    if math.dist(a, b) < 2 * shortest:
        return [a, b]
    length = math.dist(a, b)
    side = RNG.uniform(-rough, rough) * length
    tx, ty = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    share = RNG.uniform(0.42, 0.58)
    middle = (a[0] + tx * length * share - ty * side, a[1] + ty * length * share + tx * side)
    return jagged(a, middle, rough, shortest)[:-1] + jagged(middle, b, rough, shortest)


def border(kind, a, b):
    """SVG commands that lead from a to b, and the points between for the way back."""
    if kind == "coast":
        return ("S", jagged(a, b, 0.17, 6.0))
    if kind == "fault":
        return ("L", zigzag(a, b, 11.0, 3.5))
    points = jagged(a, b, 0.17, 15.0)
    return ("S", points)


def joined(parts):
    """Runs of coast made one curve, so that a headland is round and not a spike."""
    if any(part[2] == "coast" for part in parts):
        while parts[0][2] == "coast":
            parts = parts[1:] + parts[:1]
    out = []
    for kind, points, what in parts:
        if out and what == "coast" and out[-1][2] == "coast":
            out[-1] = (kind, out[-1][1] + points[1:], what)
        else:
            out.append((kind, points, what))
    return [(kind, points) for kind, points, _ in out]


def command(kind, points):
    """Path data from points[0], which is where the pen stands: lines, or a smooth curve through the points."""
    def number(v):
        return f"{v:.3f}".rstrip("0").rstrip(".")

    def pair(p):
        return f"{number(p[0])},{number(TOP - p[1])}"
    if kind == "L":
        return " ".join("L" + pair(p) for p in points[1:])
    out = []
    for i in range(len(points) - 1):
        p0, p1 = points[max(i - 1, 0)], points[i]
        p2, p3 = points[i + 1], points[min(i + 2, len(points) - 1)]
        c1 = (p1[0] + (p2[0] - p0[0]) / 6, p1[1] + (p2[1] - p0[1]) / 6)
        c2 = (p2[0] - (p3[0] - p1[0]) / 6, p2[1] - (p3[1] - p1[1]) / 6)
        out.append(f"C{pair(c1)} {pair(c2)} {pair(p2)}")
    return " ".join(out)


def main():
    names = [s[0] for s in SITES] + ["sea"] * len(SEA)
    sites = [(s[1], s[2]) for s in SITES] + SEA
    cells = voronoi(sites)
    owner = {}
    for i, cell in enumerate(cells):
        for p, q in zip(cell, cell[1:] + cell[:1]):
            owner[(key(p), key(q))] = i
    drawn = {}

    def pieces_of(i):
        cell, out = cells[i], []
        for p, q in zip(cell, cell[1:] + cell[:1]):
            p, q = key(p), key(q)
            if p == q:
                continue
            j = owner.get((q, p))
            if (q, p) in drawn:
                kind, points = drawn[(q, p)]
                out.append((kind, points[::-1], "inland"))
                continue
            other = names[j] if j is not None else "sea"
            pair = (names[i], other)
            kind = "coast" if other == "sea" else "fault" if pair in FAULTS or pair[::-1] in FAULTS else "contact"
            drawn[(p, q)] = border(kind, p, q)
            out.append(drawn[(p, q)] + (kind,))
        return joined(out)

    paths = {}
    for i, (name, _, _, colour) in enumerate(SITES):
        parts = pieces_of(i)
        start = parts[0][1][0]
        data = f"M{start[0]:g},{TOP - start[1]:g} " + " ".join(command(k, pts) for k, pts in parts) + " Z"
        paths.setdefault(name, (colour, []))[1].append(data)

    print('<?xml version="1.0" encoding="UTF-8"?>')
    print("<!-- The invented island of Skerry: its rock units. Made by draw.py. -->")
    print(f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH:g}mm" height="{HEIGHT:g}mm" '
          f'viewBox="0 0 {WIDTH:g} {HEIGHT:g}">')
    print("  <style>path, circle { stroke: #222; stroke-width: 0.4 }</style>")
    for name, (colour, data) in paths.items():
        if len(data) == 1:
            print(f'  <path id="{name}" fill="{colour}" d="{data[0]}"/>')
        else:
            print(f'  <g id="{name}" fill="{colour}">')
            for d in data:
                print(f'    <path d="{d}"/>')
            print("  </g>")
    name, x, y, r, colour = INTRUSION
    print(f'  <ellipse id="{name}" fill="{colour}" cx="{x}" cy="{TOP - y:g}" rx="{r:g}" ry="{r * 0.72:g}" '
          f'transform="rotate(-18 {x} {TOP - y:g})"/>')
    print("</svg>")


if __name__ == "__main__":
    main()
