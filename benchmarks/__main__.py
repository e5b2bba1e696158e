"""``make bench``: speed, then accuracy (the whole of it takes most of an hour on two cores)."""

from __future__ import annotations

import subprocess
import sys


def main() -> int:
    for name in ("speed", "accuracy"):
        print(f"\n=== {name} ===", flush=True)
        extra = ["--processes", "2"] if name == "accuracy" else []
        done = subprocess.run([sys.executable, "-m", f"benchmarks.{name}", *extra], check=False)
        if done.returncode:
            return done.returncode
    return 0


if __name__ == "__main__":
    sys.exit(main())
