"""Solves bin packing by HiGHS on the arc-flow model (Valerio de Carvalho 1999), for
comparison. One instance a line: {"capacity", "length", "demand", "limit"}; the
answer a line: {"bins", "bound", "seconds", "proven"}. Only HiGHS is timed, not
the writing of its model, and in processor time."""
import json
import sys
import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array


def arcs(capacity, length, demand):
    """Arcs (from, to, item or -1), items longest first along every path."""
    reached = {0}
    out = set()
    for k in sorted(range(len(length)), key=lambda k: -length[k]):
        ends = set(reached)
        front = set(reached)
        for _ in range(min(demand[k], capacity // length[k])):
            step = set()
            for at in front:
                if at + length[k] <= capacity:
                    out.add((at, at + length[k], k))
                    step.add(at + length[k])
            front = step - ends
            ends |= step
            if not front:
                break
        reached = ends
    nodes = sorted(reached | {capacity})
    for a, b in zip(nodes, nodes[1:]):
        out.add((a, b, -1))
    return sorted(out), {n: i for i, n in enumerate(nodes)}


def solve(capacity, length, demand, limit):
    arc, index = arcs(capacity, length, demand)
    columns = len(arc) + 1  # the last is the number of bins
    row, col, val = [], [], []

    def put(r, c, v):
        row.append(r)
        col.append(c)
        val.append(v)

    for c, (a, b, k) in enumerate(arc):
        put(index[a], c, -1)
        put(index[b], c, 1)
        if k >= 0:
            put(len(index) + k, c, 1)
    put(index[0], columns - 1, 1)
    put(index[capacity], columns - 1, -1)
    rows = len(index) + len(length)
    low = np.concatenate([np.zeros(len(index)), np.array(demand, float)])
    high = np.concatenate([np.zeros(len(index)), np.full(len(length), np.inf)])
    cost = np.zeros(columns)
    cost[-1] = 1
    matrix = csr_array((val, (row, col)), shape=(rows, columns))
    start = time.process_time()
    found = milp(cost, constraints=LinearConstraint(matrix, low, high), integrality=np.ones(columns),
                 bounds=Bounds(0, np.inf), options={"time_limit": limit})
    seconds = time.process_time() - start
    bins = round(found.fun) if found.x is not None else 0
    bound = found.mip_dual_bound if found.mip_dual_bound is not None else 0
    return {"bins": bins, "bound": float(bound), "seconds": seconds, "proven": found.status == 0}


for line in sys.stdin:
    print(json.dumps(solve(**json.loads(line))), flush=True)
