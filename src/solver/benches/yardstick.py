#!/usr/bin/env python3
"""Times SciPy on the same data as `cargo bench -p staffage-solver` and prints the ratios.

    cargo bench -p staffage-solver && python3 src/solver/benches/yardstick.py

Needs NumPy and SciPy. Run it right after the bench, on an otherwise idle machine.

The eye: scipy.optimize.least_squares (method "lm") on the residuals of the recorded noisy edges, started
at the true camera, which is the best case for it. The ledger: the normal equations of the same scale
chains by scipy.sparse.linalg.splu, values and the diagonal of the inverse. Last, how our own time grows up to
30,000 nodes.
"""

import json
import math
import statistics
import time
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu

HERE = Path(__file__).resolve().parent
CRITERION = HERE.parents[2] / "target" / "criterion"

# Nodes of the scale chains that both adjust, and of those that only we do: SciPy's full inverse is too large.
COMPARED = (30, 300, 1000, 3000)
GROWN = (10_000, 30_000)
CHAINS = "adjusted scale chain with all variances"


def median_seconds(run, repeats):
    run()
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        run()
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def ours(group, case):
    """Median of a criterion benchmark, seconds."""
    path = CRITERION / group / case / "new" / "estimates.json"
    return json.loads(path.read_text())["median"]["point_estimate"] * 1e-9


def rotation(pitch, roll, heading):
    sh, ch, se, ce = math.sin(heading), math.cos(heading), math.sin(pitch), math.cos(pitch)
    ahead = np.array([sh * ce, ch * ce, se])
    right = np.array([ch, -sh, 0.0])
    down = np.cross(ahead, right)
    sr, cr = math.sin(roll), math.cos(roll)
    return np.array([cr * right + sr * down, -sr * right + cr * down, ahead])


def eye_problem(case):
    """Residual function over (ln f, pitch, roll, heading) and the true parameters."""
    width, height = case["picture"]
    centre = 0.5 * (np.array([width, height]) - 1.0)
    ends = [
        [(np.array(edge[key]) - centre) / width for key in ("p_noisy_px", "q_noisy_px")]
        for axis in "XYZ"
        for edge in case["edges"][axis]
    ]
    p, q = (np.array([pair[k] for pair in ends]) for k in (0, 1))
    middle, axis = 0.5 * (p + q), np.repeat(np.arange(3), 5)

    def residuals(x):
        seen = rotation(*x[1:])[:, axis].T
        towards = math.exp(x[0]) * seen[:, :2] - seen[:, 2:] * middle
        normal = np.stack([towards[:, 1], -towards[:, 0]], 1)
        normal /= np.linalg.norm(towards, axis=1, keepdims=True)
        return np.concatenate([((p - middle) * normal).sum(1), ((q - middle) * normal).sum(1)])

    camera = case["camera"]
    angles = [math.radians(camera[k]) for k in ("pitch_deg", "roll_deg", "heading_deg")]
    return residuals, np.array([math.log(camera["focal_picture_widths"]), *angles])


def chain(nodes):
    """The scale chain of the bench: rows (plus, minus or None, value, spread)."""
    rows = [(0, None, 0.0, 0.06)]
    for node in range(1, nodes):
        wobble = math.sin(node * 0.7) * 0.03
        rows.append((node, node - 1, wobble, 0.03))
        if node % 3 == 0:
            rows.append((node, node - 3, 2.0 * wobble, 0.05))
        if node % 10 == 0:
            rows.append((node, None, wobble, 0.06))
    return rows


def adjust(nodes, rows):
    row, column, value = [], [], []
    for k, (plus, minus, _, spread) in enumerate(rows):
        row.append(k), column.append(plus), value.append(1.0 / spread)
        if minus is not None:
            row.append(k), column.append(minus), value.append(-1.0 / spread)
    design = csc_matrix((value, (row, column)), shape=(len(rows), nodes))
    seen = np.array([value / spread for _, _, value, spread in rows])
    factor = splu((design.T @ design).tocsc())
    return factor.solve(design.T @ seen), np.diag(factor.solve(np.eye(nodes)))


def main():
    print("| what | SciPy | ours | ratio |\n| --- | --- | --- | --- |")
    record = json.loads((HERE.parent / "tests" / "reference" / "cameras.json").read_text())
    ratios = []
    for case in record["cases"]:
        residuals, truth = eye_problem(case)
        scipy = median_seconds(
            lambda: least_squares(residuals, truth, method="lm", xtol=1e-12, ftol=1e-12), 50
        )
        own = ours("eye from 15 lines", case["name"])
        ratios.append(scipy / own)
        print(f"| eye, {case['name']} | {1e3 * scipy:.2f} ms | {1e6 * own:.1f} µs | {ratios[-1]:.0f} |")
    print(f"| eye, median of the ten | | | {statistics.median(ratios):.0f} |")
    for nodes in COMPARED:
        rows = chain(nodes)
        scipy = median_seconds(lambda: adjust(nodes, rows), 5 if nodes > 500 else 20)
        own = ours(CHAINS, str(nodes))
        print(f"| ledger, {nodes} nodes | {1e3 * scipy:.2f} ms | {1e3 * own:.3f} ms | {scipy / own:.0f} |")
    growth()


def growth():
    """How the adjustment's time grows: as (n log n)^p from each size to the next, 1 being n log n."""
    print("\n| ledger | ours | a node | p |\n| --- | --- | --- | --- |")
    sizes = COMPARED[1:] + GROWN
    seconds = [ours(CHAINS, str(nodes)) for nodes in sizes]
    scale = [math.log(nodes * math.log(nodes)) for nodes in sizes]
    for k, (nodes, time_) in enumerate(zip(sizes, seconds)):
        power = math.log(time_ / seconds[k - 1]) / (scale[k] - scale[k - 1]) if k else None
        shown = "" if power is None else f"{power:.2f}"
        print(f"| {nodes} nodes | {1e3 * time_:.2f} ms | {1e9 * time_ / nodes:.0f} ns | {shown} |")
    power = np.polyfit(scale, np.log(seconds), 1)[0]
    print(f"| all of them, fitted | | | {power:.2f} |")


if __name__ == "__main__":
    main()
