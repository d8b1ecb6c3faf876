"""What mpv would show a clip as: the facts that independent files were made with."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from knownlight.errors import UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import ContentLight, HdrMetadata
from knownlight.readback.mpv import TOOL, as_told, read_mpv
from knownlight.readback.stated import PROGRESSIVE, Stated
from tests.knownlight.conftest import HEIGHT, P3_1000, WIDTH

pytestmark = pytest.mark.skipif(bool(TOOL.absence), reason=TOOL.absence)

PEAK = HdrMetadata(light=ContentLight(max_cll=1_000, max_fall=0))
PQ = Stated(
    width=WIDTH, height=HEIGHT, rate=Fraction(60_000, 1_001), depth=10, hdr=PEAK,
    scan=PROGRESSIVE, pixel_aspect=Fraction(1),
    colour=ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0, chroma_location=2),
)  # fmt: skip
HLG = Stated(
    width=WIDTH, height=HEIGHT, rate=Fraction(50), depth=10,
    scan=PROGRESSIVE, pixel_aspect=Fraction(1),
    colour=ColourDescription(primaries=9, transfer=18, matrix=9, full_range=0, chroma_location=2),
)  # fmt: skip
SDR = Stated(
    width=WIDTH, height=HEIGHT, rate=Fraction(25), depth=8,
    scan=PROGRESSIVE, pixel_aspect=Fraction(1),
    colour=ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0, chroma_location=0),
)  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "expected"),
    [
        ("hevc-pq.mp4", replace(PQ, codec="hevc")),
        ("hevc-pq.ts", replace(PQ, codec="hevc")),
        ("hevc-hlg.mkv", replace(HLG, codec="hevc")),
        ("avc-sdr.ts", replace(SDR, codec="avc")),
        ("av1-pq.mp4", replace(PQ, codec="av1")),
        ("av1-hlg.mp4", replace(HLG, codec="av1")),
        ("mpeg2-sdr.ts", replace(SDR, codec="mpeg2")),
    ],
)
def test_the_facts_are_those_the_file_was_made_with(
    kind: str, expected: Stated, kind_of_clip: Callable[[str], Path], stop: Stop
) -> None:
    """Size, rate, depth and colour; of light levels the peak alone, MaxCLL as counts of 203 cd/m²."""
    assert expected == read_mpv(kind_of_clip(kind), stop)


@pytest.mark.parametrize("kind", ["vp9-pq.webm", "vp9-hlg.webm"])
def test_of_vp9_the_container_is_passed_by(
    kind: str, kind_of_clip: Callable[[str], Path], stop: Stop
) -> None:
    """Matrix and range stand in VP9's own header; what only WebM says does not come through."""
    colour = ColourDescription(matrix=9, full_range=0)
    stated = read_mpv(kind_of_clip(kind), stop)
    assert (colour, HdrMetadata()) == (stated.colour, stated.hdr)


