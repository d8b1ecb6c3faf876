"""Readers that are not the writer, on our clips: true ones pass, and each kind of fault is found by them."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from knownlight.errors import BadInput, Cancelled
from knownlight.ffmpeg import Stop
from knownlight.frame.planes import Planes
from knownlight.metadata.light import HdrMetadata
from knownlight.readback.decode import decoded_planes
from knownlight.verify import parts
from knownlight.verify.other_readers import (
    READERS,
    PixelReader,
    Reader,
    check,
    choose_readers,
    find_readers,
)
from knownlight.verify.proof import Intent
from patterns.registry import build
from tests.knownlight.conftest import PICTURES, signal_of

if TYPE_CHECKING:
    from tests.conftest import Clip, MakeClip

TamperedBox = Callable[[bytes, int, bytes, bytes], Path]
COLOUR_READERS = ["mkvmerge", "gstreamer"]  # of what a container says; mpv obeys the bitstream
BY_NAME = {reader.name: reader for reader in READERS}


def usable(*names: str) -> tuple[Reader, ...]:
    """The readers; skips where one is absent."""
    chosen = tuple(BY_NAME[name] for name in names)
    for reader in chosen:
        if reader.tool.absence:
            pytest.skip(reader.tool.absence)
    return chosen


def intent_of(kind: str, *, error_limit: int) -> Intent:
    """Of a clip that ffmpeg made of its own test picture, for readers of pixels that look at no drawing."""
    pattern, signal = build("window", {}), signal_of(kind)
    return Intent(
        pattern=pattern,
        signal=signal,
        source=pattern.draw(signal),
        delivery="none",
        frames=PICTURES,
        group=PICTURES,
        error_limit=error_limit,
        hdr=HdrMetadata(),
    )


@pytest.mark.parametrize(
    ("pattern", "signal", "delivery", "names"),
    [
        ("window", "720p24-pq", "hevc-mp4", ("mkvmerge", "mpv", "gstreamer", "libde265")),
        ("window", "720p24-hlg", "hevc-mp4", ("mkvmerge", "mpv", "gstreamer", "libde265")),
        ("window", "720p24-sdr", "hevc-mp4", ("mkvmerge", "mpv", "gstreamer", "libde265")),
        ("window", "720p24-sdr", "avc-mp4", ("mkvmerge", "mpv", "gstreamer", "openh264")),
    ],
)
def test_our_clips_pass(
    *,
    pattern: str,
    signal: str,
    delivery: str,
    names: tuple[str, ...],
    shared_clip: "MakeClip",
    stop: Stop,
) -> None:
    """No problem, and the readers of the codec alone are told, with versions."""
    clip = shared_clip(pattern, signal, 48, delivery)
    found = check(clip.path, clip.intent, READERS if usable(*names) else (), stop)
    assert () == found.problems
    assert set(names) <= {reader.partition(" ")[0] for reader in found.readers}
    assert not {"dav1d", "libaom", "libvpx", "libmpeg2"} & {each.split()[0] for each in found.readers}


def test_a_clip_of_several_pictures_passes(shared_clip: "MakeClip", stop: Stop) -> None:
    """Each piece is decoded from the picture where it is shown first."""
    clip = shared_clip("grey-sequence", "720p24-pq", 240)
    assert len(clip.intent.pieces) > 1
    assert () == check(clip.path, clip.intent, usable("libde265"), stop).problems


@pytest.mark.parametrize(
    ("box", "at", "old", "new", "told", "by"),
    [
        (b"stsd", 12, b"hvc1", b"hev1", "tag is hev1, it must be hvc1", ["gstreamer"]),
        (b"colrnclx", 0, b"\0\x09", b"\0\x01", "colour.primaries is 1, it must be 9", COLOUR_READERS),
        (b"colrnclx", 2, b"\0\x10", b"\0\x12", "colour.transfer is 18, it must be 16", COLOUR_READERS),
        (b"colrnclx", 4, b"\0\x09", b"\0\x01", "colour.matrix is 1, it must be 9", COLOUR_READERS),
    ],
    ids=["tag", "primaries", "transfer", "matrix"],
)  # fmt: skip
def test_a_container_that_lies_is_found(
    *,
    box: bytes,
    at: int,
    old: bytes,
    new: bytes,
    told: str,
    by: list[str],
    window: "Clip",
    tampered_box: TamperedBox,
    stop: Stop,
) -> None:
    """By the readers that look at containers; mpv obeys the bitstream, which is as it was."""
    readers = usable("mkvmerge", "mpv", "gstreamer")
    problems = check(tampered_box(box, at, old, new), window.intent, readers, stop).problems
    assert [f"{name}: {told}" for name in by] == list(problems)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ("transfer_characteristics=18", "mpv: colour.transfer is 18, it must be 16"),
        ("video_full_range_flag=1", "mpv: colour.full_range is 1, it must be 0"),
        ("chroma_sample_loc_type=0", "mpv: colour.chroma_location is 0, it must be 2"),
    ],
)
def test_a_bitstream_that_lies_is_found(
    *,
    change: str,
    told: str,
    window: "Clip",
    run_ffmpeg: Callable[..., bytes],
    tmp_path: Path,
    stop: Stop,
) -> None:
    """By the player, even where the container is right."""
    path = tmp_path / "lies.mp4"
    changed = ("-c", "copy", "-bsf:v", f"hevc_metadata={change}", "-tag:v", "hvc1")
    run_ffmpeg("-i", window.path, "-map", "0", *changed, path)
    assert [told] == list(check(path, window.intent, usable("mpv"), stop).problems)


def test_light_levels_are_held_to_what_is_declared(window: "Clip", stop: Stop) -> None:
    """A clip that was to declare one more, and one that was to declare nothing, are found."""
    light = window.intent.hdr.light
    assert light is not None
    more = replace(window.intent.hdr, light=replace(light, max_cll=light.max_cll + 1))
    wrong = check(window.path, replace(window.intent, hdr=more), usable("mpv", "gstreamer"), stop).problems
    words = f"hdr.light.max_cll is {light.max_cll}, it must be {light.max_cll + 1}"
    assert (f"mpv: {words}", f"gstreamer: {words}") == wrong
    none = check(window.path, replace(window.intent, hdr=HdrMetadata()), usable("mpv"), stop).problems
    assert f"mpv: hdr.light.max_cll is {light.max_cll}, nothing must be said" in none


def test_a_code_off_by_one_is_found(shared_clip: "MakeClip", window: "Clip", stop: Stop) -> None:
    """The pixels of a window a code brighter, held against the drawing of another, differ there first."""
    other = shared_clip("window", "720p24-pq", 126, luminance=1010.0)
    held = replace(other.intent, pattern=window.intent.pattern, source=window.intent.source)
    (problem,) = check(other.path, held, usable("libde265"), stop).problems
    assert problem.startswith("libde265: pixels: picture 0: Y plane differs at x=")
    assert "expected 723, got 724" in problem


def _with_a_changed_sample(picture: int, by: int) -> Callable[..., Iterator[Planes]]:
    """Our decoder with the last sample of Cr changed in one picture."""

    def decoded(*arguments: Any, **keys: Any) -> Iterator[Planes]:
        for number, planes in enumerate(decoded_planes(*arguments, **keys)):
            luma, first, second = (plane.copy() for plane in planes)
            second[-1, -1] += by if number == picture else 0
            yield luma, first, second

    return decoded


@pytest.mark.parametrize(
    ("name", "kind", "by", "told"),
    [
        ("openh264", "avc-sdr.mp4", 1, "picture 5: Cr plane differs at x=159 y=91: expected "),
        ("libaom", "av1-pq.mp4", 1, "picture 5: Cr plane differs at x=159 y=91: expected "),
        ("dav1d", "av1-pq.mp4", 1, "picture 5: Cr plane differs at x=159 y=91: expected "),
        ("libvpx", "vp9-pq.webm", 1, "picture 5: Cr plane differs at x=159 y=91: expected "),
        ("libmpeg2", "mpeg2-sdr.ts", 40, "largest error "),
    ],
)
def test_decoders_that_disagree_are_found(
    *,
    name: str,
    kind: str,
    by: int,
    told: str,
    kind_of_clip: Callable[[str], Path],
    monkeypatch: pytest.MonkeyPatch,
    stop: Stop,
) -> None:
    """One sample other than ffmpeg's in a clip that is not exact; MPEG-2's picture 5 may differ by twelve."""
    (reader,) = usable(name)
    path, intent = kind_of_clip(kind), intent_of(kind, error_limit=3)
    assert [] == reader.problems(path, intent, stop)
    monkeypatch.setattr(parts, "decoded_planes", _with_a_changed_sample(5, by))
    (problem,) = reader.problems(path, intent, stop)
    assert problem.startswith(f"{name}: pixels: picture 5: ")
    assert told in problem
    assert problem.endswith("12 are allowed") is (name == "libmpeg2")


def test_missing_pictures_are_found(kind_of_clip: Callable[[str], Path], stop: Stop) -> None:
    """A clip a picture shorter than it was meant to be."""
    (reader,) = usable("libvpx")
    frames = PICTURES + 1
    intent = replace(intent_of("vp9-sdr.webm", error_limit=3), frames=frames, group=frames)
    (problem,) = reader.problems(kind_of_clip("vp9-sdr.webm"), intent, stop)
    told = f"{PICTURES} pictures decode from picture 0 on, {frames} are intended"
    assert f"libvpx: pixels: {told}" == problem


def test_a_file_that_cannot_be_read_is_a_problem_of_every_reader(window: "Clip", tmp_path: Path) -> None:
    """One reader that gives up does not keep the next from looking."""
    path = tmp_path / "words.mp4"
    path.write_text("words")
    found = check(path, window.intent, usable("mkvmerge", "mpv", "libde265"), Stop())
    assert ["mkvmerge", "mpv", "libde265"] == [problem.partition(":")[0] for problem in found.problems]


def test_a_stop_is_no_problem_of_the_file(window: "Clip") -> None:
    """Work that the user ended is not told as a fault."""
    stop = Stop()
    stop.ask()
    with pytest.raises(Cancelled):
        check(window.path, window.intent, usable("libde265"), stop)


def test_readers_are_found_or_their_package_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every reader is either usable or absent with a remedy."""
    absent = "made-up is not installed; Debian has it in made-up"
    monkeypatch.setitem(BY_NAME["libvpx"].tool.__dict__, "absence", absent)
    choice = find_readers()
    assert f"libvpx ({absent})" in choice.absent
    assert "libvpx" not in [reader.name for reader in choice.readers]
    assert len(READERS) == len(choice.readers) + len(choice.absent)
    assert choice == choose_readers("all")


