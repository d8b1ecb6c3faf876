"""Decoders that share no code with ffmpeg's own, on clips whose pictures are known without any coder."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from knownlight.errors import ToolFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat
from knownlight.frame.planes import Planes
from knownlight.readback.decode import decoded_planes
from knownlight.readback.other_decoders import (
    DAV1D,
    INVERSE_TRANSFORM_ERROR,
    LIBAOM,
    LIBDE265,
    LIBMPEG2,
    LIBVPX,
    OPENH264,
    Decoder,
)
from tests.knownlight.conftest import PICTURES, signal_of

DECODERS = {
    "libde265": LIBDE265,
    "openh264": OPENH264,
    "dav1d": DAV1D,
    "libaom": LIBAOM,
    "libvpx": LIBVPX,
    "libmpeg2": LIBMPEG2,
}
GROUP = PICTURES // 2


def usable(name: str) -> Decoder:
    """The decoder; skips where it is absent."""
    decoder = DECODERS[name]
    if decoder.tool.absence:
        pytest.skip(decoder.tool.absence)
    return decoder


def kept(pictures: object) -> list[Planes]:
    """Copies: planes are valid until the next picture is asked for."""
    return [tuple(plane.copy() for plane in planes) for planes in pictures]  # type: ignore[attr-defined]


def assert_equal(expected: list[Planes], actual: list[Planes]) -> None:
    assert len(expected) == len(actual)
    for number, (wanted, got) in enumerate(zip(expected, actual, strict=True)):
        for name, one, other in zip(("Y", "Cb", "Cr"), wanted, got, strict=True):
            assert one.shape == other.shape
            assert np.array_equal(one, other), f"picture {number}: the {name} plane differs"


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("libde265", "hevc-pq.mp4"),
        ("libde265", "hevc-hlg.mkv"),
        ("libde265", "hevc-sdr.ts"),
        ("libvpx", "vp9-pq.webm"),
        ("libvpx", "vp9-sdr.webm"),
    ],
)
@pytest.mark.parametrize("first", [0, GROUP])
def test_lossless_clips_decode_to_their_source(
    *,
    name: str,
    kind: str,
    first: int,
    kind_of_clip: Callable[[str], Path],
    source_pictures: Callable[[str], list[Planes]],
    stop: Stop,
) -> None:
    """All six pictures of either group, 8 and 10 bits, from every container."""
    read = usable(name).decoded(kind_of_clip(kind), signal_of(kind), first=first, count=GROUP, stop=stop)
    assert_equal(source_pictures(kind)[first : first + GROUP], kept(read))


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("openh264", "avc-sdr.mp4"),
        ("openh264", "avc-sdr.ts"),
        ("openh264", "avc-sdr.mkv"),
        ("dav1d", "av1-pq.mp4"),
        ("dav1d", "av1-sdr.mkv"),
        ("libaom", "av1-pq.mp4"),
        ("libaom", "av1-sdr.mkv"),
    ],
)
@pytest.mark.parametrize("first", [0, GROUP])
def test_bit_exact_codecs_decode_to_what_ffmpeg_decodes(
    *,
    name: str,
    kind: str,
    first: int,
    kind_of_clip: Callable[[str], Path],
    all_pictures: Callable[[Path, SignalFormat], list[Planes]],
    stop: Stop,
) -> None:
    """H.264 and AV1 let no sample differ: two decoders agree on clips that are not lossless.

    Those of AV1 were to be: SVT-AV1's lossless setting errs by two codes in predicted pictures of 10 bits.
    """
    path, signal = kind_of_clip(kind), signal_of(kind)
    read = usable(name).decoded(path, signal, first=first, count=GROUP, stop=stop)
    assert_equal(all_pictures(path, signal)[first : first + GROUP], kept(read))


@pytest.mark.parametrize("kind", ["mpeg2-sdr.ts", "mpeg2-sdr.mkv"])
def test_libmpeg2_stays_within_what_its_transform_may_err(
    kind: str,
    kind_of_clip: Callable[[str], Path],
    all_pictures: Callable[[Path, SignalFormat], list[Planes]],
    stop: Stop,
) -> None:
    """The first picture within one error of each decoder, later ones within one more of each a picture."""
    path, signal = kind_of_clip(kind), signal_of(kind)
    read = kept(usable("libmpeg2").decoded(path, signal, first=0, count=GROUP, stop=stop))
    expected = all_pictures(path, signal)[:GROUP]
    assert GROUP == len(read)
    for number, (wanted, got) in enumerate(zip(expected, read, strict=True), 1):
        for one, other in zip(wanted, got, strict=True):
            assert np.abs(one.astype(int) - other).max() <= 2 * INVERSE_TRANSFORM_ERROR * number


@pytest.mark.parametrize(
    ("name", "kind"),
    [
        ("libde265", "hevc-sdr.ts"),
        ("openh264", "avc-sdr.mp4"),
        ("dav1d", "av1-sdr.mkv"),
        ("libaom", "av1-sdr.mkv"),
        ("libvpx", "vp9-sdr.webm"),
        ("libmpeg2", "mpeg2-sdr.ts"),
    ],
)
def test_pictures_of_another_size_are_refused(
    name: str, kind: str, kind_of_clip: Callable[[str], Path], stop: Stop
) -> None:
    """A clip that is held to be twice as wide and 454 rows high cannot be cut into pictures."""
    path, other = kind_of_clip(kind), replace(signal_of(kind), width=640, height=454)
    read = usable(name).decoded(path, other, first=0, count=PICTURES, stop=stop)
    with pytest.raises(ToolFailed) as caught:
        kept(read)
    what = f"{path}: it could not be decoded: its pictures are not of the expected size or depth"
    assert what == str(caught.value)


def test_a_file_of_another_codec_is_refused(kind_of_clip: Callable[[str], Path], stop: Stop) -> None:
    """AV1 is not copied into an elementary stream of HEVC."""
    path = kind_of_clip("av1-sdr.mkv")
    read = usable("libde265").decoded(path, signal_of("av1-sdr.mkv"), first=0, count=1, stop=stop)
    with pytest.raises(ToolFailed, match="its pictures could not be copied out: ffmpeg says: "):
        kept(read)


@pytest.mark.parametrize("name", ["dav1d", "libaom", "libvpx"])
def test_a_decoder_that_fails_is_told(
    name: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    stop: Stop,
) -> None:
    """Bytes of no video in the place of the stream: the decoder's own words are in the message."""
    decoder = usable(name)
    words = tmp_path / "words"
    words.write_bytes(b"words " * 1000)
    monkeypatch.setattr(Decoder, "_copy_out", lambda _self, _path, to, *_rest: words.rename(to))
    read = decoder.decoded(tmp_path / "x.mkv", signal_of("av1-sdr.mkv"), first=0, count=1, stop=stop)
    with pytest.raises(ToolFailed, match=r"x\.mkv: it could not be decoded: [\w.-]+ says: \w"):
        kept(read)


def test_a_seek_is_by_number(
    kind_of_clip: Callable[[str], Path], source_pictures: Callable[[str], list[Planes]], stop: Stop
) -> None:
    """The second group of an HEVC clip and our own decoder's pictures from the same place are the same."""
    path, signal = kind_of_clip("hevc-pq.mp4"), signal_of("hevc-pq.mp4")
    ours = kept(decoded_planes(path, signal, GROUP, stop, start=GROUP))
    theirs = kept(usable("libde265").decoded(path, signal, first=GROUP, count=GROUP, stop=stop))
    assert_equal(ours, theirs)
    assert not np.array_equal(ours[0][0], source_pictures("hevc-pq.mp4")[0][0])
