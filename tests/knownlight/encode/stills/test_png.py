"""PNG stills: chunks as the third edition prints them, pixels exact for two readers."""

import struct
import zlib
from pathlib import Path

import imagecodecs
import numpy as np
import pytest
from PIL import Image

from knownlight.encode.stills.delivery import StillOrder
from knownlight.encode.stills.png import Png
from knownlight.errors import CannotCarry
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import LightLevels
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.metadata.light import HdrMetadata, hdr_metadata
from knownlight.readback.stills.samples import interleaved_by_ffmpeg
from patterns.registry import build

_LEVELS = LightLevels(max_cll=1000.0, max_fall=250.0, fall=250.0, apl_percent=50.0)
_STORED = {8: "u1", 10: ">u2", 12: ">u2"}


def _still(signal: SignalFormat, to: Path) -> bytes:
    frame = build("ramp", {}).draw(signal).frame(0)
    hdr = hdr_metadata(signal, _LEVELS)
    Png().write(StillOrder(name=to.name, frame=frame, hdr=hdr, light=_LEVELS, stop=Stop()), to)
    return to.read_bytes()


def _chunk(data: bytes, kind: bytes) -> bytes | None:
    """Body of a chunk, found by its name; independent of the reader under test."""
    at = data.find(kind)
    if at < 0:
        return None
    (size,) = struct.unpack(">I", data[at - 4 : at])
    body = data[at + 4 : at + 4 + size]
    assert struct.pack(">I", zlib.crc32(kind + body)) == data[at + 4 + size : at + 8 + size]
    return body


def test_chunks_are_those_of_the_standard(tmp_path: Path) -> None:
    """Worked examples of PNG third edition: cICP 9 16 0 1; cLLI 1000 and 250 cd/m²; mDCV 1000 cd/m²."""
    data = _still(parse_signal_format("720p60-pq", code_range="full", components="rgb"), tmp_path / "a.png")

    assert bytes.fromhex("09100001") == _chunk(data, b"cICP")
    assert bytes.fromhex("00989680 002625A0") == _chunk(data, b"cLLI")
    mdcv = _chunk(data, b"mDCV")
    assert mdcv is not None
    # BT.2020 primaries in 0.00002, red first; 1000 cd/m² and 0.0001 cd/m² in 0.0001
    assert (35400, 14600, 8500, 39850, 6550, 2300, 15635, 16450, 10_000_000, 1) == struct.unpack(
        ">8H2I", mdcv
    )
    assert b"\x0a\x0a\x0a" == _chunk(data, b"sBIT")
    assert struct.pack(">IIBBBBB", 1280, 720, 16, 2, 0, 0, 0) == _chunk(data, b"IHDR")


@pytest.mark.parametrize(
    ("written", "code_range", "cicp"),
    [
        ("720p60-hlg", "full", "09120001"),
        ("720p60-pq", "narrow", "09100000"),
        ("720p60-sdr", "narrow", "01010000"),
        ("720p60-sdr", "full", "01010001"),
        ("720p60-srgb", "full", "010d0001"),
    ],
)
def test_the_kind_of_signal_is_declared(written: str, code_range: str, cicp: str, tmp_path: Path) -> None:
    """CICP holds H.273 primaries, transfer, matrix 0 and the range; only PQ has light levels.

    Only sRGB has the chunk of its name (clause 11.3.2.5), with a rendering intent.
    """
    signal = parse_signal_format(written, code_range=code_range, components="rgb")
    data = _still(signal, tmp_path / "a.png")

    assert bytes.fromhex(cicp) == _chunk(data, b"cICP")
    assert (signal.transfer.value == "pq") == (_chunk(data, b"mDCV") is not None)
    assert (signal.transfer.value == "pq") == (_chunk(data, b"cLLI") is not None)
    assert (b"\x01" if signal.transfer.value == "srgb" else None) == _chunk(data, b"sRGB")


@pytest.mark.parametrize("depth", [8, 10, 12])
@pytest.mark.parametrize("code_range", ["narrow", "full"])
def test_samples_shift_back_to_codes(depth: int, code_range: str, tmp_path: Path, stop: Stop) -> None:
    """PNG clause 13.12: the high sBIT bits of a sample are the code; ffmpeg reads the samples."""
    signal = parse_signal_format("720p60-sdr", depth=depth, code_range=code_range, components="rgb")
    path = tmp_path / "a.png"
    _still(signal, path)
    samples = interleaved_by_ffmpeg(_STORED)(path, signal, stop)
    codes = build("ramp", {}).draw(signal).frame(0).planes[0]

    bits = 8 if depth == 8 else 16
    assert np.array_equal(codes, samples[..., 0].astype(np.int64) >> (bits - depth))
    if code_range == "full":
        assert (0, (1 << bits) - 1) == (int(samples.min()), int(samples.max()))


@pytest.mark.parametrize("written", ["720p60-sdr", "720p60-srgb"])
def test_codes_of_eight_bits_are_stored_in_eight(written: str, tmp_path: Path) -> None:
    """Pillow and libpng see the codes themselves."""
    signal = parse_signal_format(written, code_range="full", components="rgb")
    data = _still(signal, tmp_path / "a.png")
    with Image.open(tmp_path / "a.png") as image:
        seen = np.asarray(image)
        assert "RGB" == image.mode
    planes = np.stack(build("ramp", {}).draw(signal).frame(0).planes, axis=-1)

    assert struct.pack(">IIBBBBB", 1280, 720, 8, 2, 0, 0, 0) == _chunk(data, b"IHDR")
    np.testing.assert_array_equal(planes, seen)
    np.testing.assert_array_equal(planes, imagecodecs.png_decode(data))


def test_a_frame_of_another_kind_is_refused(tmp_path: Path) -> None:
    """A PNG holds R'G'B' codes."""
    frame = build("ramp", {}).draw(parse_signal_format("720p60-sdr")).frame(0)
    order = StillOrder(name="a.png", frame=frame, hdr=HdrMetadata(), light=_LEVELS, stop=Stop())

    with pytest.raises(CannotCarry, match=r"^png: stills hold R'G'B' codes, not 4:2:0"):
        Png().write(order, tmp_path / "a.png")
    assert [] == list(tmp_path.iterdir())
