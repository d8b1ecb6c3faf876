"""What mkvmerge says of containers: the facts that independent files were made with."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from knownlight.errors import UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.metadata.colour import ColourDescription
from knownlight.metadata.light import HdrMetadata
from knownlight.readback.mkvmerge import TOOL, read_mkvmerge
from knownlight.readback.stated import Stated
from tests.knownlight.conftest import HEIGHT, P3_1000, WIDTH

pytestmark = pytest.mark.skipif(bool(TOOL.absence), reason=TOOL.absence)

# H.273 Tables 2, 3 and 4: BT.2020 is 9 and 9, PQ 16, HLG 18, BT.709 1.
PQ = ColourDescription(primaries=9, transfer=16, matrix=9, full_range=0, chroma_location=2)
HLG = ColourDescription(primaries=9, transfer=18, matrix=9, full_range=0, chroma_location=2)
SDR = ColourDescription(primaries=1, transfer=1, matrix=1, full_range=0, chroma_location=0)
NTSC_60 = Fraction(60_000, 1_001)


@pytest.mark.parametrize(
    ("kind", "codec", "tag", "rate", "colour", "hdr"),
    [
        ("hevc-pq.mkv", "hevc", "V_MPEGH/ISO/HEVC", NTSC_60, PQ, P3_1000),
        ("hevc-hlg.mkv", "hevc", "V_MPEGH/ISO/HEVC", Fraction(50), HLG, HdrMetadata()),
        ("avc-sdr.mkv", "avc", "V_MPEG4/ISO/AVC", Fraction(25), SDR, HdrMetadata()),
        ("av1-pq.mkv", "av1", "V_AV1", NTSC_60, PQ, P3_1000),
        ("vp9-pq.webm", "vp9", "V_VP9", NTSC_60, PQ, P3_1000),
        ("vp9-sdr.webm", "vp9", "V_VP9", Fraction(25), SDR, HdrMetadata()),
        ("mpeg2-sdr.mkv", "mpeg2", "V_MPEG2", Fraction(25), SDR, HdrMetadata()),
    ],
)
def test_matroska_is_told_whole(
    *,
    kind: str,
    codec: str,
    tag: str,
    rate: Fraction,
    colour: ColourDescription,
    hdr: HdrMetadata,
    kind_of_clip: Callable[[str], Path],
    stop: Stop,
) -> None:
    """Codec, size, rate, colour and static metadata are those given to ffmpeg's encoders."""
    expected = Stated(
        codec=codec,
        tag=tag,
        width=WIDTH,
        height=HEIGHT,
        rate=rate,
        pixel_aspect=Fraction(1),
        colour=colour,
        hdr=hdr,
    )
    assert expected == read_mkvmerge(kind_of_clip(kind), stop)


@pytest.mark.parametrize(
    ("kind", "codec", "points"), [("hevc-pq.mp4", "hevc", (9, 16, 9)), ("avc-sdr.mp4", "avc", (1, 1, 1))]
)
def test_mp4_is_told_by_size_and_three_points(
    kind: str, codec: str, points: tuple[int, int, int], kind_of_clip: Callable[[str], Path], stop: Stop
) -> None:
    """Of MP4 it tells neither range nor light levels: its blind spots are what it leaves out."""
    primaries, transfer, matrix = points
    colour = ColourDescription(primaries=primaries, transfer=transfer, matrix=matrix)
    expected = Stated(codec=codec, width=WIDTH, height=HEIGHT, colour=colour)
    assert expected == read_mkvmerge(kind_of_clip(kind), stop)


@pytest.mark.parametrize(("kind", "codec"), [("hevc-pq.ts", "hevc"), ("mpeg2-sdr.ts", "mpeg2")])
def test_a_transport_stream_is_told_by_size(
    kind: str, codec: str, kind_of_clip: Callable[[str], Path], stop: Stop
) -> None:
    """Codec and size, nothing else."""
    assert Stated(codec=codec, width=WIDTH, height=HEIGHT) == read_mkvmerge(kind_of_clip(kind), stop)


@pytest.mark.parametrize(
    ("element", "field", "told"),
    [
        ("55ba8110", "transfer", 0x12),
        ("55b98101", "full_range", 1),
        ("55b78101", "chroma_location", None),
    ],
    ids=["transfer", "range", "siting"],
)
def test_a_changed_element_is_told(
    *,
    element: str,
    field: str,
    told: int | None,
    kind_of_clip: Callable[[str], Path],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """A Matroska colour element (id, size, value; RFC 9559) with another value: the field changes too."""
    whole = kind_of_clip("hevc-pq.mkv").read_bytes()
    old = bytes.fromhex(element)
    assert 1 == whole.count(old)
    path = tmp_path / "changed.mkv"
    path.write_bytes(whole.replace(old, old[:-1] + bytes([0x12 if field == "transfer" else 2])))
    assert told == getattr(read_mkvmerge(path, stop).colour, field)


def test_the_shape_of_pixels(run_ffmpeg: Callable[..., bytes], tmp_path: Path, stop: Stop) -> None:
    """720 x 576 to be shown at 16 : 9."""
    path = tmp_path / "wide.mkv"
    source = ("-f", "lavfi", "-i", "testsrc2=s=720x576:r=25", "-frames:v", "2")
    run_ffmpeg(*source, "-vf", "format=yuv420p,setsar=64/45", "-c:v", "libx264", path)
    assert Fraction(64, 45) == read_mkvmerge(path, stop).pixel_aspect


def test_what_holds_no_video_is_refused(
    independent_clip: Callable[[str], Path], tmp_path: Path, stop: Stop
) -> None:
    """A sound file, a file of words and a missing one."""
    words = tmp_path / "words.mkv"
    words.write_text("words")
    for path in (independent_clip("sound-only"), words, tmp_path / "missing.mkv"):
        with pytest.raises(UnreadableFile) as caught:
            read_mkvmerge(path, stop)
        assert f"{path}: mkvmerge finds no video in it" == str(caught.value)
