"""The proof of a still passes for every format and kind of signal, and finds whatever was changed."""

from dataclasses import replace
from pathlib import Path

import pytest

from knownlight.encode.stills.formats import STILLS
from knownlight.errors import UnreadableFile
from knownlight.ffmpeg import Stop
from knownlight.metadata.light import ContentLight, HdrMetadata
from knownlight.verify.proof import Proof
from knownlight.verify.still import StillIntent, prove_still
from patterns.registry import build
from tests.knownlight.still_files import MADE, signal_of, with_one_sample_changed, write

_EXACT = [name for name, delivery in STILLS.items() if delivery.error_limit == 0]
_WITH_HDR = ("png", "avif", "heic")


def _problems(path: Path, intent: StillIntent, stop: Stop) -> tuple[str, ...]:
    """What the proof finds, or why it cannot even begin."""
    try:
        return prove_still(path, intent, stop).problems
    except UnreadableFile as error:
        return (str(error),)


@pytest.mark.parametrize(("delivery", "transfer", "depth"), MADE)
def test_a_still_passes(delivery: str, transfer: str, depth: int, tmp_path: Path, stop: Stop) -> None:
    """Every format with every kind of signal that it holds; light as claimed where pixels are exact."""
    signal = signal_of(transfer, depth)
    intent = write(delivery, signal, tmp_path / "a")
    proof = prove_still(tmp_path / "a", intent, stop)
    claimed = intent.pattern.claims(signal).light(signal.encoding)

    assert () == proof.problems
    assert 1 == proof.decoded_frames
    assert proof.largest_error <= (0 if delivery in _EXACT else 1)
    assert claimed is not None
    assert claimed.max_cll == pytest.approx(proof.light.max_cll, rel=1e-12 if delivery in _EXACT else 0.02)


@pytest.mark.parametrize("transfer", ["sdr", "pq", "hlg"])
def test_a_narrow_png_passes(transfer: str, tmp_path: Path, stop: Stop) -> None:
    """The one format that states its range."""
    intent = write("png", signal_of(transfer, code_range="narrow"), tmp_path / "a")

    assert () == prove_still(tmp_path / "a", intent, stop).problems


@pytest.mark.parametrize("delivery", _EXACT)
def test_one_sample_one_code_off_is_found(delivery: str, tmp_path: Path, stop: Stop) -> None:
    """With its place and the two codes."""
    signal = signal_of("pq")
    frame = build("bars-bt471", {}).draw(signal).frame(0)
    intent = write(delivery, signal, tmp_path / "a", frame=with_one_sample_changed(frame, -1))
    proof = prove_still(tmp_path / "a", intent, stop)

    assert (
        "pixels: frame 0: G plane differs at x=101 y=203: expected 1023, got 1022 (1 of 921,600 samples)"
    ) in proof.problems
    assert (1, 1) == (proof.largest_error, proof.largest_region_error)


def test_a_jpeg_further_off_than_it_may_be_is_found(tmp_path: Path, stop: Stop) -> None:
    """A sample forty codes off, and whole regions three codes off."""
    signal = signal_of("srgb")
    pattern = build("grey-steps", {})
    frame = pattern.draw(signal).frame(0)
    intent = write("jpg", signal, tmp_path / "a", pattern=pattern, frame=with_one_sample_changed(frame, 40))
    problems = prove_still(tmp_path / "a", intent, stop).problems
    assert any(problem.startswith("pixels: largest error ") for problem in problems), problems

    lowered = frame.planes[0].copy()
    lowered[lowered > 100] -= 3
    planes = (lowered, lowered, lowered)
    write("jpg", signal, tmp_path / "b", pattern=pattern, frame=replace(frame, planes=planes))
    problems = prove_still(tmp_path / "b", intent, stop).problems
    assert ("pixels: a claimed region is 3 codes off, 1 are allowed",) == problems


@pytest.mark.parametrize("delivery", STILLS)
def test_another_kind_of_signal_is_found(delivery: str, tmp_path: Path, stop: Stop) -> None:
    """A file of the same codes that says sRGB where BT.1886 is meant: by its header, whatever the pixels."""
    meant = write(delivery, signal_of("sdr"), tmp_path / "a")
    frame = meant.pattern.draw(meant.signal).frame(0)
    other = signal_of("srgb")
    write(delivery, other, tmp_path / "b", frame=replace(frame, signal=other))
    problems = prove_still(tmp_path / "b", meant, stop).problems

    assert () == prove_still(tmp_path / "a", meant, stop).problems
    assert any(problem.startswith(f"{delivery}: ") for problem in problems), problems


@pytest.mark.parametrize("delivery", [name for name in _EXACT if name != "exr"])
def test_another_depth_is_found(delivery: str, tmp_path: Path, stop: Stop) -> None:
    """A 12-bit still read as one of ten bits."""
    write(delivery, signal_of("pq", 12), tmp_path / "a")
    meant = write(delivery, signal_of("pq", 10), tmp_path / "b")

    problems = prove_still(tmp_path / "a", meant, stop).problems
    assert any(problem.startswith("pixels: ") for problem in problems), problems


