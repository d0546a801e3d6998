#!/usr/bin/env python3
"""Makes counties.topojson.json from counties-10m.json of the npm package us-atlas 3.0.1.

    npm pack us-atlas@3.0.1 && tar xzf us-atlas-3.0.1.tgz
    python3 extract.py package/counties-10m.json .

Keeps the 254 counties of the state of Texas, and the largest polygon of each: islands along the coast are left out.
"""

import json
import sys
from pathlib import Path

STATE = "48"


def area(ring, topology):
    points = []
    for index in ring:
        arc, here = [], (0, 0)
        for dx, dy in topology["arcs"][index if index >= 0 else ~index]:
            here = (here[0] + dx, here[1] + dy)
            arc.append(here)
        points += arc if index >= 0 else arc[::-1]
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, points[1:] + points[:1]))) / 2


def main(source, folder):
    topology = json.loads(Path(source).read_text(encoding="utf-8"))
    counties = [g for g in topology["objects"]["counties"]["geometries"] if g["id"].startswith(STATE)]
    counties.sort(key=lambda county: county["id"])
    kept = {}
    for county in counties:
        polygons = [county["arcs"]] if county["type"] == "Polygon" else county["arcs"]
        kept[county["id"]] = max(polygons, key=lambda polygon: area(polygon[0], topology))
    used = sorted({i if i >= 0 else ~i for rings in kept.values() for ring in rings for i in ring})
    number = {old: new for new, old in enumerate(used)}
    renumbered = lambda i: number[i] if i >= 0 else ~number[~i]
    geometries = [
        {"type": "Polygon", "id": county["id"],
         "arcs": [[renumbered(i) for i in ring] for ring in kept[county["id"]]],
         "properties": {"name": county["properties"]["name"]}}
        for county in counties]
    small = {
        "type": "Topology",
        "transform": topology["transform"],
        "objects": {"counties": {"type": "GeometryCollection", "geometries": geometries}},
        "arcs": [topology["arcs"][i] for i in used],
    }
    text = json.dumps(small, ensure_ascii=False, separators=(",", ":"))
    (Path(folder) / "counties.topojson.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
