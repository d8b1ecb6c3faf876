"""The proof of real files whose headers were tampered with: container, sequence headers, light levels."""

import struct
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from knownlight.ffmpeg import Stop
from knownlight.verify.proof import prove

if TYPE_CHECKING:
    from tests.conftest import Clip

TamperedBox = Callable[[bytes, int, bytes, bytes], Path]


@pytest.mark.parametrize(
    ("box", "at", "old", "new", "told"),
    [
        (b"stsd", 12, b"hvc1", b"hev1", "tag is hev1, it must be hvc1"),
        (b"hvcC", 12, bytes([93]), bytes([90]), "level is 3, it must be 3.1"),
        (b"hvcC", 1, b"\x02", b"\x01", "profile is Main, it must be Main 10"),
        (b"hvcC", 1, b"\x02", b"\x22", "tier is High, it must be Main"),
        (b"hvcC", 17, b"\xfa", b"\xf8", "depth is 8, it must be 10"),
        (b"fiel", 0, b"\x01", b"\x02", "scan is not stated, it must be progressive"),
        (b"pasp", 4, struct.pack(">I", 1), struct.pack(">I", 2), "pixel_aspect is 1/2, it must be 1"),
        (b"colrnclx", 0, b"\0\x09", b"\0\x01", "colour.primaries is 1, it must be 9"),
        (b"colrnclx", 2, b"\0\x10", b"\0\x12", "colour.transfer is 18, it must be 16"),
        (b"colrnclx", 4, b"\0\x09", b"\0\x01", "colour.matrix is 1, it must be 9"),
        (b"colrnclx", 6, b"\x00", b"\x80", "colour.full_range is 1, it must be 0"),
    ],
    ids=[
        "tag",
        "level",
        "profile",
        "tier",
        "depth",
        "fields",
        "shape",
        "primaries",
        "transfer",
        "matrix",
        "range",
    ],
)
def test_a_container_that_lies_is_found(
    *,
    box: bytes,
    at: int,
    old: bytes,
    new: bytes,
    told: str,
    window: "Clip",
    tampered_box: TamperedBox,
    stop: Stop,
) -> None:
    """A wrong field of `stsd`, `hvcC` or `colr` is told as the container's; nothing else is blamed.

    MediaInfo, which reads some of them, may tell the same field again.
    """
    problems = prove(tampered_box(box, at, old, new), window.intent, stop).problems
    assert f"ISO base media boxes: {told}" == problems[0]
    field = told.partition(" is ")[0]
    assert all(problem.startswith(f"MediaInfo: {field} is ") for problem in problems[1:])


def test_a_wrong_light_level_is_found_twice(window: "Clip", tampered_box: TamperedBox, stop: Stop) -> None:
    """A wrong MaxCLL in `clli` differs from what was intended, and from the decoded pixels."""
    light = window.intent.hdr.light
    assert light is not None
    right, wrong = light.max_cll, light.max_cll + 1
    path = tampered_box(b"clli", 0, struct.pack(">H", right), struct.pack(">H", wrong))
    problems = prove(path, window.intent, stop).problems
    assert f"ISO base media boxes: hdr.light.max_cll is {wrong}, it must be {right}" in problems
    assert f"light: MaxCLL is declared as {wrong}, the decoded pixels ask for {right}" in problems


def test_a_wrong_mastering_display_is_found(window: "Clip", tampered_box: TamperedBox, stop: Stop) -> None:
    """ST 2086 in `mdcv` (G, B, R, white, maximum, minimum): a peak of 4000 instead of 1000 cd/m²."""
    path = tampered_box(b"mdcv", 16, struct.pack(">I", 10_000_000), struct.pack(">I", 40_000_000))
    problems = prove(path, window.intent, stop).problems
    assert "ISO base media boxes: hdr.mastering.max_luminance is 40000000, it must be 10000000" in problems


@pytest.mark.parametrize(
    ("change", "problem"),
    [
        ("transfer_characteristics=14", "bitstream: colour.transfer is 14, it must be 16"),
        ("video_full_range_flag=1", "bitstream: colour.full_range is 1, it must be 0"),
        ("chroma_sample_loc_type=0", "bitstream: colour.chroma_location is 0, it must be 2"),
        ("level=5.1", "bitstream: level is 5.1, it must be 3.1"),
    ],
)
def test_a_bitstream_that_lies_is_found(
    *, change: str, problem: str, window: "Clip", run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """Sequence headers rewritten by ffmpeg's own filter, the coded pixels untouched."""
    path = tmp_path / "rewritten.mp4"
    copied = ("-map", "0", "-c", "copy", "-bsf:v", f"hevc_metadata={change}", "-tag:v", "hvc1")
    run_ffmpeg("-i", window.path, *copied, "-movflags", "+faststart", path)
    assert problem in prove(path, window.intent, stop).problems


def test_light_levels_changed_in_every_picture_are_found(window: "Clip", tmp_path: Path, stop: Stop) -> None:
    """The SEI messages that decoders obey come with each key picture; `hvcC` holds only another copy."""
    light = window.intent.hdr.light
    assert light is not None
    right, wrong = (
        b"\x4e\x01\x90\x04" + struct.pack(">2H", cll, light.max_fall)
        for cll in (light.max_cll, light.max_cll + 256)
    )
    head, mark, pictures = window.path.read_bytes().partition(b"mdat")
    changed = pictures.replace(right, wrong)
    assert pictures.count(right) == changed.count(wrong) > 0
    path = tmp_path / "tampered.mp4"
    path.write_bytes(head + mark + changed)
    problems = prove(path, window.intent, stop).problems
    assert f"bitstream: hdr.light.max_cll is {light.max_cll + 256}, it must be {light.max_cll}" in problems


@pytest.mark.parametrize(
    ("at", "old", "new"),
    [(76, 1280 << 16, 640 << 16), (40, 1 << 16, 2 << 16)],
    ids=["half as wide", "twice as wide by the matrix"],
)
def test_a_track_shown_at_another_size_is_found(
    *, at: int, old: int, new: int, window: "Clip", tampered_box: TamperedBox, stop: Stop
) -> None:
    """`tkhd` holds the size on screen and a matrix; pixels are only known where they are shown one to one."""
    path = tampered_box(b"tkhd", at, struct.pack(">I", old), struct.pack(">I", new))
    assert not prove(path, window.intent, stop).passed


def test_a_picture_without_a_duration_is_found(window: "Clip", tampered_box: TamperedBox, stop: Stop) -> None:
    """A duration for 125 of 126 pictures only (`stts`: count, ticks) is told as unsteady."""
    old, new = struct.pack(">3I", 1, 126, 512), struct.pack(">3I", 1, 125, 512)
    problems = prove(tampered_box(b"stts", 4, old, new), window.intent, stop).problems
    assert "ISO base media boxes: pictures do not all last equally long" in problems


def test_an_edit_that_skips_pictures_is_found(window: "Clip", tampered_box: TamperedBox, stop: Stop) -> None:
    """The edit list (`elst`: length, then media time) must start at the first picture; 512 ticks are one."""
    path = tampered_box(b"elst", 12, struct.pack(">I", 0), struct.pack(">I", 512))
    assert (
        "ISO base media boxes: an edit cuts or delays the pictures (media time 512)"
        in prove(path, window.intent, stop).problems
    )
