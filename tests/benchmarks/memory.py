"""How much memory this process has used at most."""

from __future__ import annotations

import re
import resource
from pathlib import Path

__all__ = ["peak_memory"]


def peak_memory() -> float:
    """Largest resident size of this process so far, in MB.

    Linux's own high-water mark is read where there is one: what `getrusage`
    gives there starts from the size of the process that started this one.
    """
    status = Path("/proc/self/status")
    if status.exists():
        line = re.search(r"VmHWM:\s+(\d+) kB", status.read_text(encoding="utf-8"))
        if line:
            return int(line[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
