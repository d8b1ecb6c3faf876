"""SDR colour bars: levels of RP 219, ffmpeg's bars where they agree with it, geometry, refusals."""

import tomllib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import CodeTriple, Region
from knownlight.frame.format import SignalFormat, parse_signal_format
from patterns.registry import build

VECTORS = tomllib.loads((Path(__file__).parents[1] / "vectors" / "bars.toml").read_text("utf-8"))
BARS = VECTORS["bar"]
# ffmpeg rounds each width up to an even one and adds them up: its edges are up to two pixels of 1920 from the
# exact ones, as ours are up to one; its chroma is soft for two samples on either side of an edge.
EDGE = 8


def regions(signal: SignalFormat, **keys: str) -> dict[str, Region]:
    """Every claimed region by name."""
    return {region.name: region for region in build("bars-rp219", keys).claims(signal).regions}


def signal_of(depth: int, components: str = "4:2:0", *, height: int = 1080) -> SignalFormat:
    """An SDR signal."""
    return parse_signal_format(f"{height}p60-sdr", depth=depth, components=components)


@pytest.mark.parametrize("depth", [8, 10, 12])
@pytest.mark.parametrize(
    ("row", "percent", "colours"),
    [
        ("bars", 75, ("white", "yellow", "cyan", "green", "magenta", "red", "blue")),
        ("chroma", 100, ("cyan", "blue")),
        ("ramp", 100, ("yellow", "red")),
    ],
)
def test_colours(row: str, percent: int, colours: tuple[str, ...], depth: int) -> None:
    """Bars of BT.709's matrix, rounded once at each depth (vectors/bars.toml)."""
    found = regions(signal_of(depth))
    expected = {
        bar["colour"]: tuple(bar["ycbcr"])
        for bar in BARS
        if (bar["matrix"], bar["percent"], bar["depth"]) == ("bt709", percent, depth)
    }
    assert [expected[hue] for hue in colours] == [found[f"{row}-{hue}"].code for hue in colours]


@pytest.mark.parametrize(
    ("depth", "expected"),
    [
        (8, (104, 49, 12, 20, 25, 16, 235)),
        (10, (414, 195, 46, 82, 99, 64, 940)),
        (12, (1658, 782, 186, 326, 396, 256, 3760)),
    ],
)
def test_greys(depth: int, expected: tuple[int, ...]) -> None:
    """40 %, 15 %, -2 %, +2 %, +4 %, 0 and 100 % by ITU-T H.273 clause 8.3: not the codes of BT.2111."""
    found = regions(signal_of(depth))
    names = ("bars-left", "dark-left", *(f"dark-{name}" for name in (
        "below-black", "above-black-2", "above-black-4", "black-1", "white"
    )))  # fmt: skip
    assert list(expected) == [found[name].code[0] for name in names]
    assert {1 << depth - 1} == {value for name in names for value in found[name].code[1:]}


@pytest.mark.parametrize(
    ("depth", "minus_i", "plus_i", "plus_q"),
    [
        (8, (61, 153, 99), (61, 103, 157), (35, 174, 152)),
        (10, (244, 612, 395), (245, 412, 629), (141, 697, 606)),
        (12, (976, 2448, 1580), (980, 1648, 2516), (564, 2788, 2424)),
    ],
)
def test_axes(depth: int, minus_i: CodeTriple, plus_i: CodeTriple, plus_q: CodeTriple) -> None:
    """-I, +I and +Q of 10 bits from memory; other depths are that many times theirs, halves rounded up."""
    signal = signal_of(depth)
    assert minus_i == regions(signal)["chroma-minus-i"].code
    assert plus_i == regions(signal, second_row="plus-i")["chroma-plus-i"].code
    assert plus_q == regions(signal, third_row="plus-q")["ramp-plus-q"].code


@pytest.mark.parametrize("written", ["576i25-sdr", "480p59.94-sdr"])
def test_standard_definition_has_the_matrix_of_bt601(written: str) -> None:
    """Bars are those of BT.601-7 (vectors/bars.toml); -I keeps the R', G', B' it has in BT.709.

    By hand from those, 0, 24.6 and 41.3 % of -I: luma 0.299 · 0 + 0.587 · 24.6 + 0.114 · 41.3 = 19.15 %,
    so 64 + 876 · 0.1915 = 231.7; Cb (41.3 - 19.15) / 1.772 = 12.5 %, 624; Cr -19.15 / 1.402, 389.6.
    """
    signal = parse_signal_format(written, depth=10)
    found = regions(signal)
    expected = {
        bar["colour"]: tuple(bar["ycbcr"])
        for bar in VECTORS["standard_bar"]
        if (bar["percent"], bar["depth"]) == (75, 10)
    }
    assert expected == {hue: found[f"bars-{hue}"].code for hue in expected}
    np.testing.assert_allclose((231.7, 624.0, 389.6), found["chroma-minus-i"].code, rtol=0.0, atol=1.0)


