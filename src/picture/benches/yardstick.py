#!/usr/bin/env python3
"""Times OpenCV on the same warp as `cargo bench -p staffage-picture --bench warping` and prints the ratios.

    cargo bench -p staffage-picture --bench warping && python3 src/picture/benches/yardstick.py

Needs OpenCV and NumPy. Run it right after the bench, on an otherwise idle machine: both use all cores.

The warp: cv2.warpPerspective with INTER_LANCZOS4, a painting of 10,000 x 4,255 pixels turned by 7 degrees on
a canvas that holds all of it. OpenCV is given the picture without alpha, which is less work for it.
"""

import json
import math
import statistics
import time
from pathlib import Path

import cv2
import numpy as np

CRITERION = Path(__file__).resolve().parents[3] / "target" / "criterion"
WIDTH, HEIGHT, CANT, BLEED = 10_000, 4_255, 7.0, 8.0
RUNS = 5


def painting():
    random = np.random.default_rng(7)
    across, down = np.meshgrid(np.arange(WIDTH) * 200 // WIDTH, np.arange(HEIGHT) * 200 // HEIGHT)
    grain = random.integers(0, 8, (HEIGHT, WIDTH))
    return np.stack([across + grain, down + grain, 100 + across // 2 - down // 4 + grain], 2).astype(np.uint8)


def turned():
    """Map from the copy to the painting, counted from pixel centres as OpenCV does, and the copy's size."""
    s, c = math.sin(math.radians(CANT)), math.cos(math.radians(CANT))
    width = math.ceil(WIDTH * c + HEIGHT * s + 2 * BLEED)
    height = math.ceil(WIDTH * s + HEIGHT * c + 2 * BLEED)
    cx, cy = width / 2, height / 2
    back = np.array(
        [[c, s, WIDTH / 2 - c * cx - s * cy], [-s, c, HEIGHT / 2 + s * cx - c * cy], [0, 0, 1]]
    )
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    return np.linalg.inv(half) @ back @ half, (width, height)


def ours(case):
    """Median of a criterion benchmark, seconds."""
    path = CRITERION / "levelling 10,000 × 4,255" / case / "new" / "estimates.json"
    return json.loads(path.read_text())["median"]["point_estimate"] * 1e-9


def theirs(picture, back, size):
    flags = cv2.INTER_LANCZOS4 | cv2.WARP_INVERSE_MAP
    times = []
    for _ in range(RUNS):
        start = time.perf_counter()
        cv2.warpPerspective(picture, back, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)
        times.append(time.perf_counter() - start)
    return statistics.median(times)


def main():
    picture, (back, size) = painting(), turned()
    print(f"OpenCV {cv2.__version__}, {cv2.getNumThreads()} threads\n")
    print("| levelling 10,000 px | OpenCV | ours | ratio |\n| --- | --- | --- | --- |")
    as_float = lambda: picture.astype(np.float32) / 255
    for case, made in [
        ("8 bits", lambda: picture),
        ("16 bits", lambda: picture.astype(np.uint16) * 257),
        ("float", as_float),
    ]:
        there, own = theirs(made(), back, size), ours(case)
        print(f"| {case} | {there:.2f} s | {own:.2f} s | {there / own:.1f} |")


if __name__ == "__main__":
    main()
