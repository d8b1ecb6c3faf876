"""Self-test: what its words look like on screens that take the signal rightly and wrongly.

Light is colour-science's (BT.1886, ST 2084, BT.2100 HLG); codes are turned into signals by hand from BT.709-6
and BT.2100-2 Table 9, and a wrong range is the mix-up of the two quantisations of H.273 clause 8.3. Words,
bands and levels are found in the drawn pixels. The layout is ours.
"""

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.glyphs import text_mask
from patterns.patches import overlap
from patterns.registry import build
from patterns.self_test import SelfTest
from patterns.self_test_parts import Row

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

Floats = NDArray[np.float64]
Screen = Callable[[Floats], Floats]

MELTED = (
    2.0  # % of light: what an eye does not tell apart at the edge of a letter (common practice, no source)
)
EDGES = 1.0  # % more where lines end at letters; measured 2.4 in all, and 10 where they end between two lines
STANDS_OUT = 10.0  # %: what no eye misses (common practice, no source)
AGREE = 1e-3  # %: colour-science has HLG's constants to fewer digits
SIGNALS = {
    "sdr-8": parse_signal_format("720p60-sdr"),
    "sdr-8-480": parse_signal_format("480p59.94-sdr"),
    "sdr-8-full": parse_signal_format("720p60-sdr", code_range="full"),
    "sdr-10": parse_signal_format("1080p60-sdr", depth=10),
    "pq-8": parse_signal_format("720p60-pq", depth=8),
    "pq-10": parse_signal_format("2160p60-pq"),
    "pq-12-full": parse_signal_format("720p60-pq", depth=12, code_range="full"),
    "hlg-8": parse_signal_format("720p60-hlg", depth=8),
    "hlg-10": parse_signal_format("1080p50-hlg"),
    "hlg-10-4320": parse_signal_format("4320p50-hlg"),
}
EVERY = pytest.mark.parametrize("name", SIGNALS)


def sdr(signal: Floats, gamma: float = 2.4) -> Floats:
    """BT.1886 at 100 cd/m² with black 0; another gamma by hand."""
    if gamma != 2.4:
        return np.asarray(100.0 * signal**gamma)
    return np.asarray(colour.models.eotf_BT1886(signal, L_B=0, L_W=100))


def pq(signal: Floats) -> Floats:
    """ST 2084."""
    return np.asarray(colour.models.eotf_ST2084(signal), dtype=np.float64)


def hlg(signal: Floats, peak: float = 1000.0) -> Floats:
    """HLG of greys on a display of a peak in cd/m², black 0; its gamma follows from the peak (BT.2100)."""
    grey = np.stack([signal] * 3, axis=-1)
    return np.asarray(colour.models.eotf_BT2100_HLG(grey, L_B=0, L_W=peak), dtype=np.float64)[..., 0]


KINDS: dict[str, Screen] = {"sdr": sdr, "pq": pq, "hlg": hlg}
KIND_WORDS = {
    "sdr": {"SDR": "sdr", "PQ": "pq", "HLG": "hlg"},
    "pq": {"PQ": "pq", "SDR/HLG": "sdr"},
    "hlg": {"HLG": "hlg", "SDR": "sdr", "PQ": "pq"},
}
RANGE_WORDS = {"RIGHT": "right", "LIFTED": "lifted", "CRUSHED": "crushed"}


def signal_of(code: object, signal: SignalFormat) -> Floats:
    """Signal of luma codes."""
    scale = 2 ** (signal.depth - 8)
    values = np.asarray(code, dtype=np.float64)
    if signal.code_range.value == "full":
        return np.asarray(values / (256 * scale - 1))
    return np.asarray((values / scale - 16) / 219)


def ranges(screen: Screen) -> dict[str, Screen]:
    """A screen that takes the range rightly, narrow as full, and full as narrow."""
    return {
        "right": lambda value: screen(np.clip(value, 0, 1)),
        "lifted": lambda value: screen(np.clip((219 * value + 16) / 255, 0, 1)),
        "crushed": lambda value: screen(np.clip((255 * value - 16) / 219, 0, 1)),
    }


@dataclass(frozen=True)
class Found:
    """A field of lines in the pixels: its two codes, and the code of each word."""

    codes: tuple[int, int]
    words: dict[str, int]

    def contrast(self, word: str, screen: Screen, signal: SignalFormat) -> float:
        """By how many % a word has more light than the mean of the lines."""
        dark, light = screen(signal_of(self.codes, signal))
        return float(100 * (2 * screen(signal_of([self.words[word]], signal))[0] / (dark + light) - 1))


def drawn(signal: SignalFormat) -> NDArray[np.int64]:
    """The luma codes of the picture."""
    return build("self-test", {}).draw(signal).frame(0).planes[0].astype(np.int64)


