"""MediaInfo's words turned back into numbers: the numbers that independent files were made with."""

from collections.abc import Callable
from fractions import Fraction
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from knownlight.errors import UnreadableFile
from knownlight.frame.format import parse_signal_format
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata, MasteringDisplay
from knownlight.readback import mediainfo
from knownlight.readback.mediainfo import read_mediainfo
from knownlight.readback.stated import Stated

if TYPE_CHECKING:
    from tests.conftest import MakeClip

# H.273 Tables 2, 3 and 4: BT.2020 is 9 and 9, PQ 16, HLG 18, BT.709 1.
EXPECTED = {
    "hevc-hlg-full": Stated(
        codec="hevc", tag="hvc1", profile="Main 10", level="2", tier="Main", width=320, height=178,
        rate=Fraction(30_000, 1_001), depth=10, frames=20, scan="progressive", pixel_aspect=Fraction(1),
        colour=ColourDescription(primaries=9, transfer=18, matrix=9, full_range=1, chroma_location=2),
    ),
    "hevc-pq-metadata": Stated(
        codec="hevc", tag="hev1", profile="Main 10", level="2", tier="Main", width=320, height=178,
        rate=Fraction(50), depth=10, frames=20, scan="progressive", pixel_aspect=Fraction(1),
        colour=ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0, chroma_location=2),
        hdr=HdrMetadata(
            mastering=MasteringDisplay(
                red=(34_000, 16_000), green=(13_250, 34_500), blue=(7_500, 3_000), white=(15_635, 16_450),
                max_luminance=10_000_000, min_luminance=50,
            ),
            light=ContentLight(max_cll=1_000, max_fall=400),
        ),
    ),
    "hevc-sdr": Stated(
        codec="hevc", tag="hvc1", profile="Main", level="2", tier="Main", width=322, height=178,
        rate=Fraction(24), depth=8, frames=20, scan="progressive", pixel_aspect=Fraction(1),
        colour=ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0, chroma_location=0),
    ),
    "avc-sdr-sound": Stated(
        codec="avc", tag="avc1", profile="High", level="1.3", width=322, height=178,
        rate=Fraction(25), depth=8, frames=20, scan="progressive", pixel_aspect=Fraction(1),
        colour=ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0, chroma_location=None),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", EXPECTED)
def test_the_facts_are_those_the_file_was_made_with(
    name: str, independent_clip: Callable[[str], Path]
) -> None:
    """Codes given to ffmpeg's encoders come back from MediaInfo as the same codes, field by field."""
    assert EXPECTED[name] == read_mediainfo(independent_clip(name))


def test_what_is_not_said_is_not_made_up(independent_clip: Callable[[str], Path]) -> None:
    """A file without colour description, tier or light levels has none of them."""
    stated = read_mediainfo(independent_clip("avc-undescribed"))
    assert ColourDescription() == stated.colour
    assert HdrMetadata() == stated.hdr
    assert stated.tier is None


def test_words_that_are_not_known_become_nothing(run_ffmpeg: Callable[..., bytes], tmp_path: Path) -> None:
    """Points outside this program's tables (SMPTE 240M: 7, 7, 7) read as unknown, so that a check fails."""
    path = tmp_path / "smpte240m.mp4"
    colour = "setparams=range=limited:color_primaries=smpte240m:color_trc=smpte240m:colorspace=smpte240m"
    source = ("-f", "lavfi", "-i", "testsrc2=s=320x176:r=25", "-frames:v", "2")
    run_ffmpeg(*source, "-vf", f"format=yuv420p,{colour}", "-c:v", "libx264", "-bf", "0", path)
    expected = ColourDescription(primaries=None, transfer=None, matrix=None, full_range=0)
    assert expected == read_mediainfo(path).colour


# H.273 Tables 2 to 4: BT.601 of 625 lines is 5, 6, 5 and of 525 lines 6, 6, 6.
@pytest.mark.parametrize(
    ("words", "expected"),
    [(("bt470bg", "smpte170m", "bt470bg"), (5, 6, 5)), (("smpte170m", "smpte170m", "smpte170m"), (6, 6, 6))],
)
def test_standard_definition_is_read(
    words: tuple[str, str, str],
    expected: tuple[int, int, int],
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
) -> None:
    """Colour of standard definition as ffmpeg was asked to write it."""
    path = tmp_path / "sd.mp4"
    colour = "setparams=range=limited:color_primaries={}:color_trc={}:colorspace={}".format(*words)
    source = ("-f", "lavfi", "-i", "testsrc2=s=720x576:r=25", "-frames:v", "2")
    run_ffmpeg(*source, "-vf", f"format=yuv420p,{colour}", "-c:v", "libx264", "-bf", "0", path)
    read = read_mediainfo(path).colour
    assert expected == (read.primaries, read.transfer, read.matrix)


@pytest.mark.parametrize("primaries", ["bt2020", "p3-d65"])
def test_the_mastering_display_of_our_clips(primaries: str, shared_clip: "MakeClip") -> None:
    """Both sets of content primaries are read back as the units that were declared."""
    signal = parse_signal_format("720p24-pq", content_primaries=primaries)
    clip = shared_clip("window", signal, 2, luminance=900.0)
    assert clip.intent.hdr.mastering is not None
    assert 10_000_000 == clip.intent.hdr.mastering.max_luminance
    assert clip.intent.hdr == read_mediainfo(clip.path).hdr


def test_a_file_without_video_is_refused(independent_clip: Callable[[str], Path]) -> None:
    """A sound file has nothing to say here."""
    path = independent_clip("sound-only")
    with pytest.raises(UnreadableFile) as caught:
        read_mediainfo(path)
    assert f"{path}: MediaInfo finds no video or picture in it" == str(caught.value)


def test_a_file_of_words_is_refused(tmp_path: Path) -> None:
    """What is no media file has no video."""
    path = tmp_path / "words.mp4"
    path.write_text("words, not boxes")
    with pytest.raises(UnreadableFile, match=r"MediaInfo finds no video or picture in it$"):
        read_mediainfo(path)


def test_the_version_names_reader_and_package() -> None:
    """A proof lists its readers; this one says which package brought it."""
    assert f"MediaInfo (pymediainfo {metadata.version('pymediainfo')})" == mediainfo.version()