def test_a_choice_by_name_keeps_its_order() -> None:
    """Names with commas; twice is once. The standard readers need no other."""
    usable("mpv", "libde265")
    assert ["mpv", "libde265"] == [each.name for each in choose_readers("mpv, libde265,mpv").readers]
    assert () == choose_readers("standard").readers


def test_a_name_that_is_none_is_refused() -> None:
    """With what was probably meant, and all that there are."""
    with pytest.raises(BadInput) as caught:
        choose_readers("libde26")
    assert (
        "readers: 'libde26' is none; did you mean libde265? Use standard, all, or some of mkvmerge, mpv, "
        "gstreamer, libde265, openh264, dav1d, libaom, libvpx, libmpeg2" == str(caught.value)
    )


def test_a_named_reader_that_is_absent_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Asked for by name, it is not passed by."""
    absent = "vpxdec is not installed; Debian has it in vpx-tools"
    monkeypatch.setitem(BY_NAME["libvpx"].tool.__dict__, "absence", absent)
    with pytest.raises(BadInput) as caught:
        choose_readers("libvpx")
    assert f"readers: libvpx cannot be used: {absent}" == str(caught.value)


def test_each_decoder_reads_its_codec_and_scan(window: "Clip") -> None:
    """Decoders of other codecs are not asked."""
    pixels = [reader for reader in READERS if isinstance(reader, PixelReader)]
    readers = {
        codec: [reader.name for reader in pixels if reader.reads(codec, window.intent)]
        for codec in ("hevc", "avc", "av1", "vp9", "mpeg2")
    }
    assert {
        "hevc": ["libde265"],
        "avc": ["openh264"],
        "av1": ["dav1d", "libaom"],
        "vp9": ["libvpx"],
        "mpeg2": ["libmpeg2"],
    } == readers


@pytest.mark.parametrize(
    ("delivery", "signal", "names"),
    [
        ("hevc-ts", "720p50-hlg", ("mkvmerge", "mpv", "gstreamer", "libde265")),
        ("avc-ts", "1080i25-sdr", ("mkvmerge", "mpv", "gstreamer")),
        ("av1-mp4", "720p50-pq", ("mkvmerge", "mpv", "gstreamer", "dav1d", "libaom")),
        ("av1-mkv", "720p59.94-pq", ("mkvmerge", "mpv", "gstreamer", "dav1d", "libaom")),
        ("vp9-webm", "720p50-pq", ("mkvmerge", "mpv", "gstreamer", "libvpx")),
        ("mpeg2-ts", "576i25-sdr", ("mkvmerge", "mpv", "gstreamer", "libmpeg2")),
    ],
)
def test_every_delivery_passes(
    *, delivery: str, signal: str, names: tuple[str, ...], shared_clip: "MakeClip", stop: Stop
) -> None:
    """Coder and container, fields and standard definition; OpenH264 has no interlaced pictures."""
    clip = shared_clip("window", signal, 24, delivery)
    found = check(clip.path, clip.intent, READERS if usable(*names) else (), stop)
    assert () == found.problems
    assert list(names) == [reader.partition(" ")[0] for reader in found.readers]


@pytest.mark.parametrize(("delivery", "name"), [("mpeg2-ts", "libmpeg2"), ("hevc-ts", "libde265")])
def test_pieces_of_a_transport_stream_are_found_by_number(
    delivery: str, name: str, shared_clip: "MakeClip", stop: Stop
) -> None:
    """Several pictures in a container without an index."""
    clip = shared_clip("grey-sequence", "720p25-sdr", 240, delivery)
    assert len(clip.intent.pieces) > 1
    assert () == check(clip.path, clip.intent, usable(name), stop).problems


def test_odd_names_are_read(
    window: "Clip", tmp_path: Path, monkeypatch: pytest.MonkeyPatch, stop: Stop
) -> None:
    """Signs that tools take for options, lists, escapes or quotes, in a relative path."""
    name = "@-a b#%20'\u00fc,x.mp4"
    (tmp_path / name).write_bytes(window.path.read_bytes())
    monkeypatch.chdir(tmp_path)
    readers = usable("mkvmerge", "mpv", "gstreamer", "libde265")
    assert () == check(Path(name), window.intent, readers, stop).problems
