"""Peak memory of what a piece of code starts, measured from a small process: one started by a large process counts as large as that."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import Any

PROGRAM = """
import json, resource, sys
from pathlib import Path
{code}
print(json.dumps([told, resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss]))
"""


def told_and_peak(code: str, *arguments: object) -> tuple[Any, int]:
    """Run code that sets `told` from sys.argv; what it told, and the peak of its own children [kB]."""
    command = [sys.executable, "-c", PROGRAM.format(code=code), *(str(a) for a in arguments)]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    told, peak = json.loads(done.stdout)
    return told, int(peak)
