"""Solves two-stage knapsacks with HiGHS, through scipy, on the integer model of
shelves (Lodi and Monaci 2003, model 1; from memory), and times it.

Reads {"width": w, "length": l, "pieces": [[width, length, value, count]...],
"seconds": s} from standard input, one case a line: strips lie across the width. Answers
each with one line: the value found, whether it is proven, and the seconds taken.
"""
import json
import sys
import time

import numpy
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import lil_matrix


def solve(case):
    units = [p[:3] for p in case["pieces"] for _ in range(p[3])
             if p[0] <= case["width"] and p[1] <= case["length"]]
    units.sort(key=lambda p: -p[0])
    n = len(units)
    shelf = list(range(n))  # variable i: piece i begins a shelf
    onto = {}               # variable of (i, j): piece j lies on the shelf of piece i
    for i in range(n):
        for j in range(i + 1, n):
            if units[i][1] + units[j][1] <= case["length"]:
                onto[i, j] = n + len(onto)
    value = numpy.zeros(n + len(onto))
    rows = lil_matrix((2 * n + 1, len(value)))
    upper = numpy.zeros(2 * n + 1)
    for i in range(n):
        value[shelf[i]] = -units[i][2]
        rows[i, shelf[i]] = 1
        upper[i] = 1
        rows[n + i, shelf[i]] = units[i][1] - case["length"]
        rows[2 * n, shelf[i]] = units[i][0]
    upper[2 * n] = case["width"]
    for (i, j), k in onto.items():
        value[k] = -units[j][2]
        rows[j, k] = 1
        rows[n + i, k] = units[j][1]
    start = time.perf_counter()
    found = milp(value, constraints=LinearConstraint(rows.tocsr(), -numpy.inf, upper), integrality=numpy.ones(len(value)),
                 bounds=Bounds(0, 1), options={"time_limit": case["seconds"], "mip_rel_gap": 0})
    seconds = time.perf_counter() - start
    return {"value": int(round(-found.fun)) if found.x is not None else -1, "proven": bool(found.status == 0), "seconds": seconds}


for line in sys.stdin:
    print(json.dumps(solve(json.loads(line))), flush=True)
