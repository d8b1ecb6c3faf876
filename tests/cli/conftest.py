"""Running the program as a user does."""

import json
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from cli.app import app


@dataclass(frozen=True)
class Answer:
    """What the program said."""

    code: int
    stdout: str
    stderr: str

    @property
    def json(self) -> Any:
        """Standard output as the one JSON object it must be."""
        return json.loads(self.stdout)


Run = Callable[..., Answer]


@pytest.fixture
def run() -> Run:
    """The program in this process; arguments as words."""

    def invoke(*words: object) -> Answer:
        result = CliRunner().invoke(app, [str(word) for word in words], prog_name="knownlight")
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return Answer(result.exit_code, result.stdout, result.stderr)

    return invoke


@pytest.fixture
def start() -> Callable[..., "subprocess.Popen[str]"]:
    """The program as a process of its own, to be interrupted."""

    def launch(*words: object) -> "subprocess.Popen[str]":
        return subprocess.Popen(
            [sys.executable, "-c", "from cli.app import main; main()", *map(str, words)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )

    return launch


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of 256 KiB; skips where the user may not mount one."""
    folder = tmp_path / "disk"
    folder.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=256k", "tmpfs", folder], capture_output=True, check=False
    )
    if mounted.returncode:
        pytest.skip("a small file system can only be mounted by root")
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)
