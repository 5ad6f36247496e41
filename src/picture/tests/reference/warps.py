"""Pictures turned and aimed otherwise, by OpenCV: writes warps.json and painting.png beside itself.

    python3 src/picture/tests/reference/warps.py

Needs OpenCV and NumPy. painting.png is a piece of a demo painting. Each case has the map `back` from pixels
of a levelled copy to pixels of the painting (origin at the corner, pixel centres at halves), of the eye named
in it: H = K R' R^T K^-1, enlarged so that nothing shrinks, on a canvas that holds the whole painting and a few
pixels around it.

psnr: of the painting after cv2.warpPerspective (INTER_LANCZOS4, BORDER_REPLICATE) there and back, 8 bits.
spots: centroids in a copy, made by the same function, of a picture in 32-bit floating point of Gaussian spots.
points: where cv2.perspectiveTransform puts them in the copy.
"""

import json
from pathlib import Path

import cv2
import numpy as np

HERE = Path(__file__).resolve().parent
DEMO = HERE.parents[3] / "demo_scenes" / "market_street.jpg"
PIECE = (700, 330, 480, 204)  # left, top, width, height
BLEED = 8
SPOT = 3.0  # standard deviation, pixels
CASES = [  # name, focal (frame widths), pitch, cant before, and after; heading turned by (degrees)
    ("level, cant 7", 0.9, 14.0, 7.0, 14.0, 0.0, 0.0),
    ("level, cant -11.5", 1.3, -23.0, -11.5, -23.0, 0.0, 0.0),
    ("level, cant 1.3", 0.75, 5.0, 1.3, 5.0, 0.0, 0.0),
    ("level, cant 30", 1.0, 0.0, 30.0, 0.0, 0.0, 0.0),
    ("plumb, pitch 9, cant -6", 0.9, 9.0, -6.0, 0.0, 0.0, 0.0),
    ("plumb, pitch -31, cant 12", 1.1, -31.0, 12.0, 0.0, 0.0, 0.0),
    ("aimed 4 to the right, 2 up", 1.0, 3.0, 2.0, 5.0, 2.0, 4.0),
]


def rotation(pitch, cant, heading):
    """World to camera axes; y up in the world, x right, y down, z ahead in the camera."""
    p, c, h = np.radians([pitch, cant, heading])
    ahead = np.array([np.sin(h) * np.cos(p), np.sin(p), -np.cos(h) * np.cos(p)])
    right = np.array([np.cos(h), 0, np.sin(h)])
    down = np.cross(ahead, right)
    return np.array([np.cos(c) * right + np.sin(c) * down, -np.sin(c) * right + np.cos(c) * down, ahead])


def places(h, points):
    return cv2.perspectiveTransform(np.array([points], dtype=np.float64), h)[0]


def copy_of(width, height, focal, pitch, cant, to_pitch, to_cant, heading):
    """Map from painting to copy, pixels, and the copy's size."""
    lens = np.diag([focal, focal, 1.0])
    turn = rotation(to_pitch, to_cant, heading) @ rotation(pitch, cant, 0).T
    units = np.array([[1 / width, 0, -0.5], [0, 1 / width, -0.5 * height / width], [0, 0, 1]])
    h = lens @ turn @ np.linalg.inv(lens) @ units
    edge = [(x, y) for x in np.linspace(0, width, 33) for y in np.linspace(0, height, 33)]
    step = 1e-3
    least = min(
        np.linalg.svd(
            np.array([places(h, [(x + step, y)])[0] - places(h, [(x - step, y)])[0],
                      places(h, [(x, y + step)])[0] - places(h, [(x, y - step)])[0]]) / (2 * step)
        )[1][1]
        for x, y in edge
    )
    h = np.diag([1 / least, 1 / least, 1]) @ h
    around = places(h, [(x, y) for x in (-BLEED, width + BLEED) for y in (-BLEED, height + BLEED)])
    low, high = np.floor(around.min(0)), np.ceil(around.max(0))
    h = np.array([[1, 0, -low[0]], [0, 1, -low[1]], [0, 0, 1]]) @ h
    return h / h[2, 2], tuple(int(s) for s in high - low)


def warped(picture, map_back, size):
    """OpenCV counts from the centre of the first pixel."""
    half = np.array([[1, 0, 0.5], [0, 1, 0.5], [0, 0, 1]])
    centred = np.linalg.inv(half) @ map_back @ half
    flags = cv2.INTER_LANCZOS4 | cv2.WARP_INVERSE_MAP
    return cv2.warpPerspective(picture, centred, size, flags=flags, borderMode=cv2.BORDER_REPLICATE)


def psnr(a, b):
    return 10 * np.log10(255**2 / np.mean((a.astype(np.float64) - b.astype(np.float64)) ** 2))


def spots_at(width, height):
    return [(x, y) for y in np.linspace(30.3, height - 30.7, 3) for x in np.linspace(30.2, width - 29.4, 6)]


def spotted(width, height):
    ys, xs = np.mgrid[0:height, 0:width] + 0.5
    picture = sum(np.exp(-((xs - x) ** 2 + (ys - y) ** 2) / (2 * SPOT**2)) for x, y in spots_at(width, height))
    return picture.astype(np.float32)


def centroid(picture, near, reach):
    x0, y0 = (int(n - reach) for n in near)
    part = picture[y0 : y0 + 2 * reach, x0 : x0 + 2 * reach].astype(np.float64)
    ys, xs = np.mgrid[0 : 2 * reach, 0 : 2 * reach] + 0.5
    return [x0 + float((xs * part).sum() / part.sum()), y0 + float((ys * part).sum() / part.sum())]


def main():
    left, top, width, height = PIECE
    painting = np.ascontiguousarray(cv2.imread(str(DEMO))[top : top + height, left : left + width])
    cv2.imwrite(str(HERE / "painting.png"), painting, [cv2.IMWRITE_PNG_COMPRESSION, 9])
    spots = spotted(width, height)
    cases = []
    for name, *eye in CASES:
        h, size = copy_of(width, height, *eye)
        back = np.linalg.inv(h)
        back /= back[2, 2]
        returned = warped(warped(painting, back, size), h, (width, height))
        copy = warped(spots, back, size)
        points = spots_at(width, height)
        cases.append({
            "name": name,
            "eye": dict(zip(("focal", "pitch", "cant", "to_pitch", "to_cant", "heading"), eye)),
            "size": size,
            "back": back.tolist(),
            "psnr": psnr(painting, returned),
            "points": places(h, points).tolist(),
            "spots": [centroid(copy, place, 14) for place in places(h, points)],
        })
        print(f"{name}: {size}, {cases[-1]['psnr']:.2f} dB")
    made = {"by": f"OpenCV {cv2.__version__}, NumPy {np.__version__}", "size": [width, height],
            "spot": SPOT, "at": spots_at(width, height), "cases": cases}
    (HERE / "warps.json").write_text(json.dumps(made, indent=1) + "\n")


main()
