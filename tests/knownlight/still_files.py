"""Stills of every format for tests, and tools that read them without our code."""

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.encode.stills.delivery import StillOrder
from knownlight.encode.stills.formats import STILLS
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.light import light_levels
from knownlight.frame.planes import Frame
from knownlight.metadata.light import hdr_metadata
from knownlight.metadata.still_colour import still_hdr
from knownlight.verify.still import StillIntent
from patterns.family import Family
from patterns.registry import build

SIGNALS = (("sdr", 8), ("srgb", 8), ("pq", 10), ("pq", 12), ("hlg", 10))
# Every format with every kind of signal that it holds.
MADE = [
    (delivery, transfer, depth)
    for delivery in STILLS
    for transfer, depth in SIGNALS
    if delivery != "jpg" or depth == 8
]


def signal_of(transfer: str, depth: int | None = None, code_range: str = "full") -> SignalFormat:
    """R'G'B' of 720 lines."""
    return parse_signal_format(f"720p60-{transfer}", depth=depth, code_range=code_range, components="rgb")


def write(
    delivery: str,
    signal: SignalFormat,
    to: Path,
    *,
    pattern: Family | None = None,
    frame: Frame | None = None,
) -> StillIntent:
    """Write a still, of bars unless told; another frame than the pattern's may be given."""
    drawn = pattern or build("bars-bt471", {})
    shown = frame or drawn.draw(signal).frame(0)
    levels = light_levels([drawn.draw(signal).frame(0)])
    hdr = still_hdr(delivery, hdr_metadata(signal, levels))
    STILLS[delivery].write(StillOrder(name=to.name, frame=shown, hdr=hdr, light=levels, stop=Stop()), to)
    return StillIntent(
        pattern=drawn, signal=signal, delivery=delivery, error_limit=STILLS[delivery].error_limit, hdr=hdr
    )


def with_one_sample_changed(frame: Frame, codes: int) -> Frame:
    """The frame with green at x=101, y=203 some codes further."""
    green = frame.planes[1].copy()
    green[203, 101] = int(green[203, 101]) + codes
    return replace(frame, planes=(frame.planes[0], green, frame.planes[2]))


def codes_of(signal: SignalFormat) -> NDArray[np.int64]:
    """The bars as they were drawn, (rows, columns, 3)."""
    planes = build("bars-bt471", {}).draw(signal).frame(0).planes
    return np.stack(planes, axis=-1).astype(np.int64)


def said_by(program: str, *arguments: str | Path, package: str) -> str:
    """What a tool of the system says; skips where it is absent."""
    found = shutil.which(program)
    if found is None:
        pytest.skip(f"{program} is not installed (Debian: {package})")
    finished = subprocess.run([found, *map(str, arguments)], capture_output=True, text=True, check=False)
    assert (0, "") == (finished.returncode, "" if finished.returncode == 0 else finished.stderr)
    return finished.stdout + finished.stderr
