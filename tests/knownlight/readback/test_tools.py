"""Tools of the system: found, asked for a version, ended in time."""

import sys
import time
from pathlib import Path

import pytest

from knownlight.errors import Cancelled, ToolFailed
from knownlight.ffmpeg import Stop
from knownlight.readback import tools
from knownlight.readback.tools import Tool, output_of, said

PYTHON = sys.executable


@pytest.fixture
def program(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A program of ours, first in the search path, that tells version 1.10.2 as help and with an error."""
    path = tmp_path / "made-up-reader"
    path.write_text("#!/bin/sh\necho 'reads version 2 files; release 1.10.2 (2024)' >&2\nexit 3\n")
    path.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path), prepend=":")
    return path


def test_a_tool_is_found_by_any_of_its_names(program: Path) -> None:
    """The first name that there is, and the version after the mark, whatever the exit code and stream."""
    tool = Tool(
        programs=("no-such-reader", program.name),
        package="made-up",
        asks_version=(),
        version_mark="release",
    )
    assert ("", str(program), "1.10.2") == (tool.absence, tool.needed, tool.version)


def test_an_absent_tool_says_who_has_it() -> None:
    """One line with Debian's package, as text and as error."""
    tool = Tool(programs=("no-such-reader",), package="made-up", asks_version=("--version",))
    words = "no-such-reader is not installed; Debian has it in made-up"
    assert words == tool.absence
    with pytest.raises(ToolFailed) as caught:
        _ = tool.needed
    assert words == str(caught.value)


def test_a_version_that_is_not_understood_is_absent(program: Path) -> None:
    """1.10.2 is neither of 1.1 and 2."""
    tool = Tool(programs=(program.name,), package="made-up", asks_version=(), understood=("1.1.", "2."))
    assert "made-up-reader 1.10.2 is worded in a way that is not known; 1.1. and 2. are" == tool.absence


def test_a_missing_element_is_named(program: Path) -> None:
    """A program without the part that it needs is absent, and the part is what is told."""
    tool = Tool(programs=(program.name,), package="made-up", asks_version=(), elements=("no-such-element",))
    assert "no-such-element is not installed; Debian has it in made-up" == tool.absence


def test_an_answer_is_waited_for_only_so_long(monkeypatch: pytest.MonkeyPatch, stop: Stop) -> None:
    """A tool that hangs is ended and told."""
    monkeypatch.setattr(tools, "_SECONDS", 0.2)
    began = time.monotonic()
    with pytest.raises(ToolFailed, match=r"^clip: python\S* did not answer within 0\.2 s$"):
        said([PYTHON, "-c", "import time; time.sleep(30)"], what="clip", stop=stop)
    assert time.monotonic() - began < 10


def test_a_tool_that_falls_silent_is_ended(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stop: Stop
) -> None:
    """What it gave before is read; then it is ended and told."""
    monkeypatch.setattr(tools, "_SECONDS", 0.5)
    code = "import sys, time; print('begun', flush=True); time.sleep(30)"
    lines: list[bytes] = []

    def read() -> None:
        with output_of([PYTHON, "-c", code], folder=tmp_path, what="clip", stop=stop) as output:
            lines.extend(iter(output.readline, b""))

    began = time.monotonic()
    with pytest.raises(ToolFailed, match=r"^clip: python\S* gave nothing for 0\.5 s$"):
        read()
    assert [b"begun\n"] == lines
    assert time.monotonic() - began < 10


def test_words_of_a_tool_that_fails_are_told(tmp_path: Path, stop: Stop) -> None:
    """More words than a pipe holds do not halt it; the first three lines are in the message."""
    code = "import sys; print('cannot read', 'x' * 200_000, sep='\\n', file=sys.stderr); sys.exit(2)"
    with (
        pytest.raises(ToolFailed, match=r"^clip: python\S* says: cannot read; xxx"),
        output_of([PYTHON, "-c", code], folder=tmp_path, what="clip", stop=stop) as output,
    ):
        assert b"" == output.read()


def test_a_stop_ends_it(stop: Stop) -> None:
    """Nothing is started after a stop was asked for."""
    stop.ask()
    with pytest.raises(Cancelled):
        said([PYTHON, "-c", "print(1)"], what="clip", stop=stop)
