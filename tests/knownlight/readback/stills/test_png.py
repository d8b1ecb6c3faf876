"""Reading PNG headers: every CRC is checked, nothing that is not stated is made up."""

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from knownlight.errors import UnreadableFile
from knownlight.metadata.colour import ColourDescription
from knownlight.readback.stills.png import read_png_header
from knownlight.readback.stills.stated import StillStated


def _independent(path: Path) -> Path:
    """A PNG that Pillow wrote."""
    Image.fromarray(np.arange(48, dtype=np.uint8).reshape(4, 4, 3)).save(path)
    return path


def _with_chunk(path: Path, kind: bytes, body: bytes) -> None:
    """Put a chunk after IHDR."""
    data = path.read_bytes()
    chunk = struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))
    path.write_bytes(data[:33] + chunk + data[33:])


def test_what_is_not_stated_is_none(tmp_path: Path) -> None:
    """Pillow's plain file states size and depth, and no colour, light or significant bits."""
    assert StillStated(
        coding="truecolour", width=4, height=4, sample_bits=8, order=("IHDR", "IDAT", "IEND")
    ) == read_png_header(_independent(tmp_path / "a.png"))


def test_colour_chunks_are_read(tmp_path: Path) -> None:
    """The standard's own example of cICP and cLLI (PNG third edition)."""
    path = _independent(tmp_path / "a.png")
    _with_chunk(path, b"cLLI", bytes.fromhex("00989680002625A0"))
    _with_chunk(path, b"cICP", bytes.fromhex("09100001"))
    stated = read_png_header(path)

    assert ColourDescription(primaries=9, transfer=16, matrix=0, full_range=1) == stated.colour
    assert (10_000_000, 2_500_000) == stated.fine_light
    assert stated.order is not None
    assert ("IHDR", "cICP", "cLLI") == stated.order[:3]


@pytest.mark.parametrize("at", [20, 40, 60])
def test_a_flipped_byte_is_found(at: int, tmp_path: Path) -> None:
    """In the header, in the pixels: the chunk's CRC no longer fits, and the file is named."""
    path = _independent(tmp_path / "a.png")
    data = bytearray(path.read_bytes())
    data[at] ^= 4
    path.write_bytes(data)

    with pytest.raises(UnreadableFile, match=rf"^{path}: "):
        read_png_header(path)


def test_a_cut_file_is_found(tmp_path: Path) -> None:
    """Without its last chunk, or not a PNG at all."""
    path = _independent(tmp_path / "a.png")
    path.write_bytes(path.read_bytes()[:-12])
    with pytest.raises(UnreadableFile, match=r"no IEND chunk; the file is cut short"):
        read_png_header(path)
    path.write_bytes(b"words")
    with pytest.raises(UnreadableFile, match=r"does not begin as a PNG does"):
        read_png_header(path)
