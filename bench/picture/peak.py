"""Runs a command and prints the most memory that it held, in KiB. A process of its own, and
a small one: the kernel counts what the parent held into its child's peak."""
import resource
import subprocess
import sys

subprocess.run(sys.argv[1:], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
