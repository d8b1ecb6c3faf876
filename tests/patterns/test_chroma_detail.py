"""Chroma detail: luma by BT.709-6 and BT.2020-2, places of samples by H.265 Figure E.1 (from memory)."""

from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from knownlight.signal.encoding import Components
from patterns.chroma_detail import LATE
from patterns.patches import overlap
from patterns.registry import build
from patterns.tiled import TiledLayout
from tests.patterns.pixels import SIGNALS, assert_areas_are_pixels

SDR, PQ, SDR_444 = SIGNALS["sdr-8"], SIGNALS["pq-10"], SIGNALS["sdr-8-444"]
# Where the first chroma sample of two by two pixels sits, in luma samples from the first: type 0 (left) is
# that of BT.709, type 2 (top left) that of BT.2020 and BT.2100. At 4:4:4 each sample sits on its pixel.
TYPE_0, TYPE_2, FULL = (
    {"down": 0.0, "across": 0.5},
    {"down": 0.0, "across": 0.0},
    {"down": 0.0, "across": 0.0},
)
CLOSE = 0.02  # pixels: codes of 8 bits place the middle of an edge no better


def layout_in(signal: SignalFormat) -> TiledLayout:
    """The layout in a signal."""
    layout = build("chroma-detail", {}).layout(signal)  # type: ignore[attr-defined]
    assert isinstance(layout, TiledLayout)
    return layout


