"""Metadata put into an AVIF: the picture stays where it is found, another layout is not touched."""

from pathlib import Path

import imagecodecs
import numpy as np
import pytest

from knownlight.encode.stills.heif_boxes import with_hdr_boxes
from knownlight.errors import ToolFailed
from knownlight.metadata.light import ContentLight, HdrMetadata, mastering_display
from knownlight.readback.stills.heif import read_heif_header
from knownlight.signal.primaries import BT2020

SAMPLES = np.random.default_rng(3).integers(0, 256, (64, 96, 3), dtype=np.uint8)
LIGHT = ContentLight(max_cll=1234, max_fall=56)
MASTERING = mastering_display(BT2020, 4000)


def _plain() -> bytes:
    return bytes(imagecodecs.avif_encode(SAMPLES, level=100, pixelformat="444", matrix=0, numthreads=1))


@pytest.mark.parametrize(
    "hdr",
    [
        HdrMetadata(light=LIGHT),
        HdrMetadata(mastering=MASTERING),
        HdrMetadata(light=LIGHT, mastering=MASTERING),
    ],
)
def test_the_picture_is_found_at_its_new_place(hdr: HdrMetadata, tmp_path: Path) -> None:
    """Libavif decodes the same samples, and the metadata is read."""
    data = with_hdr_boxes(_plain(), hdr)
    (tmp_path / "a.avif").write_bytes(data)

    np.testing.assert_array_equal(SAMPLES, imagecodecs.avif_decode(data))
    assert hdr == read_heif_header(tmp_path / "a.avif").hdr


def test_nothing_to_say_changes_nothing() -> None:
    """The library's own bytes."""
    assert _plain() == with_hdr_boxes(_plain(), HdrMetadata())


@pytest.mark.parametrize(
    ("kind", "old", "new"),
    [(b"iloc", b"\x44\x00", b"\x88\x00"), (b"ipma", b"\0\0\0\0\0\0\0\x01", b"\0\0\0\x01\0\0\0\x01")],
)
def test_another_layout_is_refused(kind: bytes, old: bytes, new: bytes) -> None:
    """Offsets of eight bytes, associations of two: a later libavif may write them."""
    data = _plain()
    at = data.index(old, data.index(kind))

    with pytest.raises(ToolFailed, match="the AVIF library lays its"):
        with_hdr_boxes(data[:at] + new + data[at + len(old) :], HdrMetadata(light=LIGHT))