def test_axes_lie_on_the_edge_of_rgb() -> None:
    """-I has no red, +Q no green and +I no blue: as R'G'B' one part of each is black, within a code.

    I and Q of full saturation have a part of 0 by the matrix of the NTSC colour difference (from memory).
    """
    signal = signal_of(10, "rgb")
    codes = [
        regions(signal)["chroma-minus-i"].code[0],
        regions(signal, third_row="plus-q")["ramp-plus-q"].code[1],
        regions(signal, second_row="plus-i")["chroma-plus-i"].code[2],
    ]
    np.testing.assert_allclose([64, 64, 64], codes, rtol=0.0, atol=1.0)


def test_agrees_with_ffmpeg(run_ffmpeg: Callable[..., bytes]) -> None:
    """At 8 bits, smptehdbars of ffmpeg has our codes in every part, up to its softened edges.

    Left out: -I and the field beside yellow, where ffmpeg has a -I and a +Q that it moved, and the ramp
    with its flat ends, which it runs over the codes 0 to 255.
    """
    signal = signal_of(8)
    drawn = ("-f", "lavfi", "-i", "smptehdbars=s=1920x1080:r=1", "-frames:v", "1")
    raw = run_ffmpeg(*drawn, "-pix_fmt", "yuv420p", "-f", "rawvideo", "-")
    luma, blue, red = np.split(np.frombuffer(raw, dtype=np.uint8), [1920 * 1080, 1920 * 1080 * 5 // 4])
    planes = luma.reshape(1080, 1920), blue.reshape(540, 960), red.reshape(540, 960)
    compared = 0
    for name, region in regions(signal).items():
        if name in ("chroma-minus-i", "ramp-black", "ramp-low", "ramp-high"):
            continue
        rect = region.rect
        for plane, code, each in zip(planes, region.code, (1, 2, 2), strict=True):
            inside = plane[
                (rect.y + EDGE) // each : (rect.bottom - EDGE) // each,
                (rect.x + EDGE) // each : (rect.right - EDGE) // each,
            ]
            assert [code] == np.unique(inside).tolist(), name
        compared += 1
    assert 25 == compared


@pytest.mark.parametrize("height", [720, 1080, 2160])
def test_geometry(height: int) -> None:
    """SMPTE RP 219 (from memory): sides of an eighth, seven bars in 4:3, rows of 7, 1, 1 and 3 twelfths."""
    signal = signal_of(8, height=height)
    found = regions(signal)
    bars = [
        found[f"bars-{hue}"].rect for hue in ("white", "yellow", "cyan", "green", "magenta", "red", "blue")
    ]
    assert (signal.width // 8, signal.width * 7 // 8) == (bars[0].x, bars[-1].right)
    np.testing.assert_allclose([signal.width * 3 / 28] * 7, [bar.width for bar in bars], rtol=0.0, atol=2.0)
    tops = [found[name].rect.y for name in ("bars-left", "chroma-white", "ramp-red", "dark-left")]
    assert [height * twelfths // 12 for twelfths in (0, 7, 8, 9)] == tops


@pytest.mark.parametrize("third_row", ["black", "plus-q"])
@pytest.mark.parametrize("height", [720, 1080])
def test_parts_fill_the_picture(height: int, third_row: str) -> None:
    """Regions lie on even positions and, with the ramp, cover the picture without a gap or an overlap."""
    signal = signal_of(8, height=height)
    found = regions(signal, third_row=third_row)
    cover = np.zeros((height, signal.width), dtype=int)
    for region in found.values():
        rect = region.rect
        assert {0} == {value % 2 for value in (rect.x, rect.y, rect.width, rect.height)}
        cover[rect.slices] += 1
    low, high = found["ramp-low"].rect, found["ramp-high"].rect
    cover[low.y : low.bottom, low.right : high.x] += 1
    assert (cover == 1).all()


@pytest.mark.parametrize(
    ("written", "code_range", "words"),
    [
        ("720p60-pq", "narrow", "use an sdr signal, or bars-bt2111 for pq and hlg"),
        ("720p60-hlg", "narrow", "use an sdr signal, or bars-bt2111 for pq and hlg"),
        ("720p60-sdr", "full", "use --range narrow"),
    ],
)
def test_what_is_not_of_the_document_is_refused(written: str, code_range: str, words: str) -> None:
    """RP 219 is for SDR, and has a level below black, which full range has no codes for."""
    with pytest.raises(BadInput, match=words):
        build("bars-rp219", {}).claims(parse_signal_format(written, code_range=code_range))
