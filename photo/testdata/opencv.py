"""Figures to compare with: what OpenCV makes of the same cameras and planes.

Run as `python3 opencv.py SHARED_DATA > opencv.json` (Debian python3-opencv 4.6.0). Everything
comes from the formulas here, so the test knows the same numbers.
"""
import json
import os
import sys
import cv2
import numpy as np

out = {"opencv": cv2.__version__}

# Lenses and pixels: projectPoints (distorts) and undistortPoints (undoes it).
out["lens"] = []
for focal, cx, cy, k1, k2 in [(1225, 800, 600, 0, 0), (1500, 800, 600, -0.055, 0), (535.9157, 342.2832, 235.5708, -0.266373, 0.05), (900, 640, 480, 0.12, -0.03)]:
    K = np.array([[focal, 0, cx], [0, focal, cy], [0, 0, 1.0]])
    d = np.array([k1, k2, 0, 0], float)
    rvec, tvec = np.array([0.1, -0.4, 0.05]), np.array([-100.0, 40.0, 500.0])
    pts = np.array([[x, y, z] for x in (0.0, 150.0, 250.0) for y in (-100.0, 80.0) for z in (0.0, 60.0)])
    seen, _ = cv2.projectPoints(pts, rvec, tvec, K, d)
    straight = cv2.undistortPointsIter(seen, K, d, None, K, (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 200, 1e-12))
    R, _ = cv2.Rodrigues(rvec)
    out["lens"].append({"lens": [focal, cx, cy, k1, k2], "R": R.tolist(), "t": tvec.tolist(), "points": pts.tolist(),
                        "seen": seen.reshape(-1, 2).tolist(), "straight": straight.reshape(-1, 2).tolist()})

# A wall's homography from eight of its points, by findHomography, and its pose by
# solvePnP (iterative), from pixels rounded to a tenth.
wall = np.array([[0, 0], [300, 0], [300, 100], [0, 100], [50, 20], [90, 20], [90, 80], [50, 80]], float)
K = np.array([[1300, 0, 800], [0, 1300, 600], [0, 0, 1.0]])
world = np.array([[x, 0, y] for x, y in wall])
rvec, tvec = np.array([1.2, 0.55, -0.5]), np.array([-180.0, 60.0, 520.0])
seen, _ = cv2.projectPoints(world, rvec, tvec, K, np.zeros(4))
seen = np.round(seen.reshape(-1, 2), 1)
H, _ = cv2.findHomography(wall, seen)
ok, r2, t2 = cv2.solvePnP(world, seen, K, np.zeros(4), flags=cv2.SOLVEPNP_ITERATIVE)
R2, _ = cv2.Rodrigues(r2)
out["wall"] = {"points": wall.tolist(), "seen": seen.tolist(), "H": H.tolist(), "R": R2.tolist(), "t": t2.ravel().tolist()}

# A real board of 9 x 6 inner corners, squares of 25 mm, by a real lens (metrology
# data; published: focal 535.9157, centre 342.2832 235.5708, k1 -0.266373).
out["boards"] = {}
for n in (1, 2, 3, 4, 5, 6, 7, 8, 9, 11, 12, 13, 14):
    name = "left%02d.jpg" % n
    grey = cv2.imread(os.path.join(sys.argv[1], "metrology", "chessboard", name), 0)
    ok, corners = cv2.findChessboardCorners(grey, (9, 6))
    if ok:
        corners = cv2.cornerSubPix(grey, corners, (5, 5), (-1, -1), (cv2.TERM_CRITERIA_COUNT | cv2.TERM_CRITERIA_EPS, 100, 1e-6))
        out["boards"][name] = np.round(corners.reshape(-1, 2) + 0.5, 3).tolist()  # ours: first pixel's centre at 0.5
print(json.dumps(out))
