"""JPEG XL stills as Debian's libjxl tools see them."""

import re
from pathlib import Path

import numpy as np
import pytest

from tests.knownlight.still_files import codes_of, said_by, signal_of, write

PACKAGE = "libjxl-tools"
COLOURS = {
    "sdr": "RGB, D65, sRGB primaries, 709 transfer function",
    "srgb": "RGB, D65, sRGB primaries, sRGB transfer function",
    "pq": "RGB, D65, Rec.2100 primaries, PQ transfer function",
    "hlg": "RGB, D65, Rec.2100 primaries, HLG transfer function",
}


@pytest.mark.parametrize(
    ("transfer", "depth"), [("sdr", 8), ("srgb", 8), ("pq", 10), ("pq", 12), ("hlg", 10)]
)
def test_libjxl_sees_what_was_drawn(transfer: str, depth: int, tmp_path: Path) -> None:
    """The colour encoding, lossless, and every sample; longer codes are the high bits of 16."""
    signal = signal_of(transfer, depth)
    write("jxl", signal, tmp_path / "a.jxl")
    words = said_by("jxlinfo", tmp_path / "a.jxl", package=PACKAGE)
    said_by("djxl", tmp_path / "a.jxl", tmp_path / "a.ppm", package=PACKAGE)
    data = (tmp_path / "a.ppm").read_bytes()
    header = re.match(rb"P6\s1280 720\s(255|65535)\s", data)
    assert header is not None
    bits = 8 if depth == 8 else 16
    flat = np.frombuffer(data[header.end() :], f">u{bits // 8}").astype(np.int64)
    samples = flat.reshape(720, 1280, 3)

    assert f"1280x720, (possibly) lossless, {bits}-bit RGB" in words
    assert COLOURS[transfer] in words
    np.testing.assert_array_equal(codes_of(signal), samples >> (bits - depth))
    assert (1 << bits) - 1 == int(samples.max()), "white stays the largest sample"