def parts(signal: SignalFormat, rect: Rect) -> list[NDArray[np.integer]]:
    """What each plane has of a rectangle."""
    planes = build("chroma-detail", {}).draw(signal).frame(0).planes
    return [
        plane[rect.y // each : rect.bottom // each, rect.x // each : rect.right // each]
        for plane, each in ((plane, signal.width // plane.shape[1]) for plane in planes)
    ]


@pytest.mark.parametrize("kind", SIGNALS)
def test_lines_are_so_many_chroma_samples_wide(kind: str) -> None:
    """In each row: 1, 2 and 4 samples down, then across, with the colour of the patches at the row's end."""
    signal = SIGNALS[kind]
    layout = layout_in(signal)
    for row in range(3):
        first, second = (patch.code for patch in layout.patches[2 * row : 2 * row + 2])
        for place, samples in enumerate((1, 2, 4, 1, 2, 4)):
            field = layout.fields[6 * row + place]
            chroma = parts(signal, field.rect)[2]
            line = chroma[0] if place < 3 else chroma[:, 0]
            expected = [first[2]] * samples + [second[2]] * samples
            assert expected == line[: 2 * samples].tolist()
            np.testing.assert_array_equal(line[: -2 * samples], line[2 * samples :])
            assert (chroma == (line if place < 3 else line[:, np.newaxis])).all()


# Red, blue, magenta and green of SDR at 100 %, 8 bits, by hand with KR 0.2126, KB 0.0722: Y' of magenta is
# 0.2848, 16 + 219 x 0.2848 = 78.4; green of that luma is G' 0.2848 / 0.7152 = 0.3982, Cb and Cr of -0.2848 /
# 1.8556 and -0.2848 / 1.5748 are 128 - 34.4 and 128 - 40.5; magenta's 128 + 86.3 and 128 + 101.7.
def test_codes_of_the_colours() -> None:
    """Both colours of the third row have one luma; red and blue have those of full SDR bars."""
    codes = {patch.name: patch.code for patch in layout_in(SDR).patches}
    assert (63, 102, 240) == codes["red-blue-upper"]
    assert (32, 240, 118) == codes["red-blue-lower"]
    assert (16, 128, 128) == codes["red-black-lower"]
    assert (78, 214, 230) == codes["magenta-green-upper"]
    assert (78, 94, 87) == codes["magenta-green-lower"]


@pytest.mark.parametrize("kind", ["sdr-8", "pq-10", "hlg-10", "sdr-8-444"])
def test_magenta_and_green_have_no_luma_edge(kind: str) -> None:
    """Nothing but colour tells the lines of the third row."""
    for field in layout_in(SIGNALS[kind]).fields[12:18]:
        assert 1 == np.unique(parts(SIGNALS[kind], field.rect)[0]).size


# 0.322 of the 1750 codes from black to 2006 are 563.5: of both colours, and float64 rounds them apart.
def test_luma_between_two_codes_is_one_code() -> None:
    """Both colours go the same way where their luma lies in the middle between two codes."""
    signal = parse_signal_format("720p60-pq", depth=12, components="4:4:4")
    layout = build("chroma-detail", {"code": 2006}).layout(signal)  # type: ignore[attr-defined]
    assert 1 == len({patch.code[0] for patch in layout.patches if patch.name.startswith("magenta")})


def test_luma_of_magenta_and_green_is_equal_in_rgb() -> None:
    """In R'G'B' their luma (KR 0.2627, KB 0.0593 of BT.2020-2) is equal within one code of 12 bits."""
    signal = SIGNALS["hlg-12-full-rgb"]
    luma = {p.name: np.dot((0.2627, 0.678, 0.0593), p.code) for p in layout_in(signal).patches}
    assert abs(luma["magenta-green-upper"] - luma["magenta-green-lower"]) <= 1.0


def middles(line: NDArray[np.integer], first: float, spacing: float) -> NDArray[np.float64]:
    """Where linear interpolation between samples crosses the middle of their levels, in luma samples."""
    values = line.astype(np.float64)
    middle = (values.min() + values.max()) / 2.0
    places = first + spacing * np.arange(values.size)
    crossings = []
    for i in range(values.size - 1):
        one, other = values[i] - middle, values[i + 1] - middle
        if one * other < 0.0 or (one == 0.0 and i):
            crossings.append(places[i] + spacing * one / (one - other) if one else places[i])
    return np.array(crossings)


def lateness(signal: SignalFormat, sites: dict[str, float], way: str) -> list[float]:
    """How many pixels luma edges come after colour edges in the five fields, with samples put there."""
    start = 18 if way == "across" else 23
    found = []
    for field in layout_in(signal).fields[start : start + 5]:
        luma, _, red = parts(signal, field.rect)
        lines = [plane[:, 0] if way == "across" else plane[0] for plane in (luma, red)]
        spacing = lines[0].size / lines[1].size
        in_luma, in_red = middles(lines[0], 0.0, 1.0), middles(lines[1], sites[way], spacing)
        late = [in_luma[np.argmin(np.abs(in_luma - edge))] - edge for edge in in_red[1:-1]]
        assert max(late) - min(late) <= CLOSE
        found.append(float(np.mean(late)))
    return found


@pytest.mark.parametrize("way", ["across", "down"])
@pytest.mark.parametrize(("signal", "sites"), [(SDR, TYPE_0), (PQ, TYPE_2), (SDR_444, FULL)])
def test_edges_coincide_where_the_stated_siting_is_obeyed(
    signal: SignalFormat, sites: dict[str, float], way: str
) -> None:
    """The five numbers are the distances; at 0 the middles of both edges are one."""
    assert [label / 2.0 for label in LATE.values()] == pytest.approx(lateness(signal, sites, way), abs=CLOSE)


@pytest.mark.parametrize(("signal", "wrong", "cleanest"), [(SDR, TYPE_2, "-1/2"), (PQ, TYPE_0, "+1/2")])
def test_another_field_is_clean_where_siting_is_wrong(
    signal: SignalFormat, wrong: dict[str, float], cleanest: str
) -> None:
    """Type 0 taken for type 2, or the reverse, is half a row off, and the number says which way."""
    found = lateness(signal, wrong, "across")
    assert cleanest == list(LATE)[int(np.argmin(np.abs(found)))]
    assert min(np.abs(found)) <= CLOSE


@pytest.mark.parametrize("height", [720, 1080, 2160, 4320])
def test_parts_are_apart(height: int) -> None:
    """Fields, patches and words do not overlap and lie on even positions inside the picture."""
    signal = SDR.resized(height)
    layout = layout_in(signal)
    rects = [*(field.rect for field in layout.fields), *(patch.rect for patch in layout.patches)]
    assert {0} == {number % 2 for rect in rects for number in (rect.x, rect.y, rect.width, rect.height)}
    everything = [*rects, *(label.rect for label in layout.labels)]
    assert not any(overlap(one, other) for one, other in combinations(everything, 2))
    assert all(rect.right <= signal.width and rect.bottom <= signal.height for rect in everything)


@pytest.mark.parametrize("kind", SIGNALS)
@pytest.mark.parametrize("percent", [20.0, 100.0])
def test_every_level_is_held(percent: float, kind: str) -> None:
    """All mixtures lie inside the signal up to its white, and areas are what is drawn."""
    pattern, signal = build("chroma-detail", {"signal_percent": percent}), SIGNALS[kind]
    frame = pattern.draw(signal).frame(0)
    if signal.components is not Components.RGB:
        rose, teal = (patch.code for patch in pattern.layout(signal).patches[6:8])  # type: ignore[attr-defined]
        for luma in (rose[0], teal[0]):
            for code in (rose, teal):
                assert 0.0 <= signal.encoding.signal_rgb((luma, *code[1:])).min()
    assert_areas_are_pixels(frame, pattern.claims(signal))
