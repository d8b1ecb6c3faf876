"""The ffmpeg binary: found once, run as a process, its own words raised when it fails.

Both encode and readback use it; nothing else of either is shared.
"""

import contextlib
import os
import re
import subprocess
import threading
from collections.abc import Iterator, Sequence
from functools import lru_cache
from pathlib import Path

from knownlight.errors import BadInput, Cancelled, ToolFailed

ENVIRONMENT_VARIABLE = "KNOWNLIGHT_FFMPEG"
_ERROR_LINES = 3
_LISTED = re.compile(r"^ (?:[VAS][A-Z.]{5}|[A-Z.]{2,3}) (\S+)", re.MULTILINE)  # coders, filters
_PREFIX = re.compile(r"^\[[^\]]*\] *")  # which part of ffmpeg speaks, and where it lies in memory
_REMEDIES = {
    "No space left on device": "free some space, or choose another folder",
    "Read-only file system": "choose a folder that can be written",
    "Permission denied": "see that it may be read and written",
}


@lru_cache(maxsize=1)
def binary() -> str:
    """Path of the ffmpeg to run: the environment's, else the one that imageio-ffmpeg carries.

    Raises:
        BadInput: where there is none.
    """
    chosen = os.environ.get(ENVIRONMENT_VARIABLE)
    if chosen:
        if not Path(chosen).is_file():
            raise BadInput(f"{ENVIRONMENT_VARIABLE} names {chosen}, which is no file; unset it or correct it")
        return chosen
    import imageio_ffmpeg  # noqa: PLC0415 - slow to import, and not needed to list or to help

    try:
        return str(imageio_ffmpeg.get_ffmpeg_exe())
    except RuntimeError as error:
        raise BadInput(f"no ffmpeg was found ({error}); set {ENVIRONMENT_VARIABLE} to one") from error


def has_encoder(name: str) -> bool:
    """Whether the ffmpeg in use can encode so; it is asked once.

    Raises:
        BadInput, ToolFailed: where there is none, or it does not run.
    """
    return name in _listed(binary(), "-encoders")


def has_decoder(name: str) -> bool:
    """Whether the ffmpeg in use can decode so; it is asked once.

    Raises:
        BadInput, ToolFailed: where there is none, or it does not run.
    """
    return name in _listed(binary(), "-decoders")


def has_filter(name: str) -> bool:
    """Whether the ffmpeg in use has a filter; it is asked once.

    Raises:
        BadInput, ToolFailed: where there is none, or it does not run.
    """
    return name in _listed(binary(), "-filters")


@lru_cache(maxsize=8)
def _listed(path: str, what: str) -> frozenset[str]:
    try:
        finished = subprocess.run([path, "-hide_banner", what], capture_output=True, check=True)
    except (OSError, subprocess.CalledProcessError) as error:
        raise ToolFailed(f"ffmpeg could not be asked ({error}); set {ENVIRONMENT_VARIABLE}") from error
    return frozenset(_LISTED.findall(finished.stdout.decode(errors="replace")))


class Stop:
    """Lets one thread end the processes that others wait for."""

    def __init__(self) -> None:
        self._asked = threading.Event()
        self._lock = threading.Lock()
        self._running: set[subprocess.Popen[bytes]] = set()

    def ask(self) -> None:
        """End what runs now and refuse what would start later."""
        self._asked.set()
        with self._lock:
            for process in self._running:
                process.kill()

    def check(self) -> None:
        """Raise Cancelled where a stop was asked for."""
        if self._asked.is_set():
            raise Cancelled("stopped; nothing unfinished was left under a final name")

    @contextlib.contextmanager
    def watching(self, process: subprocess.Popen[bytes]) -> Iterator[None]:
        """Make a process one that `ask` ends; one that was asked for before is ended at once."""
        with self._lock:
            self._running.add(process)
            if self._asked.is_set():
                process.kill()
        try:
            yield
        finally:
            with self._lock:
                self._running.discard(process)


def start(
    arguments: Sequence[str], stop: Stop, *, stdin: int = subprocess.DEVNULL, stdout: int = subprocess.PIPE
) -> subprocess.Popen[bytes]:
    """Start ffmpeg; who starts it watches it by `stop` and waits for its end.

    Raises:
        Cancelled: where a stop was asked for.
        ToolFailed: where it does not start.
    """
    stop.check()
    try:
        return subprocess.Popen(
            [binary(), "-hide_banner", "-y", *arguments],
            stdin=stdin,
            stdout=stdout,
            stderr=subprocess.PIPE,
            start_new_session=True,  # Ctrl-C is ours to answer: ffmpeg would close the file as if whole
        )
    except OSError as error:
        raise ToolFailed(f"ffmpeg could not be started ({error}); set {ENVIRONMENT_VARIABLE}") from error


def failure(what: str, words: bytes, stop: Stop) -> Exception:
    """The exception for a process that ended badly."""
    try:
        stop.check()
    except Cancelled as error:
        return error
    text = words.decode(errors="replace")
    for cause, remedy in _REMEDIES.items():
        if cause in text:
            return ToolFailed(f"{what}: {cause}; {remedy}")
    lines = dict.fromkeys(_PREFIX.sub("", line).strip() for line in text.splitlines() if line.strip())
    return ToolFailed(f"{what}: ffmpeg says: {'; '.join(list(lines)[:_ERROR_LINES]) or 'nothing'}")


def run(arguments: Sequence[str], *, what: str, stop: Stop) -> tuple[bytes, str]:
    """Run ffmpeg to its end and return its output and its words.

    Raises:
        ToolFailed: where it ends with an error; `what` opens the message.
    """
    process = start(arguments, stop)
    with stop.watching(process):
        output, words = process.communicate()
    if process.returncode:
        raise failure(what, words, stop)
    return output, words.decode(errors="replace")
