"""HDR colour bars: codes of BT.2111, colours against colour-science, the nine dimensions, what is refused."""

import tomllib
import warnings
from pathlib import Path

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.claims import CodeTriple
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from patterns.registry import build

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

BARS = tomllib.loads((Path(__file__).parents[1] / "vectors" / "bars.toml").read_text("utf-8"))["bar"]
HUES = ("yellow", "cyan", "green", "magenta", "red", "blue")
# The Recommendation contradicts itself: its white of 58 % PQ and its BT.709 colours differ by a code of 10
# bits and by three of 12; four times a code of 10 bits is up to two from one that is rounded at 12.
NEAR = {10: 1, 12: 4}


def signal_of(
    transfer: str, depth: int, code_range: str = "narrow", *, height: int = 1080, components: str = "rgb"
) -> SignalFormat:
    """A signal; R'G'B' unless said, as the Recommendation's tables are."""
    return parse_signal_format(
        f"{height}p50-{transfer}", depth=depth, code_range=code_range, components=components
    )


def codes(signal: SignalFormat) -> dict[str, CodeTriple]:
    """The codes of every claimed region."""
    return {region.name: region.code for region in build("bars-bt2111", {}).claims(signal).regions}


def rects(signal: SignalFormat) -> dict[str, Rect]:
    """The place of every claimed region."""
    return {region.name: region.rect for region in build("bars-bt2111", {}).claims(signal).regions}


@pytest.mark.parametrize(
    ("transfer", "depth", "code_range", "expected"),
    [
        ("hlg", 10, "narrow", (940, 721, 414, 64, 4, 1019, 48, 80, 99)),
        ("hlg", 12, "narrow", (3760, 2884, 1656, 256, 16, 4076, 192, 320, 396)),
        ("pq", 10, "narrow", (940, 573, 414, 64, 4, 1019, 48, 80, 99)),
        ("pq", 12, "narrow", (3760, 2292, 1656, 256, 16, 4076, 192, 320, 396)),
    ],
)
def test_levels_of_narrow_range(
    transfer: str, depth: int, code_range: str, expected: tuple[int, ...]
) -> None:
    """ITU-R BT.2111-3 as known second-hand; 2292 and 16/4076 of 12 bits are from memory."""
    found = codes(signal_of(transfer, depth, code_range))
    names = (
        "full-white", "reference-white", "reference-left", "dark-black-1", "step-minus-7", "step-109",
        "dark-below-black", "dark-above-black-2", "dark-above-black-4",
    )  # fmt: skip
    assert [(code, code, code) for code in expected] == [found[name] for name in names]


@pytest.mark.parametrize(
    ("depth", "expected"), [(10, (1023, 593, 409, 0, 0, 19, 41)), (12, (4095, 2375, 1638, 0, 0, 75, 164))]
)
def test_levels_of_full_range(depth: int, expected: tuple[int, ...]) -> None:
    """ITU-R BT.2111-3 as known second-hand (2375 from memory); black stands where no code is below it."""
    found = codes(signal_of("pq", depth, "full"))
    names = (
        "full-white", "reference-white", "reference-left", "dark-black-1", "dark-below-black",
        "dark-above-black-2", "dark-above-black-4",
    )  # fmt: skip
    assert [(code, code, code) for code in expected] == [found[name] for name in names]
    assert not {"step-minus-7", "step-109"} & set(found)


@pytest.mark.parametrize("code_range", ["narrow", "full"])
def test_steps_are_tens_of_percent(code_range: str) -> None:
    """ITU-T H.273 clause 8.3 at 10 bits: 876 n / 10 + 64 or 1023 n / 10, halves away from zero."""
    found = codes(signal_of("pq", 10, code_range))
    narrow = (64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940)
    full = (0, 102, 205, 307, 409, 512, 614, 716, 818, 921, 1023)
    expected = narrow if code_range == "narrow" else full
    assert list(expected) == [found[f"step-{10 * tenth}"][0] for tenth in range(11)]


@pytest.mark.parametrize(
    ("code_range", "expected"),
    [
        ("narrow", {"magenta": (536, 361, 564), "red": (530, 350, 256), "blue": (317, 236, 562)}),
        (
            "full",
            {
                "yellow": (589, 592, 370), "cyan": (491, 586, 592), "green": (478, 584, 355),
                "magenta": (551, 347, 584), "red": (544, 334, 225), "blue": (296, 201, 582),
            },
        ),
    ],
)  # fmt: skip
def test_bt709_triples_known_of_the_table(code_range: str, expected: dict[str, CodeTriple]) -> None:
    """The nine PQ triples of ITU-R BT.2111-3 that are known second-hand."""
    found = codes(signal_of("pq", 10, code_range))
    assert expected == {hue: found[f"dark-bt709-{hue}"] for hue in expected}


