"""Pictures of an eye aimed otherwise, by OpenCV: writes homographies.json beside itself.

H = K R K^-1 with R from Rodrigues vectors in camera axes (x right, y down, z ahead): the roll that undoes
the cant, then the turn about the level x axis that undoes the pitch. Points by cv2.perspectiveTransform.
"""

import json
from pathlib import Path

import cv2
import numpy as np

EYES = [  # focal (frame widths), pitch, cant (degrees), principal point (frame widths)
    (1.0, 0.0, 7.0, (0.0, 0.0)),
    (0.9, 9.0, 6.0, (0.0, 0.0)),
    (1.3, -23.0, -11.5, (0.0, 0.0)),
    (0.6, 38.0, 17.0, (0.0, 0.0)),
    (0.75, 14.0, -7.0, (0.12, -0.08)),
    (2.1, -55.0, 30.0, (-0.2, 0.05)),
]
POINTS = [(u, v) for v in (-0.21, 0.03, 0.21) for u in (-0.5, -0.17, 0.11, 0.5)]


def rotation(x, y, z):
    return cv2.Rodrigues(np.array([x, y, z], dtype=np.float64))[0]


def case(focal, pitch, cant, principal):
    pitch, cant = np.radians([pitch, cant])
    lens = np.array([[focal, 0, principal[0]], [0, focal, principal[1]], [0, 0, 1]])
    roll = rotation(0, 0, cant)
    level = lens @ roll @ np.linalg.inv(lens)
    plumb = lens @ rotation(pitch, 0, 0) @ roll @ np.linalg.inv(lens)
    seen = lambda h: cv2.perspectiveTransform(np.array([POINTS], dtype=np.float64), h)[0].tolist()
    return {
        "focal": focal,
        "pitch": pitch,
        "cant": cant,
        "principal": principal,
        "points": POINTS,
        "level": seen(level),
        "plumb": seen(plumb),
    }


made = {"by": f"OpenCV {cv2.__version__}, NumPy {np.__version__}", "cases": [case(*eye) for eye in EYES]}
Path(__file__).with_suffix(".json").write_text(json.dumps(made, indent=1) + "\n")
