"""Tools of the system that read clips and are not ffmpeg: found, asked, ended in time, their words kept."""

import contextlib
import io
import os
import re
import select
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import IO, Any

from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop

# The slowest answer seen took half a second, and no decoder is silent for long; gst-launch-1.0 can wait for
# ever where a stream is damaged.
_SECONDS = 60
_SHORT = 10  # seconds for a version
_ERROR_LINES = 3
_NUMBER = re.compile(r"\d+(?:\.\d+)+")


@dataclass(frozen=True, kw_only=True)
class Tool:
    """A program, and who has it.

    programs: its names; systems differ. package: Debian's that have it. asks_version: arguments that make it
    tell its version; the first number with a point after `version_mark` is it. version_of: words before it,
    where it is not its own. understood: how versions begin whose words are known; all where there are none.
    elements: parts of GStreamer that it needs.
    """

    programs: tuple[str, ...]
    package: str
    asks_version: tuple[str, ...]
    version_mark: str = ""
    version_of: str = ""
    understood: tuple[str, ...] = ()
    elements: tuple[str, ...] = ()

    @cached_property
    def program(self) -> str | None:
        """Its path; None where it is not installed."""
        return next(filter(None, map(shutil.which, self.programs)), None)

    @cached_property
    def absence(self) -> str:
        """Why it cannot be used, and what to do; empty where it can."""
        missing = next((name for name in self.elements if not _has_element(name)), None)
        if self.program is None or missing:
            return f"{missing or self.programs[0]} is not installed; Debian has it in {self.package}"
        if self.understood and not self.version.startswith(self.understood):
            known = " and ".join(self.understood)
            return f"{self.programs[0]} {self.version} is worded in a way that is not known; {known} are"
        return ""

    @property
    def needed(self) -> str:
        """Its path.

        Raises:
            ToolFailed: where it cannot be used.
        """
        if self.program is None or self.absence:
            raise ToolFailed(self.absence)
        return self.program

    @cached_property
    def version(self) -> str:
        """Its version, or words that it tells none.

        Raises:
            ToolFailed: where it is not installed.
        """
        if self.program is None:
            raise ToolFailed(self.absence)
        text = _words([self.program, *self.asks_version])
        number = _NUMBER.search(text.partition(self.version_mark)[2] if self.version_mark else text)
        return f"{self.version_of}{number[0]}" if number else "of an unknown version"


def _has_element(name: str) -> bool:
    program = shutil.which("gst-inspect-1.0")
    return program is not None and not _asked([program, "--exists", name]).returncode


def _words(command: Sequence[str]) -> str:
    """Whatever it says: several print their version as help, to the wrong stream, and end with an error."""
    finished = _asked(command)
    return (finished.stdout + finished.stderr).decode(errors="replace")


def _asked(command: Sequence[str]) -> "subprocess.CompletedProcess[bytes]":
    try:
        return subprocess.run(
            command, stdin=subprocess.DEVNULL, capture_output=True, timeout=_SHORT, check=False
        )
    except (OSError, subprocess.TimeoutExpired) as error:
        raise ToolFailed(f"{Path(command[0]).name} could not be asked: {error}") from error


def said(command: Sequence[str], *, what: str, stop: Stop) -> str:
    """Run a tool to its end and return what it says on standard output, whatever its exit code.

    Raises:
        ToolFailed: where it does not start, or does not answer within a minute; `what` opens the message.
    """
    with _started(command, what=what, stop=stop) as (process, _words_file):
        try:
            output, _ = process.communicate(timeout=_SECONDS)
        except subprocess.TimeoutExpired:
            name = Path(command[0]).name
            raise ToolFailed(f"{what}: {name} did not answer within {_SECONDS} s") from None
    stop.check()
    return output.decode(errors="replace")


@contextlib.contextmanager
def output_of(command: Sequence[str], *, folder: Path, what: str, stop: Stop) -> Iterator[io.BufferedIOBase]:
    """Run a tool in a folder and hand over its standard output, to be read to its end.

    Raises:
        ToolFailed: where it does not start, is silent for a minute or ends with an error; `what` opens the
            message.
    """
    with _started(command, what=what, stop=stop, folder=folder) as (process, words):
        assert process.stdout is not None  # noqa: S101 - its pipe was asked for
        silent = f"{what}: {Path(command[0]).name} gave nothing for {_SECONDS} s"
        with io.BufferedReader(_Awaited(process.stdout.fileno(), silent)) as output:
            yield output
        process.wait()
        stop.check()
        if process.returncode:
            words.seek(0)
            lines = [line.strip() for line in words.read().decode(errors="replace").splitlines()]
            told = "; ".join([line for line in lines if line][:_ERROR_LINES])
            raise ToolFailed(f"{what}: {Path(command[0]).name} says: {told or 'nothing'}")


class _Awaited(io.RawIOBase):
    """A pipe that is read from only so long as something comes."""

    def __init__(self, pipe: int, silent: str) -> None:
        self._pipe = pipe
        self._silent = silent

    def readable(self) -> bool:
        """It is."""
        return True

    def readinto(self, buffer: Any) -> int:  # noqa: ANN401 - any writable buffer
        """Wait for bytes and read them; 0 at the end.

        Raises:
            ToolFailed: where none come in time.
        """
        if not select.select([self._pipe], [], [], _SECONDS)[0]:
            raise ToolFailed(self._silent)
        return os.readv(self._pipe, [buffer])


@contextlib.contextmanager
def _started(
    command: Sequence[str], *, what: str, stop: Stop, folder: Path | None = None
) -> Iterator[tuple["subprocess.Popen[bytes]", IO[bytes]]]:
    """A process with its words in a file: a pipe that nobody reads would fill and halt it."""
    stop.check()
    with tempfile.TemporaryFile() as words:
        try:
            process = subprocess.Popen(
                command,
                stdin=subprocess.DEVNULL,
                stdout=subprocess.PIPE,
                bufsize=0,
                stderr=words,
                cwd=folder,
                env={**os.environ, "LC_ALL": "C.UTF-8"},  # numbers and words as they are read here
                start_new_session=True,  # Ctrl-C is ours to answer
            )
        except OSError as error:
            raise ToolFailed(f"{what}: {Path(command[0]).name} could not be started: {error}") from error
        try:
            with stop.watching(process):
                yield process, words
        finally:
            process.kill()
            process.wait()
            assert process.stdout is not None  # noqa: S101 - its pipe was asked for
            process.stdout.close()
