"""Every delivery of stills: the same bytes each time, and a plain refusal of what it cannot hold."""

from pathlib import Path

import pytest

from knownlight.encode.stills.formats import STILLS, check_stills_here, still_of_suffix, suffix_of
from knownlight.errors import BadInput, CannotCarry
from knownlight.frame.format import parse_signal_format
from tests.knownlight.still_files import MADE, signal_of, write


@pytest.mark.parametrize(("delivery", "transfer", "depth"), MADE)
def test_the_same_bytes_each_time(delivery: str, transfer: str, depth: int, tmp_path: Path) -> None:
    """No date, no number of threads and no address in memory gets into a file."""
    signal = signal_of(transfer, depth)
    for name in ("one", "two"):
        write(delivery, signal, tmp_path / name)

    assert (tmp_path / "one").read_bytes() == (tmp_path / "two").read_bytes()


@pytest.mark.parametrize(
    ("delivery", "transfer", "depth", "code_range", "words"),
    [
        ("avif", "pq", 10, "narrow", r"^avif: .*; use --range full, or png, which states its range$"),
        ("heic", "pq", 10, "narrow", r"^heic: .* use --range full, or png"),
        ("jxl", "hlg", 10, "narrow", r"^jxl: JPEG XL has full range only; use --range full"),
        (
            "exr",
            "pq",
            10,
            "narrow",
            r"^exr: codes below black .* have no light of their own; use --range full",
        ),
        ("tif", "sdr", 8, "narrow", r"^tif: .* use --range full"),
        ("jpg", "sdr", 8, "narrow", r"^jpg: JPEG files have full range only; use --range full"),
        ("jpg", "pq", 10, "full", r"^jpg carries 8-bit sdr and srgb, not pq; use avif or png"),
        ("jpg", "hlg", 10, "full", r"^jpg carries 8-bit sdr and srgb, not hlg; use avif or png"),
        ("jpg", "sdr", 10, "full", r"^jpg carries 8 bits, not 10; use --depth 8, or avif or png$"),
    ],
)
def test_what_a_format_cannot_hold_is_refused(
    delivery: str, transfer: str, depth: int, code_range: str, words: str
) -> None:
    """Before any work, with what does."""
    with pytest.raises(CannotCarry, match=words):
        STILLS[delivery].refuse(signal_of(transfer, depth, code_range))


@pytest.mark.parametrize("delivery", STILLS)
@pytest.mark.parametrize("components", ["4:2:0", "4:4:4"])
def test_other_codes_than_rgb_are_refused(delivery: str, components: str) -> None:
    """Pictures for viewers hold R'G'B'."""
    signal = parse_signal_format("720p60-sdr", code_range="full", components=components)

    with pytest.raises(CannotCarry, match=f"^{delivery}: stills hold R'G'B' codes, not {components}; use "):
        STILLS[delivery].refuse(signal)


@pytest.mark.parametrize(
    ("name", "delivery"),
    [("a.PNG", "png"), ("a.tiff", "tif"), ("a.jpeg", "jpg"), ("a.heif", "heic"), ("b.x.jxl", "jxl")],
)
def test_the_ending_chooses(name: str, delivery: str) -> None:
    """In capitals too, and by a longer spelling."""
    assert delivery == still_of_suffix(Path(name)).name


def test_other_endings_are_refused() -> None:
    """With those that there are."""
    with pytest.raises(BadInput, match=r"^--to a\.gif: stills end in one of \.png, \.avif, \.heic, \.jxl, "):
        still_of_suffix(Path("a.gif"))
    with pytest.raises(BadInput, match=r"^delivery 'gif' is not known; use one of hevc-mp4, .*png, avif"):
        suffix_of("gif")
    assert (".mp4", ".tif") == (suffix_of("hevc-mp4"), suffix_of("tif"))


def test_a_missing_library_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """With the formats that can be made instead."""
    monkeypatch.setattr("knownlight.encode.stills.heic.find_spec", lambda _name: None)

    with pytest.raises(
        CannotCarry, match=r"^heic: the package pillow-heif is not installed; use png or avif"
    ):
        check_stills_here(["png", "heic"])
    check_stills_here(["png", "avif", "jxl"])


@pytest.mark.parametrize("name", ["jxl", "tif", "jpg"])
def test_colour_of_standard_definition_is_refused_where_it_cannot_be_stated(name: str) -> None:
    """ICC profiles and JPEG XL's encodings are of BT.709 here; PNG, AVIF, HEIC and OpenEXR name any."""
    signal = parse_signal_format("576p50-sdr", components="rgb", code_range="full")
    words = f"^{name}: it cannot state bt601-625 colour; use png or 720p50-sdr$"
    with pytest.raises(CannotCarry, match=words):
        STILLS[name].refuse(signal)