def field_of(row: Row, words: list[str], signal: SignalFormat) -> Found:
    """The codes of a field, after each word was found written with the glyphs in one code of its own."""
    part = drawn(signal)[row.rect(signal).slices]
    line, edge = 4 if signal.height == 4320 else 2, part[:, 0]
    dark, light = int(edge[0]), int(edge[line])
    is_light = np.arange(len(edge)) // line % 2 == 1
    np.testing.assert_array_equal(np.where(is_light, light, dark), edge)
    codes = sorted(
        set(np.unique(part).tolist()) - {dark, light}, key=lambda c: int(np.nonzero(part == c)[1].min())
    )
    for text, code in zip(words, codes, strict=True):
        rows, columns = np.nonzero(part == code)
        box = part[rows.min() : rows.max() + 1, columns.min() : columns.max() + 1] == code
        mask = text_mask(text, box.shape[0] // 7)
        lit = np.flatnonzero(mask.any(axis=0))
        np.testing.assert_array_equal(mask[:, lit[0] : lit[-1] + 1], box)
    return Found((dark, light), dict(zip(words, codes, strict=True)))


def assert_own_word_melts(found: Found, words: dict[str, str], screens: dict[str, Screen], name: str) -> None:
    """On each screen the word of its reading melts and all others stand out."""
    for reading, screen in screens.items():
        for word, own in words.items():
            shown = abs(found.contrast(word, screen, SIGNALS[name]))
            if own == reading or (word == "SDR/HLG" and reading == "hlg"):
                assert shown < MELTED, (word, reading)
            else:
                assert shown > STANDS_OUT, (word, reading)


@EVERY
def test_the_word_of_the_kind_of_signal_melts(name: str) -> None:
    """The right word, written first, melts into the lines; in a wrong light that light's own does."""
    signal = SIGNALS[name]
    words = KIND_WORDS[signal.transfer.value]
    assert_own_word_melts(field_of(Row.KIND, list(words), signal), words, KINDS, name)


@EVERY
def test_the_word_of_the_range_melts(name: str) -> None:
    """RIGHT melts in the right range, LIFTED where narrow is shown as full, CRUSHED where full as narrow."""
    signal = SIGNALS[name]
    screens = ranges(KINDS[signal.transfer.value])
    assert_own_word_melts(field_of(Row.RANGE, list(RANGE_WORDS), signal), RANGE_WORDS, screens, name)


@EVERY
def test_seen_from_afar_only_the_other_words_are_left(name: str) -> None:
    """Blurred over a pair of lines, the right word is gone with its edges, and no other word is."""
    signal = SIGNALS[name]
    screen, line = KINDS[signal.transfer.value], 4 if signal.height == 4320 else 2
    part = drawn(signal)[Row.KIND.rect(signal).slices]
    places = np.linspace(0, part.shape[1], len(KIND_WORDS[signal.transfer.value]) + 1).astype(np.int64)
    light = screen(signal_of(part[:, :: line * 2], signal))  # letters' dots are wider
    reach = 8 * line
    weights = np.exp(-0.5 * (np.arange(-reach, reach + 1) / (2 * line)) ** 2)
    rows = len(light) - 2 * reach
    afar = sum(weight * light[start : start + rows] for start, weight in enumerate(weights / weights.sum()))
    contrast = 100 * np.abs(afar / afar[:, :1].mean() - 1)
    right, *others = (
        contrast[:, left // (2 * line) : past // (2 * line)].max() for left, past in pairwise(places)
    )
    assert right < MELTED + EDGES
    assert min(others) > STANDS_OUT


@EVERY
def test_notes_are_what_the_words_show(name: str) -> None:
    """The notes say by how many per cent each word stands out on each screen."""
    signal = SIGNALS[name]
    notes = build("self-test", {}).claims(signal).notes
    own = signal.transfer.value
    for row, words, screens in (
        (Row.KIND, KIND_WORDS[own], KINDS),
        (Row.RANGE, RANGE_WORDS, ranges(KINDS[own])),
    ):
        found = field_of(row, list(words), signal)
        for word, its in words.items():
            for reading, screen in screens.items():
                expected = found.contrast(word, screen, signal)
                assert pytest.approx(expected, abs=AGREE) == notes[f"{its}_word_if_{reading}_percent"]


@pytest.mark.parametrize(
    ("name", "screen"),
    [
        ("hlg-10", partial(hlg, peak=600.0)),
        ("sdr-8", partial(sdr, gamma=2.2)),
        ("sdr-10", partial(sdr, gamma=2.2)),
    ],
)
def test_other_gammas_leave_the_right_word_faintest(name: str, screen: Screen) -> None:
    """At 600 cd/m² in HLG or gamma 2.2 in SDR the right word is off by up to 7 %, others by far more."""
    words = KIND_WORDS[SIGNALS[name].transfer.value]
    found = field_of(Row.KIND, list(words), SIGNALS[name])
    right, *others = (abs(found.contrast(word, screen, SIGNALS[name])) for word in words)
    assert right < 7.0
    assert min(others) > 2 * right


@pytest.mark.parametrize("name", ["pq-8", "pq-10", "pq-12-full"])
def test_lines_of_pq_are_not_tone_mapped(name: str) -> None:
    """Lines of PQ stay below 120 cd/m²: HDR sets show that as it is (common practice, no source)."""
    found = field_of(Row.KIND, ["PQ", "SDR/HLG"], SIGNALS[name])
    assert KINDS["pq"](signal_of(found.codes, SIGNALS[name])).max() < 120


@EVERY
def test_the_lower_band_is_what_fewer_bits_leave_of_the_upper(name: str) -> None:
    """Cutting the upper band to 8 bits (7 of 8) makes it the lower one, whose steps can be seen."""
    signal = SIGNALS[name]
    part = drawn(signal)[Row.BITS.rect(signal).slices]
    upper, lower = part[0], part[-1]
    lost = 1 if signal.depth == 8 else signal.depth - 8
    np.testing.assert_array_equal(upper >> lost << lost, lower)
    assert set(np.diff(np.unique(upper)).tolist()) == {1}
    assert len(np.unique(lower)) == 16

    screen, notes = KINDS[signal.transfer.value], build("self-test", {}).claims(signal).notes
    steps = {}
    for bits, codes in ((signal.depth, upper), (signal.depth - lost, lower)):
        light = screen(signal_of(np.unique(codes), signal))
        steps[bits] = 100 * (light[1:] / light[:-1] - 1)
        assert pytest.approx(steps[bits][0], abs=AGREE) == notes[f"step_of_{bits}_bits_percent"]
    assert min(steps[signal.depth - lost]) > 2.0
    assert signal.depth == 8 or max(steps[signal.depth]) < 2.0


def ends(signal: SignalFormat) -> tuple[list[int], list[int]]:
    """The codes in the left and the right half of the lowest row, without the background; sorted."""
    part = drawn(signal)[Row.ENDS.rect(signal).slices]
    black, middle = part[0, 0], part.shape[1] // 2
    left, right = ((set(np.unique(side).tolist()) - {black}) for side in (part[:, :middle], part[:, middle:]))
    return sorted(left), sorted(right)


# By hand: 16 + 219 * 0.06 = 29 and 64 + 876 * 0.06 = 117 above black, 1 and 4 the lowest codes below; 222 and
# 887 are 94 % before white, 254 and 1019 the highest (BT.709-6, BT.2100-2 Table 9; video data range).
@pytest.mark.parametrize(
    ("name", "near_black", "near_white"),
    [
        ("sdr-8", [1, 29], [222, 235, 254]),
        ("sdr-8-full", [15], [240, 255]),
        ("hlg-10", [4, 117], [887, 940, 1019]),
    ],
)
def test_words_at_the_ends(name: str, near_black: list[int], near_white: list[int]) -> None:
    """Words below and above black, white on a little less, and above white; full range has the inner ones."""
    assert (near_black, near_white) == ends(SIGNALS[name])


@EVERY
def test_a_wrong_range_shows_at_the_ends(name: str) -> None:
    """Lifted black shows the words below it; a crushed range takes words near black and near white away."""
    signal = SIGNALS[name]
    screens = ranges(KINDS[signal.transfer.value])
    near_black, near_white = (signal_of(codes, signal) for codes in ends(signal))
    black = np.zeros(1)
    if signal.code_range.value == "narrow":
        assert screens["lifted"](near_black[:1]) < 0.1 * screens["lifted"](black)
        assert screens["right"](near_black[:1]) == screens["right"](black)
    assert screens["right"](near_black[-1:]) > screens["right"](black)
    assert screens["crushed"](near_black[-1:]) == screens["crushed"](black)
    if signal.transfer.value != "pq":
        ground, white = near_white[:1], near_white[1:2]
        assert screens["right"](white) > 1.1 * screens["right"](ground)
        assert screens["crushed"](white) == screens["crushed"](ground)


@pytest.mark.parametrize("name", ["pq-10", "pq-12-full"])
def test_highlights_are_numbers_in_their_own_light(name: str) -> None:
    """Each number of cd/m² is in the nearest code to it, on a ground of four fifths of that light."""
    signal = SIGNALS[name]
    _, codes = ends(signal)
    light = KINDS["pq"](signal_of(codes, signal))
    expected = sorted(share * level for level in (500, 1000, 2000, 4000) for share in (0.8, 1))
    assert pytest.approx(expected, rel=0.006) == light.tolist()  # half a code of 10 bits


@pytest.mark.parametrize("height", [720, 1080, 2160, 4320])
@pytest.mark.parametrize("transfer", ["sdr", "pq", "hlg"])
def test_everything_lies_inside_and_apart(height: int, transfer: str) -> None:
    """Words lie inside the margins and meet neither each other nor a row that they do not belong to."""
    signal = parse_signal_format(f"{height}p60-{transfer}")
    layout = SelfTest().layout(signal)
    rows = [row.rect(signal) for row in (Row.KIND, Row.RANGE, Row.BITS)]
    boxes = [label.rect for label in layout.labels]
    for index, box in enumerate(boxes):
        assert signal.width // 20 <= box.x
        assert box.right <= signal.width - signal.width // 20
        assert signal.height // 20 <= box.y
        assert box.bottom <= signal.height - signal.height // 20
        assert not [other for other in (*boxes[index + 1 :], *rows) if overlap(box, other)]
