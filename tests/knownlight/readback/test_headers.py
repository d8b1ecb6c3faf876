"""Headers of every codec: the numbers that independent files were made with, and what MediaInfo finds."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay
from knownlight.readback.bitstream import read_both_copies
from knownlight.readback.headers import Sections, stated_by
from knownlight.readback.mediainfo import read_mediainfo
from knownlight.readback.stated import Stated

SPS = "Sequence Parameter Set"
SDR = ColourDescription(primaries=1, transfer=1, matrix=1)
# What ffmpeg was asked for; H.273 as in test_matroska. SD is BT.601 of 625 lines: 5, 6, 5.
MADE = {
    "hevc-hlg.ts": Stated(
        codec="hevc", profile="Main 10", level="2", tier="Main", width=320, height=178,
        rate=Fraction(60_000, 1_001), depth=10, scan="progressive", pixel_aspect=Fraction(1),
        preferred_transfer=18,
        colour=ColourDescription(primaries=9, transfer=14, matrix=9, full_range=0, chroma_location=2),
    ),
    "avc-ac3.ts": Stated(
        codec="avc", profile="High", level="1.3", width=322, height=178, rate=Fraction(24_000, 1_001),
        depth=8, scan="progressive", pixel_aspect=Fraction(1),
        colour=replace(SDR, full_range=0, chroma_location=0),
    ),
    "avc-tff.mp4": Stated(
        codec="avc", profile="High", level="4", width=1440, height=1080, rate=Fraction(30_000, 1_001),
        depth=8, scan="top field first", pixel_aspect=Fraction(40, 33),
        colour=ColourDescription(chroma_location=0),
    ),
    "avc-bff.mp4": Stated(
        codec="avc", profile="High", level="4", width=1440, height=1080, rate=Fraction(30_000, 1_001),
        depth=8, scan="bottom field first", pixel_aspect=Fraction(40, 33),
        colour=ColourDescription(chroma_location=0),
    ),
    "av1-pq.mkv": Stated(
        codec="av1", profile="Main", level="2.0", tier="Main", width=320, height=178, depth=10,
        scan="progressive",
        colour=ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0, chroma_location=2),
        hdr=HdrMetadata(
            mastering=MasteringDisplay(
                red=(34_000, 16_000), green=(13_250, 34_500), blue=(7_500, 3_000), white=(15_635, 16_450),
                max_luminance=10_000_000, min_luminance=50,
            ),
            light=ContentLight(max_cll=1_000, max_fall=400),
        ),
    ),
    "vp9-hlg.webm": Stated(
        codec="vp9", profile="2", width=320, height=178, depth=10, scan="progressive",
        colour=ColourDescription(primaries=9, matrix=9, full_range=0),
    ),
    "vp9-sdr-sound.webm": Stated(
        codec="vp9", profile="0", width=322, height=178, depth=8, scan="progressive",
        colour=ColourDescription(primaries=1, matrix=1, full_range=0),
    ),
    "mpeg2-mp2.ts": Stated(
        codec="mpeg2", profile="Main", level="Main", width=352, height=288, rate=Fraction(25), depth=8,
        scan="progressive", pixel_aspect=Fraction(1), colour=SDR,
    ),
    "mpeg2-tff.ts": Stated(
        codec="mpeg2", profile="Main", level="Main", width=720, height=576, rate=Fraction(25), depth=8,
        scan="top field first", pixel_aspect=Fraction(64, 45),
        colour=ColourDescription(primaries=5, transfer=6, matrix=5),
    ),
    "mpeg2-bff.ts": Stated(
        codec="mpeg2", profile="Main", level="Main", width=720, height=576, rate=Fraction(25), depth=8,
        scan="bottom field first", pixel_aspect=Fraction(64, 45),
        colour=ColourDescription(primaries=5, transfer=6, matrix=5),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", MADE)
def test_the_stream_says_what_it_was_made_with(name: str, made: Callable[[str], Path], stop: Stop) -> None:
    """Every field in both copies, and nothing that was not asked for."""
    assert (MADE[name], MADE[name]) == read_both_copies(made(name), stop)


@pytest.mark.parametrize("name", MADE)
def test_mediainfo_says_the_same_where_it_says_anything(
    name: str, made: Callable[[str], Path], stop: Stop
) -> None:
    """Field by field: size, profile, level, depth, order of fields, shape of pixels and colour."""
    read, other = read_both_copies(made(name), stop)[1], read_mediainfo(made(name))
    facts = ("codec", "profile", "level", "tier", "width", "height", "rate", "depth", "scan",
             "pixel_aspect", "preferred_transfer")  # fmt: skip
    compared = [
        fact for fact in facts if getattr(other, fact) is not None and getattr(read, fact) is not None
    ]
    assert {"codec", "width", "height"} <= set(compared)
    assert {fact: getattr(other, fact) for fact in compared} == {
        fact: getattr(read, fact) for fact in compared
    }
    for part in ("primaries", "transfer", "matrix", "full_range"):
        if None not in (getattr(other.colour, part), getattr(read.colour, part)):
            assert getattr(other.colour, part) == getattr(read.colour, part), part


def test_fields_in_hevc_are_not_called_progressive(
    run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """x265 codes fields as pictures and says so (field_seq_flag, H.265 clause E.3.1)."""
    path = tmp_path / "fields.mp4"
    source = ("-f", "lavfi", "-i", "testsrc2=s=320x352:r=25", "-frames:v", "4", "-pix_fmt", "yuv420p")
    run_ffmpeg(*source, "-c:v", "libx265", "-x265-params", "log-level=none:interlace=tff:pools=1", path)
    assert read_both_copies(path, stop)[1].scan is None


@pytest.mark.parametrize(
    ("codec", "ratio"),
    [("libx264", "16/11"), ("libx264", "40/33"), ("libx264", "64/45"), ("libx265", "32/27")],
)
def test_the_shape_of_pixels(
    codec: str, ratio: str, run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """16/11 and 40/33 have numbers of their own in H.264 Table E-1; others are written out (255)."""
    path = tmp_path / "shape.mp4"
    source = ("-f", "lavfi", "-i", "testsrc2=s=320x176:r=25", "-frames:v", "2")
    quiet = ("-x265-params", "log-level=none") if codec == "libx265" else ()
    run_ffmpeg(*source, "-vf", f"format=yuv420p,setsar={ratio}", "-c:v", codec, *quiet, path)
    assert Fraction(ratio) == read_both_copies(path, stop)[1].pixel_aspect


@pytest.mark.parametrize("rate", ["24000/1001", "24", "30000/1001", "30", "50", "60000/1001", "60"])
def test_every_frame_rate_code_of_mpeg2(
    rate: str, run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """H.262 Table 6-4, by an encoder that knows no other rates; High level above 30 frames/s."""
    path = tmp_path / "rate.ts"
    source = ("-f", "lavfi", "-i", f"testsrc2=s=352x288:r={rate}", "-frames:v", "2", "-pix_fmt", "yuv420p")
    run_ffmpeg(*source, "-c:v", "mpeg2video", path)
    assert Fraction(rate) == read_both_copies(path, stop)[1].rate
    assert Fraction(rate) == read_mediainfo(path).rate


@pytest.mark.parametrize(
    "sections",
    [{}, {SPS: {}}, {"Video Object Layer": {"profile_idc": 1}}, {"Picture Header": {"frame_marker": 2}}],
    ids=["nothing", "an empty set", "MPEG-4 Part 2", "another frame"],
)
def test_headers_of_no_known_codec_are_nothing(sections: Sections) -> None:
    """Nothing is made up from a section that none of the codecs has."""
    assert stated_by(sections) is None