@pytest.mark.parametrize("depth", [10, 12])
@pytest.mark.parametrize(("transfer", "code_range"), [("hlg", "narrow"), ("pq", "narrow"), ("pq", "full")])
def test_bt709_colours_have_bt709_light(transfer: str, depth: int, code_range: str) -> None:
    """BT.709 corners at 75 % HLG or 58 % PQ in BT.2020 primaries, by colour-science, to the limits above."""
    found = codes(signal_of(transfer, depth, code_range))
    spaces = colour.RGB_COLOURSPACES["ITU-R BT.709"], colour.RGB_COLOURSPACES["ITU-R BT.2020"]
    for hue in HUES:
        corner = np.array(
            [hue in "red yellow magenta", hue in "yellow green cyan", hue in "cyan blue magenta"]
        )
        wide = colour.RGB_to_RGB(corner.astype(float), *spaces, chromatic_adaptation_transform=None)
        if transfer == "pq":
            signal = colour.models.eotf_inverse_ST2084(wide * colour.models.eotf_ST2084(0.58))
        else:
            scene = colour.models.oetf_inverse_BT2100_HLG(0.75)
            with np.errstate(invalid="ignore"):  # it takes the logarithm on both sides of its case
                signal = colour.models.oetf_BT2100_HLG(wide * scene)
        black, white = (0, 2**depth - 1) if code_range == "full" else (16 << depth - 8, 235 << depth - 8)
        expected = black + signal * (white - black)
        np.testing.assert_allclose(expected, found[f"dark-bt709-{hue}"], rtol=0.0, atol=NEAR[depth] + 0.5)


@pytest.mark.parametrize("depth", [10, 12])
@pytest.mark.parametrize(("row", "percent"), [("full", 100), ("reference", 75)])
def test_bars_in_ycbcr(row: str, percent: int, depth: int) -> None:
    """The HLG bars as Y'CbCr are those of BT.2020's matrix (vectors/bars.toml): 75 % is a whole code here."""
    found = codes(signal_of("hlg", depth, components="4:2:0"))
    expected = {
        bar["colour"]: tuple(bar["ycbcr"])
        for bar in BARS
        if (bar["matrix"], bar["percent"], bar["depth"]) == ("bt2020", percent, depth)
    }
    assert len(HUES) == len(expected)
    assert expected == {hue: found[f"{row}-{hue}"] for hue in expected}


@pytest.mark.parametrize(("height", "times"), [(1080, 1), (2160, 2), (4320, 4)])
def test_dimensions(height: int, times: int) -> None:
    """The nine dimensions of ITU-R BT.2111 (from memory; their sums add up), doubled with the picture."""
    found = rects(signal_of("pq", 10, height=height))
    bars = ["left", *("white", "yellow", "cyan", "green", "magenta", "red", "blue"), "right"]
    dark = ["black-1", "below-black", "black-2", "above-black-2", "black-3", "above-black-4", "black-4"]
    for row in ("full", "reference"):
        widths = [found[f"{row}-{bar}"].width for bar in bars]
        assert [times * width for width in (240, 206, 206, 206, 204, 206, 206, 206, 240)] == widths
    widths = [found[f"dark-{part}"].width for part in (*dark, "white", "black-5")]
    assert [times * width for width in (136, 70, 68, 70, 68, 70, 238, 438, 282)] == widths
    assert {80 * times} == {found[f"dark-bt709-{hue}"].width for hue in HUES}
    heights = [found[f"{row}-left"].height for row in ("full", "reference", "step", "ramp")]
    assert [90 * times, 540 * times, 90 * times, 90 * times] == heights
    assert (810 * times, 270 * times) == (found["dark-white"].y, found["dark-white"].height)


@pytest.mark.parametrize("height", [720, 1080])
@pytest.mark.parametrize("code_range", ["narrow", "full"])
def test_parts_fill_the_picture(height: int, code_range: str) -> None:
    """Regions lie on even positions and, with the ramp, cover the picture without a gap or an overlap."""
    signal = signal_of("pq", 10, code_range, height=height)
    found = rects(signal)
    cover = np.zeros((height, signal.width), dtype=int)
    for rect in found.values():
        assert {0} == {value % 2 for value in (rect.x, rect.y, rect.width, rect.height)}
        cover[rect.slices] += 1
    low, high = found["ramp-low"], found["ramp-high"]
    cover[low.y : low.bottom, low.right : high.x] += 1
    assert (cover == 1).all()


def test_ramp_has_a_column_for_each_code() -> None:
    """At 1920 and 10 bits the narrow ramp is 4, 5 ... 1019, a column each (from memory), its ends held."""
    signal = signal_of("hlg", 10, components="4:2:0")
    luma, _, _ = build("bars-bt2111", {}).draw(signal).frame(0).planes
    row = luma[765].tolist()
    assert [64] * 240 + [4] * 212 + list(range(4, 1020)) + [1019] * 212 + [64] * 240 == row


@pytest.mark.parametrize(
    ("written", "depth", "code_range", "words"),
    [
        ("720p60-sdr", 10, "narrow", "use pq or hlg, or bars-rp219 for SDR"),
        ("720p60-pq", 8, "narrow", "no codes of 8 bits; use --depth 10 or 12"),
        ("720p60-hlg", 8, "narrow", "no codes of 8 bits; use --depth 10 or 12"),
        ("720p60-hlg", 10, "full", "no HLG codes of full range; use --range narrow"),
    ],
)
def test_what_has_no_table_is_refused(written: str, depth: int, code_range: str, words: str) -> None:
    """BT.2111 has tables for HLG at narrow range and PQ at both, of 10 and 12 bits."""
    signal = parse_signal_format(written, depth=depth, code_range=code_range)
    with pytest.raises(BadInput, match=words):
        build("bars-bt2111", {}).claims(signal)
