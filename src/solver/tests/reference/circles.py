"""Circles and cylinders projected by OpenCV, recorded in circles.json.

Camera axes x right, y down, z ahead, as OpenCV has them. Run: python circles.py > circles.json
"""

import json
import math

import cv2
import numpy as np

RIMS = [0.0, 0.7, 1.9, 3.1, 4.4, 5.6]


def rotation(pitch, cant):
    """World (X right, Y up, -Z ahead) to camera axes."""
    se, ce, sr, cr = math.sin(pitch), math.cos(pitch), math.sin(cant), math.cos(cant)
    ahead = np.array([0.0, se, -ce])
    right0 = np.array([1.0, 0.0, 0.0])
    down0 = np.cross(ahead, right0)
    return np.array([cr * right0 + sr * down0, -sr * right0 + cr * down0, ahead])


def seen(points, camera):
    turned, _ = cv2.Rodrigues(rotation(camera["pitch"], camera["cant"]))
    f, (u, v) = camera["focal"], camera["principal"]
    matrix = np.array([[f, 0.0, u], [0.0, f, v], [0.0, 0.0, 1.0]])
    out, _ = cv2.projectPoints(np.array(points, float), turned, np.zeros(3), matrix, None)
    return out.reshape(-1, 2).tolist()


def case(focal, pitch, cant, principal, centre, normal, radius, height):
    camera = {"focal": focal, "pitch": pitch, "cant": cant, "principal": principal}
    normal = np.array(normal, float) / np.linalg.norm(normal)
    x = np.cross(normal, [0.3, 0.5, 0.8])
    x /= np.linalg.norm(x)
    y = np.cross(normal, x)
    rim = [np.array(centre) + radius * (math.cos(t) * x + math.sin(t) * y) for t in RIMS]
    top = [p + height * normal for p in rim]
    fine = [
        np.array(centre) + radius * (math.cos(t) * x + math.sin(t) * y)
        for t in np.linspace(0.0, 2.0 * math.pi, 400, endpoint=False)
    ]
    # fitEllipse works in single precision on pixels: a picture of 100,000 px.
    (cu, cv_), axes, _ = cv2.fitEllipseDirect(np.array(seen(fine, camera), np.float32) * 1e3)
    return {
        **camera,
        "centre": centre,
        "normal": normal.tolist(),
        "radius": radius,
        "height": height,
        "seen_centre": seen([centre], camera)[0],
        "seen_top_centre": seen([np.array(centre) + height * normal], camera)[0],
        "seen_rim": seen(rim, camera),
        "seen_top": seen(top, camera),
        "ellipse_centre": [cu / 1e3, cv_ / 1e3],
        "ellipse_axes": [a / 1e3 for a in axes],
    }


CASES = [
    case(1.0, 0.0, 0.0, [0.0, 0.0], [0.5, -1.6, -8.0], [0, 1, 0], 1.5, 3.0),
    case(0.8, 0.25, -0.12, [0.0, 0.0], [-2.0, -1.7, -9.0], [0, 1, 0], 2.2, 6.0),
    case(1.4, -0.6, 0.3, [0.04, -0.03], [0.3, -12.0, -15.0], [0, 1, 0], 3.0, 1.2),
    case(0.9, 0.1, 0.05, [0.0, 0.0], [2.0, 0.5, -7.0], [0.8, 0, 0.6], 1.1, 0.9),
    case(0.7, -0.2, 0.2, [0.02, 0.05], [-1.5, -1.0, -5.0], [0.5, 0, -0.9], 0.8, 1.5),
]

print(json.dumps({"opencv": cv2.__version__, "numpy": np.__version__, "cases": CASES}, indent=1))
