#!/usr/bin/env python3
"""Makes africa.topojson.json and africa.geojson from countries-50m.json of the npm package world-atlas 2.0.2.

    npm pack world-atlas@2.0.2 && tar xzf world-atlas-2.0.2.tgz
    python3 extract.py package/countries-50m.json .

Keeps the largest polygon of each country of the African mainland. The Gambia is joined to Senegal: at the size of a
tray it would be a strip narrower than a cutter.
"""

import json
import sys
from pathlib import Path

COUNTRIES = [
    "Algeria", "Angola", "Benin", "Botswana", "Burkina Faso", "Burundi", "Cameroon", "Central African Rep.", "Chad",
    "Congo", "Côte d'Ivoire", "Dem. Rep. Congo", "Djibouti", "Egypt", "Eq. Guinea", "Eritrea", "eSwatini", "Ethiopia",
    "Gabon", "Ghana", "Guinea", "Guinea-Bissau", "Kenya", "Lesotho", "Liberia", "Libya", "Malawi", "Mali",
    "Mauritania", "Morocco", "Mozambique", "Namibia", "Niger", "Nigeria", "Rwanda", "S. Sudan", "Senegal",
    "Sierra Leone", "Somalia", "Somaliland", "South Africa", "Sudan", "Tanzania", "Togo", "Tunisia", "Uganda",
    "W. Sahara", "Zambia", "Zimbabwe",
]
JOINED = {"Gambia": "Senegal"}


def decode(topology):
    (sx, sy), (tx, ty) = topology["transform"]["scale"], topology["transform"]["translate"]
    arcs = []
    for arc in topology["arcs"]:
        x = y = 0
        points = []
        for dx, dy in arc:
            x, y = x + dx, y + dy
            points.append((x * sx + tx, y * sy + ty))
        arcs.append(points)
    return arcs


def points_of(index, arcs):
    return arcs[index] if index >= 0 else arcs[~index][::-1]


def ring_of(indices, arcs):
    points = []
    for index in indices:
        more = points_of(index, arcs)
        points += more[1:] if points else more
    return points


def area(ring):
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, ring[1:]))) / 2


def joined(first, second, arcs):
    """One outer ring around two that share arcs."""
    left = {i for i in first + second if ~i not in first + second}
    ring = [min(left, key=lambda i: (i < 0, abs(i)))]
    left.remove(ring[0])
    while points_of(ring[-1], arcs)[-1] != points_of(ring[0], arcs)[0]:
        following = next(i for i in sorted(left) if points_of(i, arcs)[0] == points_of(ring[-1], arcs)[-1])
        ring.append(following)
        left.remove(following)
    return ring


def main(source, folder):
    topology = json.loads(Path(source).read_text(encoding="utf-8"))
    arcs = decode(topology)
    largest, ids = {}, {}
    for geometry in topology["objects"]["countries"]["geometries"]:
        name = geometry["properties"]["name"]
        if name in COUNTRIES or name in JOINED:
            polygons = [geometry["arcs"]] if geometry["type"] == "Polygon" else geometry["arcs"]
            largest[name] = max(polygons, key=lambda polygon: area(ring_of(polygon[0], arcs)))
            ids[name] = geometry.get("id", name)
    missing = [name for name in COUNTRIES if name not in largest]
    if missing:
        sys.exit(f"not in {source}: {missing}")
    for name, host in JOINED.items():
        largest[host] = [joined(largest[host][0], largest[name][0], arcs)] + largest[host][1:]

    used = sorted({i if i >= 0 else ~i for name in COUNTRIES for ring in largest[name] for i in ring})
    number = {old: new for new, old in enumerate(used)}
    renumbered = lambda i: number[i] if i >= 0 else ~number[~i]
    geometries, features = [], []
    for name in COUNTRIES:
        head = {"id": ids[name], "properties": {"name": name}}
        rings = [[renumbered(i) for i in ring] for ring in largest[name]]
        geometries.append({"type": "Polygon", "arcs": rings, **head})
        coordinates = [[[round(x, 6), round(y, 6)] for x, y in ring_of(ring, arcs)] for ring in largest[name]]
        features.append({"type": "Feature", **head, "geometry": {"type": "Polygon", "coordinates": coordinates}})

    compact = {"ensure_ascii": False, "separators": (",", ":")}
    small = {
        "type": "Topology",
        "transform": topology["transform"],
        "objects": {"countries": {"type": "GeometryCollection", "geometries": geometries}},
        "arcs": [topology["arcs"][i] for i in used],
    }
    target = Path(folder)
    (target / "africa.topojson.json").write_text(json.dumps(small, **compact) + "\n", encoding="utf-8")
    lines = ",\n".join(json.dumps(feature, **compact) for feature in features)
    (target / "africa.geojson").write_text(
        '{"type":"FeatureCollection","features":[\n' + lines + "\n]}\n", encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
