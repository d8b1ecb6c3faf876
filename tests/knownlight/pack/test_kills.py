"""kill -9 at any moment: the next run goes on; no file is unproven, unknown or touched that is not ours."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
KILLS = 50
SEED = 20261125
_LONGEST = 300.0  # seconds; it takes about eight on two idle cores


def test_fifty_kills_leave_nothing_unproven(tmp_path: Path) -> None:
    """After each, what has a final name is proven and known, what is listed is there, others' files stay.

    After all of them one more run completes the pack, removes the old files, and every file verifies.
    """
    program = Path(__file__).with_name("killing.py")
    finished = subprocess.run(
        [sys.executable, program, tmp_path, str(KILLS), str(SEED)],
        capture_output=True,
        check=False,
        timeout=_LONGEST,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    found = json.loads(finished.stdout or b"{}")

    assert ("", 0) == (finished.stderr.decode(), finished.returncode)
    assert [] == found["wrong"]
    assert KILLS == found["kills"]
    assert min(found["seen"].values()) >= 3, found["seen"]
