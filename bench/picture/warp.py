"""Times OpenCV's bilinear warpPerspective of a 12 megapixel picture: the peer.

Reads one number of threads; prints the least of 15 times and the processors' time of one,
in milliseconds, for each line that it is sent, until its input ends."""
import sys
import time

import cv2
import numpy

cv2.setNumThreads(int(sys.argv[1]))
source = numpy.random.default_rng(1).integers(0, 256, (3000, 4000, 3), numpy.uint8)
corners = numpy.float32([[0, 0], [4000, 0], [4000, 3000], [0, 3000]])
seen = numpy.float32([[150, 90], [3900, 210], [3820, 2900], [60, 2800]])
warp = cv2.getPerspectiveTransform(corners, seen)
target = numpy.empty_like(source)
for _ in sys.stdin:
    best, spent = 1e9, time.process_time()
    for _ in range(15):
        begun = time.perf_counter()
        cv2.warpPerspective(source, warp, (4000, 3000), dst=target, flags=cv2.INTER_LINEAR)
        best = min(best, time.perf_counter() - begun)
    print(best * 1000, (time.process_time() - spent) / 15 * 1000, flush=True)