def test_light_of_no_code_is_found(tmp_path: Path, stop: Stop) -> None:
    """An OpenEXR of 12-bit codes has light between that of two 10-bit ones; its own words differ too."""
    write("exr", signal_of("pq", 12), tmp_path / "a")
    meant = write("exr", signal_of("pq", 10), tmp_path / "b")
    problems = prove_still(tmp_path / "a", meant, stop).problems

    assert problems[0].startswith("exr: words is Linear light in cd/m2 of R'G'B' codes of 12 bits")
    assert any(problem.endswith(" samples are not the light of a code") for problem in problems), problems


@pytest.mark.parametrize("delivery", _WITH_HDR)
def test_another_declaration_is_found(delivery: str, tmp_path: Path, stop: Stop) -> None:
    """Another mastering display; none at all; light levels that are not the pixels'."""
    intent = write(delivery, signal_of("pq"), tmp_path / "a")
    hdr = intent.hdr
    assert hdr.mastering is not None
    brighter = replace(hdr.mastering, max_luminance=40_000_000)
    for wanted in (replace(hdr, mastering=brighter), HdrMetadata()):
        problems = prove_still(tmp_path / "a", replace(intent, hdr=wanted), stop).problems
        assert any(problem.startswith(f"{delivery}: hdr.mastering.") for problem in problems), problems


@pytest.mark.parametrize("delivery", _WITH_HDR)
def test_light_levels_that_are_not_the_pixels_are_found(delivery: str, tmp_path: Path, stop: Stop) -> None:
    """A file whose levels are those of another picture, as it is meant to have them."""
    bright, dark = build("window", {"luminance": 1000}), build("window", {"luminance": 100})
    signal = signal_of("pq")
    other = write(delivery, signal, tmp_path / "b", pattern=bright, frame=dark.draw(signal).frame(0))
    problems = prove_still(tmp_path / "b", replace(other, pattern=dark), stop).problems

    assert any(problem.startswith("light: MaxCLL is declared as 99") for problem in problems), problems


@pytest.mark.parametrize("delivery", ["avif", "heic"])
def test_mediainfo_is_a_reader_of_its_own(delivery: str, tmp_path: Path, stop: Stop) -> None:
    """It finds a wrong declaration too."""
    intent = write(delivery, signal_of("pq"), tmp_path / "a")
    wanted = replace(intent, hdr=replace(intent.hdr, light=ContentLight(max_cll=1, max_fall=1)))
    proof = prove_still(tmp_path / "a", wanted, stop)

    assert any(problem.startswith("MediaInfo: hdr.light.max_cll is ") for problem in proof.problems)
    assert any(reader.startswith("MediaInfo") for reader in proof.readers)


@pytest.mark.parametrize("delivery", STILLS)
@pytest.mark.parametrize("part", [0.5, 0.98])
def test_a_cut_file_is_found(delivery: str, part: float, tmp_path: Path, stop: Stop) -> None:
    """Whatever is missing at the end."""
    intent = write(delivery, signal_of("srgb"), tmp_path / "a")
    data = (tmp_path / "a").read_bytes()
    (tmp_path / "a").write_bytes(data[: int(len(data) * part)])

    assert _problems(tmp_path / "a", intent, stop)


@pytest.mark.parametrize("delivery", STILLS)
@pytest.mark.parametrize("part", [0.35, 0.5, 0.65])
def test_flipped_bits_are_found(delivery: str, part: float, tmp_path: Path, stop: Stop) -> None:
    """Of a picture that fills its file, so that the place lies in coded samples."""
    intent = write(delivery, signal_of("srgb"), tmp_path / "a", pattern=build("picture", {}))
    data = bytearray((tmp_path / "a").read_bytes())
    for offset in range(8):
        data[int(len(data) * part) + offset] ^= 0x55
    (tmp_path / "a").write_bytes(data)

    assert _problems(tmp_path / "a", intent, stop)


def test_readers_are_not_the_writer(tmp_path: Path, stop: Stop) -> None:
    """Each proof names who read: nobody reads what it wrote, but libjxl what another build of it did."""
    writers = {"avif": "libavif", "heic": "libheif", "exr": "OpenEXR (", "tif": "tifffile", "jpg": "Pillow"}
    found: dict[str, Proof] = {}
    for delivery in STILLS:
        intent = write(delivery, signal_of("srgb"), tmp_path / delivery)
        found[delivery] = prove_still(tmp_path / delivery, intent, stop)

    for delivery, writer in writers.items():
        assert not any(writer in reader for reader in found[delivery].readers)
    assert "libjxl (imagecodecs)" in found["jxl"].readers
    assert {2, 3} == {len(proof.readers) for proof in found.values()}
