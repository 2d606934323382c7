"""Cuts facades into courses with GEOS, through shapely, and times it.

Reads {"rings": [[[x, y]...]...], "lines": [y...]} from standard input, one case a
line (nanometres; the first ring is the outline, the others holes), and answers
each with one line: for every way, its best time in seconds and, course by course,
the number of parts, of holes in them and their area, and how many are invalid.
"""
import json
import numbers
import sys
import time
import warnings

from shapely.geometry import Polygon, box
from shapely.ops import clip_by_rect, unary_union
from shapely.strtree import STRtree

warnings.filterwarnings("ignore")  # shapely 1.8 warns of what changes in 2.0


def parts_of(shape):
    """The polygons in a result, without the points and lines where it only touches."""
    if shape.is_empty:
        return []
    if shape.geom_type == "Polygon":
        return [shape]
    return [g for g in getattr(shape, "geoms", []) if g.geom_type == "Polygon"]


def by_intersection(case):
    """The whole region met with each course's box."""
    region, courses = case["region"], case["courses"]
    return [parts_of(region.intersection(c)) for c in courses]


def by_clipping(case):
    """GEOS's rectangle clipping of the whole region, course by course."""
    region, courses = case["region"], case["courses"]
    return [parts_of(clip_by_rect(region, *c.bounds)) for c in courses]


def by_index(case):
    """Each course's stretch of the outline less the openings that an index finds there."""
    outline, holes, tree, courses = (case[k] for k in ("outline", "holes", "tree", "courses"))
    found = []
    for c in courses:
        near = [holes[g] if isinstance(g, numbers.Integral) else g for g in tree.query(c)]  # 2.0 gives places, 1.8 shapes
        band = outline.intersection(c)
        found.append(parts_of(band.difference(unary_union(near)) if near else band))
    return found


def prepare(given):
    rings, lines = given["rings"], given["lines"]
    region = Polygon(rings[0], rings[1:])
    x0, _, x1, _ = region.bounds
    holes = [Polygon(r) for r in rings[1:]]
    return {
        "region": region,
        "outline": Polygon(rings[0]),
        "holes": holes,
        "tree": STRtree(holes),
        "courses": [box(x0 - 1e9, a, x1 + 1e9, b) for a, b in zip(lines, lines[1:])],
    }


def judge(way, case, least=3, seconds=0.3):
    """The best of all rounds that fit into some time, after one to warm up."""
    courses = way(case)
    best, rounds, began = float("inf"), 0, time.perf_counter()
    while rounds < least or time.perf_counter() - began < seconds:
        start = time.perf_counter()
        courses = way(case)
        best = min(best, time.perf_counter() - start)
        rounds += 1
    return {
        "way": way.__name__,
        "seconds": best,
        "parts": [len(c) for c in courses],
        "holes": [sum(len(p.interiors) for p in c) for c in courses],
        "area_m2": [sum(p.area for p in c) / 1e18 for c in courses],
        "invalid": sum(not p.is_valid for c in courses for p in c),
    }


for line in sys.stdin:
    case = prepare(json.loads(line))
    print(json.dumps([judge(w, case) for w in (by_intersection, by_clipping, by_index)]), flush=True)
