"""Times OpenCV from JPEG to JPEG: reads a picture, warps it (bilinear), blends it over the
picture by weights made beforehand, and writes it at quality 92.

Reads a number of threads, the file and a folder to write to; prints the least of 3 times
and the processors' time of one, in milliseconds, for each line that it is sent, until its
input ends."""
import os
import sys
import time

import cv2
import numpy

cv2.setNumThreads(int(sys.argv[1]))
name, target = sys.argv[2], os.path.join(sys.argv[3], "peer.jpg")
h, w = cv2.imread(name).shape[:2]
corners = numpy.float32([[0, 0], [w, 0], [w, h], [0, h]])
seen = numpy.float32([[.04 * w, .03 * h], [.97 * w, .07 * h], [.95 * w, .97 * h], [.02 * w, .93 * h]])
warp = cv2.getPerspectiveTransform(corners, seen)
front = numpy.random.default_rng(1).random((h, w), numpy.float32)
behind = 1 - front
for _ in sys.stdin:
    best, spent = 1e9, time.process_time()
    for _ in range(3):
        begun = time.perf_counter()
        photo = cv2.imread(name)
        warped = cv2.warpPerspective(photo, warp, (w, h), flags=cv2.INTER_LINEAR)
        blended = cv2.blendLinear(warped, photo, front, behind)
        cv2.imwrite(target, blended, [cv2.IMWRITE_JPEG_QUALITY, 92])
        best = min(best, time.perf_counter() - begun)
    print(best * 1000, (time.process_time() - spent) / 3 * 1000, flush=True)