@pytest.mark.parametrize(
    ("change", "field", "told"),
    [
        ("transfer_characteristics=18", "transfer", 18),
        ("transfer_characteristics=8", "transfer", None),
        ("video_full_range_flag=1", "full_range", 1),
        ("chroma_sample_loc_type=0", "chroma_location", 0),
        ("colour_primaries=1", "primaries", 1),
    ],
)
def test_a_changed_sequence_header_is_told(
    *,
    change: str,
    field: str,
    told: int | None,
    kind_of_clip: Callable[[str], Path],
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """It obeys the sequence header; a point that it has no word for here reads as nothing."""
    path = tmp_path / "changed.mp4"
    run_ffmpeg("-i", kind_of_clip("hevc-pq.mp4"), "-c", "copy", "-bsf:v", f"hevc_metadata={change}", path)
    assert told == getattr(read_mpv(path, stop).colour, field)


@pytest.mark.parametrize(
    ("light", "expected"),
    [
        (ContentLight(max_cll=700, max_fall=100), ContentLight(max_cll=700, max_fall=100)),
        (ContentLight(max_cll=0, max_fall=0), ContentLight(max_cll=1_000, max_fall=0)),
        (None, ContentLight(max_cll=1_000, max_fall=0)),
    ],
)
def test_the_peak_it_must_tell(light: ContentLight | None, expected: ContentLight) -> None:
    """MaxCLL, and the mastering display's 1000 cd/m² where MaxCLL is not known."""
    wanted = replace(PQ, hdr=replace(P3_1000, light=light))
    assert replace(PQ, hdr=replace(P3_1000, light=expected)) == as_told(wanted)


@pytest.mark.parametrize(
    ("points", "told"),
    [((5, 6, 5), (5, 1, 6)), ((6, 6, 6), (6, 1, 6)), ((9, 14, 9), (9, 1, 9)), ((9, 18, 9), (9, 18, 9))],
)
def test_points_that_it_words_alike(points: tuple[int, int, int], told: tuple[int, int, int]) -> None:
    """BT.601's and BT.2020's transfers as BT.709's; the two equal matrices of BT.601 as one."""
    colours = [
        ColourDescription(primaries=primaries, transfer=transfer, matrix=matrix)
        for primaries, transfer, matrix in (points, told)
    ]
    assert Stated(colour=colours[1]) == as_told(Stated(colour=colours[0]))


def test_the_transfer_that_is_preferred_is_the_one_it_must_tell() -> None:
    """HLG as broadcasts have it: 14 in the sequence header, and a message that prefers 18."""
    compatible = replace(HLG, colour=replace(HLG.colour, transfer=14), preferred_transfer=18)
    assert HLG == as_told(compatible)


@pytest.mark.parametrize(
    ("declared", "told"),
    [("-content_light 0,0", 1_000), ("-content_light 700,100", 700), ("", 1_000)],
)
def test_the_peak_it_tells(
    *, declared: str, told: int, run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop
) -> None:
    """What the one above says, of files that ffmpeg made."""
    path = tmp_path / "peak.mkv"
    mastering = "G(13250,34500)B(7500,3000)R(34000,16000)WP(15635,16450)L(10000000,50)"
    run_ffmpeg(
        *("-mastering_display", mastering, *declared.split()),
        *("-f", "lavfi", "-i", "testsrc2=s=320x184:r=50", "-frames:v", "2"),
        *(
            "-vf",
            "format=yuv420p10le,setparams=color_trc=smpte2084:color_primaries=bt2020:colorspace=bt2020nc",
        ),
        *("-c:v", "libx265", "-x265-params", "log-level=none:pools=1", path),
    )
    light = read_mpv(path, stop).hdr.light
    assert light is not None
    assert told == light.max_cll


@pytest.mark.parametrize(
    ("fields", "aspect", "expected"),
    [
        ("tff", Fraction(64, 45), ("top field first", Fraction(64, 45))),
        ("bff", Fraction(16, 15), ("bottom field first", Fraction(16, 15))),
    ],
)
def test_fields_and_the_shape_of_pixels(
    *,
    fields: str,
    aspect: Fraction,
    expected: tuple[str, Fraction],
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """BT.601 pictures of 625 lines in MPEG-2, as ffmpeg made them."""
    path = tmp_path / "fields.ts"
    colour = "color_primaries=bt470bg:color_trc=smpte170m:colorspace=bt470bg"
    run_ffmpeg(
        *("-f", "lavfi", "-i", "testsrc2=s=720x576:r=25", "-frames:v", "3"),
        *("-vf", f"format=yuv420p,setparams=range=limited:{colour}:field_mode={fields},setsar={aspect}"),
        *("-c:v", "mpeg2video", "-flags", "+ildct+ilme", "-seq_disp_ext", "always", "-b:v", "8M", path),
    )
    stated = read_mpv(path, stop)
    assert expected == (stated.scan, stated.pixel_aspect)
    assert (5, 1, 6) == (stated.colour.primaries, stated.colour.transfer, stated.colour.matrix)


def test_what_holds_no_video_is_refused(
    independent_clip: Callable[[str], Path], tmp_path: Path, stop: Stop
) -> None:
    """A sound file, a file of words and a missing one."""
    words = tmp_path / "words.mp4"
    words.write_text("words")
    for path in (independent_clip("sound-only"), words, tmp_path / "missing.mp4"):
        with pytest.raises(UnreadableFile) as caught:
            read_mpv(path, stop)
        assert f"{path}: mpv shows no picture of it" == str(caught.value)
