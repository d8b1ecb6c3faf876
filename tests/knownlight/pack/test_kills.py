"""kill -9 at any moment: the next run goes on; no file is unproven, unknown or touched that is not ours."""

import json
import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[3]
KILLS = 25  # of each
SEEDS = ("20261125", "20261126")  # side by side, each with a stick of its own
_LONGEST = 300.0  # seconds; they take about fifteen on two idle cores


def test_fifty_kills_leave_nothing_unproven(tmp_path: Path) -> None:
    """After each, what has a final name is proven and known, what is listed is there, others' files stay.

    No reading that somebody typed in is ever gone. After all of them one more run completes the pack, removes
    the old files, and every file verifies, joined ones too.
    """
    program = Path(__file__).with_name("killing.py")
    finished = subprocess.run(
        [sys.executable, program, tmp_path, str(KILLS), *SEEDS],
        capture_output=True,
        check=False,
        timeout=_LONGEST,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    found = json.loads(finished.stdout or b"[]")

    assert ("", 0) == (finished.stderr.decode(), finished.returncode)
    assert [[], []] == [each["wrong"] for each in found]
    assert [KILLS] * len(SEEDS) == [each["kills"] for each in found]
    assert min(each["typed"] for each in found) >= 3, found
    seen = {step: sum(each["seen"][step] for each in found) for step in found[0]["seen"]}
    assert min(seen.values()) >= 1, seen
