"""Slate: text that names a clip. The light of a level is colour-science's; layout and letters are ours."""

import re
import warnings
from itertools import groupby

import numpy as np
import pytest
from numpy.typing import NDArray

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.glyphs import text_mask
from patterns.registry import build

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # colour-science says which of its optional parts are missing
    import colour

ASKED = 5.0  # cd/m²
STEP = 0.05  # of the light: half a code of 8 bits is less at this level
SIGNALS = [
    "480i29.97-sdr", "480p59.94-sdr", "576p50-sdr", "720p60-pq", "1080p24-sdr", "2160p60-pq", "4320p60-hlg",
]  # fmt: skip
LONG = "990-a-long-name-of-a-clip-that-has-many-words-and-one-more-word-x"[:64]
TEXTS = {
    "short": ("010-light", "010-x", "window"),
    "usual": ("010-light", "020-window-10pct-1000", "window, 1000 cd/m2"),
    "long": (LONG, LONG[::-1].replace("-", "/"), "1 % of 2 + 3, 4:5. " * 3),
    "unbroken": ("w" * 64, "0" * 64, "m" * 64),
}


def _plane(signal: SignalFormat, place: str, clip: str, shows: str) -> NDArray[np.int64]:
    pattern = build("slate", {"place": place, "clip": clip, "shows": shows})
    return pattern.draw(signal).frame(0).planes[0].astype(np.int64)


def _lines(plane: NDArray[np.int64], black: int) -> list[NDArray[np.bool_]]:
    """The lit pixels of each line of text: rows with light in them that follow one another."""
    lit = plane != black
    rows = [int(row) for row in np.flatnonzero(lit.any(axis=1))]
    runs = [
        [row for _, row in run] for _, run in groupby(enumerate(rows), key=lambda pair: pair[1] - pair[0])
    ]
    return [lit[run[0] : run[-1] + 1] for run in runs]


def _read(line: NDArray[np.bool_]) -> str:
    """A line of text by holding every letter's mask against it, from the first column that is lit."""
    dot = len(line) // 7
    letters = {
        text_mask(letter, dot).tobytes(): letter for letter in "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789.,-+%/: "
    }
    columns = np.flatnonzero(line.any(axis=0))
    for start in range(
        int(columns[0]) - 4 * dot, int(columns[0]) + 1
    ):  # a letter may begin with dark columns
        text = ""
        for left in range(start, int(columns[-1]) + 1, 6 * dot):
            text += letters.get(np.ascontiguousarray(line[:, left : left + 5 * dot]).tobytes(), "?")
        if "?" not in text:
            return text
    raise AssertionError("a line that is no text")


@pytest.mark.parametrize(
    ("written", "name"),
    [*((written, name) for written in SIGNALS[:-1] for name in TEXTS), (SIGNALS[-1], "long")],
)
def test_every_letter_is_there_at_every_size(written: str, name: str) -> None:
    """Place, name, signal and content in their order, inside the picture's margins, whatever their length."""
    signal = parse_signal_format(written)
    plane = _plane(signal, *TEXTS[name])
    black = int(plane[0, 0])
    lines = [line for line in _lines(plane, black) if len(line) % 7 == 0]
    found = "".join(_read(line) for line in lines)
    place, clip, shows = TEXTS[name]
    told = f"{signal.name} {signal.depth} bits narrow"
    assert re.sub(" ", "", place + clip + told + shows).upper() == found.replace(" ", "")
    rows, columns = np.nonzero(plane != black)
    assert signal.width * 0.05 <= columns.min() < columns.max() < signal.width * 0.95
    assert signal.height * 0.1 <= rows.min() < rows.max() < signal.height * 0.9


@pytest.mark.parametrize("written", SIGNALS)
def test_text_is_large(written: str) -> None:
    """Letters of a usual name are a seventeenth of the height, those of the longest two pixels a dot."""
    signal = parse_signal_format(written)
    usual, longest = (_plane(signal, *TEXTS[name]) for name in ("usual", "unbroken"))
    black = int(usual[0, 0])
    assert min(map(len, _lines(usual, black))) >= signal.height / 17
    assert min(map(len, _lines(longest, black))) >= 14


def _light(signal: SignalFormat, code: int) -> float:
    """cd/m² of a luma code of narrow range, by colour-science."""
    value = (code / 2 ** (signal.depth - 8) - 16) / 219
    match signal.transfer.value:
        case "pq":
            return float(colour.models.eotf_ST2084(value))
        case "hlg":
            return float(colour.models.eotf_BT2100_HLG(np.full(3, value), L_B=0, L_W=1000)[0])
        case _:
            return float(colour.models.eotf_BT1886(value, L_B=0, L_W=100))


@pytest.mark.parametrize("written", SIGNALS)
def test_it_is_dim(written: str) -> None:
    """Text of 5 cd/m² on black, and a frame average below 1 cd/m²; colour-science turns codes into light."""
    signal = parse_signal_format(written)
    plane = _plane(signal, *TEXTS["usual"])
    codes, counts = np.unique(plane, return_counts=True)
    dark, text = (_light(signal, int(code)) for code in codes)
    assert 0.0 == dark
    assert pytest.approx(ASKED, rel=STEP) == text
    assert text * int(counts[1]) / plane.size < 1.0


def test_a_level_and_a_field_of_ones_own() -> None:
    """Both can be set; the text is drawn over the field."""
    signal = parse_signal_format("720p24-sdr")
    pattern = build("slate", {"code": 100, "background_code": 30})
    assert [30, 100] == np.unique(pattern.draw(signal).frame(0).planes[0]).tolist()


@pytest.mark.parametrize(
    ("key", "text", "words"),
    [
        ("clip", "naïve", r"clip: there is no letter 'Ï'; use a to z, figures and . , - \+ % / :"),
        ("place", "a_b", r"place: there is no letter '_'"),
        ("shows", "one\ntwo", r"shows: there is no letter '\\n'"),
        ("clip", "x" * 65, r"clip has 65 characters; use 64 at most"),
        ("clip", "ß" * 33, r"clip has 66 characters; use 64 at most"),
    ],
)
def test_what_cannot_be_drawn_is_refused(key: str, text: str, words: str) -> None:
    """A letter without a glyph, and a text that is too long, with the remedy."""
    with pytest.raises(BadInput, match=rf"^slate: .*{words}"):
        build("slate", {key: text})
