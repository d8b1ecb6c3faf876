"""What GStreamer's discoverer says: the facts that independent files were made with."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from knownlight.errors import UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import HdrMetadata, MasteringDisplay
from knownlight.readback.gstreamer import TOOL, as_told, read_gstreamer
from knownlight.readback.stated import Stated
from tests.knownlight.conftest import HEIGHT, P3_1000, WIDTH

pytestmark = pytest.mark.skipif(bool(TOOL.absence), reason=TOOL.absence)

PQ = Stated(
    width=WIDTH, height=HEIGHT, rate=Fraction(60_000, 1_001), depth=10, hdr=P3_1000,
    colour=ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0),
)  # fmt: skip
HLG = Stated(
    width=WIDTH, height=HEIGHT, rate=Fraction(50), depth=10,
    colour=ColourDescription(primaries=9, transfer=18, matrix=9, full_range=0),
)  # fmt: skip
SDR = Stated(
    width=WIDTH, height=HEIGHT, rate=Fraction(25), depth=8,
    colour=ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0),
)  # fmt: skip
# of Matroska it tells pixel shapes where they are not square, or the sequence header has them
SQUARE_UNTOLD = {"av1-sdr.mkv", "vp9-hlg.webm", "vp9-sdr.webm"}
HEVC = {"codec": "hevc", "tag": "hvc1", "profile": "Main 10", "level": "2", "tier": "Main"}
AVC = {"codec": "avc", "tag": "avc1", "profile": "High", "level": "1.2"}
AV1 = {"codec": "av1", "profile": "Main"}


@pytest.mark.parametrize(
    ("kind", "base", "more"),
    [
        ("hevc-pq.mp4", PQ, HEVC),
        ("hevc-pq.ts", PQ, HEVC),
        ("hevc-hlg.mkv", HLG, HEVC),
        ("avc-sdr.mp4", SDR, AVC),
        ("avc-sdr.mkv", SDR, AVC),
        ("avc-sdr.ts", SDR, AVC),
        ("av1-pq.mp4", replace(PQ, hdr=HdrMetadata()), AV1),
        ("av1-hlg.mp4", HLG, AV1),
        ("av1-sdr.mkv", SDR, AV1),
        ("vp9-hlg.webm", HLG, {"codec": "vp9", "profile": "2"}),
        ("vp9-sdr.webm", SDR, {"codec": "vp9", "profile": "0"}),
        (
            "mpeg2-sdr.ts",
            replace(SDR, depth=None, colour=ColourDescription()),
            {"codec": "mpeg2", "profile": "Main", "level": "Main"},
        ),
    ],
)
def test_the_facts_are_those_the_file_was_made_with(
    kind: str, base: Stated, more: dict[str, str], kind_of_clip: Callable[[str], Path], stop: Stop
) -> None:
    """Codes given to ffmpeg's encoders come back; where metadata is missing, that is its blind spot."""
    aspect = None if kind in SQUARE_UNTOLD else Fraction(1)
    expected = replace(base, pixel_aspect=aspect, **more)  # type: ignore[arg-type]
    assert expected == read_gstreamer(kind_of_clip(kind), stop)


@pytest.mark.parametrize("kind", ["hevc-pq.mkv", "av1-pq.mkv", "vp9-pq.webm"])
def test_chromaticities_of_matroska_are_cut_by_a_unit(
    kind: str, kind_of_clip: Callable[[str], Path], stop: Stop
) -> None:
    """0.3127 is 15635 units of 0.00002; read as a floating-point number and cut it is 15634."""
    stated = read_gstreamer(kind_of_clip(kind), stop)
    assert P3_1000.light == stated.hdr.light
    assert isinstance(P3_1000.mastering, MasteringDisplay)
    assert replace(P3_1000.mastering, white=(15_634, 16_450)) == stated.hdr.mastering


@pytest.mark.parametrize(
    ("change", "field", "told"),
    [("transfer_characteristics=14", "transfer", 14), ("video_full_range_flag=1", "full_range", 1)],
)
def test_a_changed_sequence_header_is_told(
    *,
    change: str,
    field: str,
    told: int,
    kind_of_clip: Callable[[str], Path],
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """In a transport stream, which has no colour of its own; one is a word, the other four numbers."""
    path = tmp_path / "changed.ts"
    run_ffmpeg("-i", kind_of_clip("hevc-pq.ts"), "-c", "copy", "-bsf:v", f"hevc_metadata={change}", path)
    assert told == getattr(read_gstreamer(path, stop).colour, field)


@pytest.mark.parametrize(("ending", "coder"), [("ts", "libx264"), ("mkv", "libx264"), ("mp4", "libx264")])
def test_the_shape_of_pixels_and_the_colours_of_625_lines(
    ending: str, coder: str, run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """BT.601's points 5, 6 and 5, of which the last reads as its equal 6."""
    path = tmp_path / f"wide.{ending}"
    colour = "color_primaries=bt470bg:color_trc=smpte170m:colorspace=bt470bg"
    run_ffmpeg(
        *("-f", "lavfi", "-i", "testsrc2=s=720x576:r=25", "-frames:v", "25"),
        *("-vf", f"format=yuv420p,setparams=range=limited:{colour},setsar=64/45", "-c:v", coder, path),
    )
    stated = read_gstreamer(path, stop)
    wanted = ColourDescription(primaries=5, transfer=6, matrix=5, full_range=0)
    assert Fraction(64, 45) == stated.pixel_aspect
    assert as_told(Stated(colour=wanted)).colour == stated.colour
    assert 6 == stated.colour.matrix


def test_a_changed_container_is_told(
    kind_of_clip: Callable[[str], Path], run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """In MP4 it takes the colour of `colr` and the sample entry before the sequence header's."""
    path = tmp_path / "changed.mp4"
    run_ffmpeg("-i", kind_of_clip("hevc-pq.mp4"), "-c", "copy", "-tag:v", "hev1", path)
    whole = path.read_bytes()
    at = whole.index(b"colrnclx") + len(b"colrnclx") + 2
    path.write_bytes(whole[:at] + b"\0\x12" + whole[at + 2 :])
    stated = read_gstreamer(path, stop)
    assert ("hev1", 18) == (stated.tag, stated.colour.transfer)


def test_what_holds_no_video_is_refused(
    independent_clip: Callable[[str], Path], tmp_path: Path, stop: Stop
) -> None:
    """A sound file, a file of words and a missing one."""
    words = tmp_path / "words.mp4"
    words.write_text("words")
    for path in (independent_clip("sound-only"), words, tmp_path / "missing.mp4"):
        with pytest.raises(UnreadableFile) as caught:
            read_gstreamer(path, stop)
        assert f"{path}: GStreamer finds no video in it" == str(caught.value)
