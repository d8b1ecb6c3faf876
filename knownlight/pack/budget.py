"""Keeps the memory of encoders that run side by side inside a budget.

An encoder holds about thirty pictures at once (measured: 600 to 730 MB at 2160p and 10 bits), so two of them
do not fit where two jobs are to stay under 1.5 GB; the second encodes while the first is proven.
"""

import contextlib
import threading
from collections.abc import Iterator

from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import plane_shapes, sample_type

_PICTURES_HELD = 30
_BYTES_A_JOB = 500_000_000


def encoder_bytes(signal: SignalFormat) -> int:
    """Memory of an encoder of this signal, roughly."""
    samples = sum(rows * columns for rows, columns in plane_shapes(signal))
    return int(_PICTURES_HELD * samples * sample_type(signal.depth)(0).nbytes)


class MemoryBudget:
    """Lets encoders start while their memory fits; a large one alone always may."""

    def __init__(self, jobs: int) -> None:
        self._free = self._whole = jobs * _BYTES_A_JOB
        self._changed = threading.Condition()

    @contextlib.contextmanager
    def held(self, signal: SignalFormat, stop: Stop) -> Iterator[None]:
        """Wait for room for one encoder, and keep it.

        Raises:
            Cancelled: where a stop was asked for while waiting.
        """
        needed = min(encoder_bytes(signal), self._whole)
        with self._changed:
            while self._free < needed:
                self._changed.wait(timeout=0.2)
                stop.check()
            self._free -= needed
        try:
            yield
        finally:
            with self._changed:
                self._free += needed
                self._changed.notify_all()
