"""Slits coils with HiGHS, through scipy, on an arc-flow model (Valerio de Carvalho 1999,
from memory), and times it.

Reads {"width": w, "longest": l, "step": s, "pieces": [[width, length, count]...],
"seconds": t} from standard input, one coil a line; all whole numbers. Answers each with
one line: the length found, whether it is proven, and the seconds taken.
"""
import json
import sys
import time

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix


def setups(widths, most, room):
    """Every way to put strips side by side that leaves room for none more."""
    def walk(i, left, taken):
        if i == len(widths):
            if all(taken[k] >= most[w] or w > left for k, w in enumerate(widths)):
                yield tuple(taken)
            return
        for n in range(min(most[widths[i]], left // widths[i]) + 1):
            yield from walk(i + 1, left - n * widths[i], taken + [n])
    return list(walk(0, room, []))


def flow(pieces, longest):
    """Places that pieces come to, longest pieces first, and the arcs between them."""
    places, arcs = {0}, set()
    for length, count in sorted(pieces, reverse=True):
        reached = set()
        for x in places:
            for k in range(count):
                if x + (k + 1) * length > longest:
                    break
                arcs.add((x + k * length, x + (k + 1) * length, length))
                reached.add(x + (k + 1) * length)
        places |= reached
    return places, arcs


def solve(case):
    demand = {}
    for width, length, count in case["pieces"]:
        demand[width, length] = demand.get((width, length), 0) + count
    widths = sorted({w for w, _ in demand})
    most = {w: sum(c for (v, _), c in demand.items() if v == w) for w in widths}
    graphs = {w: flow([(l, c) for (v, l), c in demand.items() if v == w], case["longest"]) for w in widths}
    blank = lambda x: min(-(-x // case["step"]) * case["step"], case["longest"])
    extents = sorted({blank(x) for places, _ in graphs.values() for x in places if x})

    rows, columns = {}, []  # a column is its cost and its entries
    for key, count in demand.items():
        rows["piece", key] = count
    for w, (places, arcs) in graphs.items():
        for x, y, length in arcs:
            columns.append((0, [(("at", w, y), 1), (("at", w, x), -1), (("piece", (w, length)), 1)]))
        for x in places - {0}:
            columns.append((0, [(("at", w, x), -1), (("lane", w, blank(x)), -1)]))
        for low, high in zip(extents, extents[1:]):  # a longer lane serves as a shorter
            columns.append((0, [(("lane", w, high), -1), (("lane", w, low), 1)]))
    for e in extents:
        for lanes in setups(widths, most, case["width"]):
            columns.append((e, [(("lane", w, e), n) for w, n in zip(widths, lanes) if n]))

    columns = [(c, [x for x in entries if not (x[0][0] == "at" and x[0][2] == 0)]) for c, entries in columns]
    index = {}
    for _, entries in columns:
        for key, _ in entries:
            index.setdefault(key, len(index))
    matrix = lil_matrix((len(index), len(columns)))
    lower, upper = numpy.zeros(len(index)), numpy.full(len(index), numpy.inf)
    for key, i in index.items():
        if key[0] == "at":
            upper[i] = 0
        if key[0] == "piece":
            lower[i] = rows[key]
    for j, (_, entries) in enumerate(columns):
        for key, v in entries:
            matrix[index[key], j] += v
    start = time.perf_counter()
    found = milp([c for c, _ in columns], constraints=LinearConstraint(matrix.tocsr(), lower, upper),
                 integrality=numpy.ones(len(columns)), bounds=Bounds(0, numpy.inf),
                 options={"time_limit": case["seconds"], "mip_rel_gap": 0})
    seconds = time.perf_counter() - start
    value = int(round(found.fun)) if found.x is not None else -1
    return {"value": value, "proven": bool(found.status == 0), "seconds": seconds}


for line in sys.stdin:
    print(json.dumps(solve(json.loads(line))), flush=True)
