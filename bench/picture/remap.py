"""Warps a picture by a 3 x 3 homography with OpenCV: the judge of where pixels land.

Reads from standard input the width and height of the source, of the target, the nine
numbers of the matrix (source to target, pixel middles at whole numbers), then the
source's grey values; writes the target's."""
import sys

import cv2
import numpy

head = sys.stdin.buffer.readline().split()
w, h, tw, th = (int(v) for v in head[:4])
matrix = numpy.array([float(v) for v in head[4:13]]).reshape(3, 3)
source = numpy.frombuffer(sys.stdin.buffer.read(w * h), numpy.uint8).reshape(h, w)
out = cv2.warpPerspective(source, matrix, (tw, th), flags=cv2.INTER_LINEAR)
sys.stdout.buffer.write(out.tobytes())
