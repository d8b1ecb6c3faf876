"""Parameters: keys, values, and what is told of the wrong ones.

The messages are our own: each names the family, the key and the remedy. Codes and their limits are those of
ITU-T H.273 clause 8.3 and BT.2100-2 Table 9, by way of the named rows of vectors/code_levels.toml.
"""

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.format import SignalFormat, parse_signal_format
from patterns.family import Family
from patterns.parameters import FILLING_UNITS, PLAIN_UNITS, Level, LevelUnit, keys, level_key, luma_code, read
from patterns.picture import Picture
from patterns.registry import build
from patterns.scene import Scene
from patterns.window import Window

VECTORS = tomllib.loads((Path(__file__).parents[1] / "vectors" / "code_levels.toml").read_text("utf-8"))
STEADY = settings(deadline=None, derandomize=True)
SDR_8 = parse_signal_format("720p24-sdr")
PQ_10 = parse_signal_format("2160p60-pq")
PQ_FULL = parse_signal_format("720p60-pq", code_range="full")
SDR_FULL = parse_signal_format("720p60-sdr", code_range="full")
HLG_FULL = parse_signal_format("720p60-hlg", code_range="full")


def refusal(family: str, values: dict[str, object], signal: SignalFormat | None = None) -> str:
    """The message that a family refuses some keys with, when built or, given a signal, when it claims."""
    with pytest.raises(BadInput) as caught:  # noqa: PT012 - which of the two refuses is not the point
        pattern = build(family, values)
        if signal is not None:
            pattern.claims(signal)
    return str(caught.value)


@dataclass(frozen=True)
class Content:
    """What a file holds that is nowhere."""

    name: str
    sha256: str


def opened(family: str, file: str) -> Content:
    """A file whose digest tells who asked for it."""
    return Content(file, f"digest of {file} for {family}")


def test_keys_of_a_file_field() -> None:
    """A file is a key, and which file it must be another one after it."""
    assert ["file", "file_sha256"] == list(keys(Scene))
    assert ["file", "file_sha256", "encoding"] == list(keys(Picture))[:3]


@pytest.mark.parametrize("family", [Scene, Picture])
def test_a_file_must_be_the_one_that_was_used(family: type[Family]) -> None:
    """With its own digest, before or after it, a file is opened; with another one it is refused in words."""
    name = family.name
    digest = f"digest of a for {name}"
    content = Content("a", digest)
    for values in ({"file": "a"}, {"file": "a", "file_sha256": digest}, {"file_sha256": digest, "file": "a"}):
        assert {"file": content} == read(family, name, values, opened)
    with pytest.raises(BadInput) as caught:
        read(family, "here", {"file": "a", "file_sha256": "0"}, opened)
    words = "here: file=a, or a file that it names, is not what was used (SHA-256 0); bring that back"
    assert words == str(caught.value)


@pytest.mark.parametrize("family", ["scene", "picture"])
def test_a_digest_without_its_file_is_refused(family: str) -> None:
    """A digest alone says nothing that could be drawn: without the file the built-in would be shown."""
    said = f"{family}: file_sha256 says which file file must be; give file too"
    assert said == refusal(family, {"file_sha256": "0"})
    with pytest.raises(BadInput, match=r"give file too$"):
        build(family, {"file_sha256": "0"}, opener=opened)


def test_keys_of_a_level_field() -> None:
    """A level field stands for a key a unit; a prefix of the field's name stays in front."""
    expected = ["luminance", "signal_percent", "code"]
    assert expected == [level_key("level", unit) for unit in PLAIN_UNITS]
    assert [f"dark_{key}" for key in expected] == [level_key("dark_level", unit) for unit in PLAIN_UNITS]
    filling = [*(f"surround_{key}" for key in expected), "surround_fall", "surround_apl_percent"]
    assert filling == [level_key("surround_level", unit) for unit in FILLING_UNITS]
    assert ["area_percent", *expected, *filling, "position"] == list(keys(Window))


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({"area_percen": 10}, "window: area_percen is not a parameter; did you mean area_percent?"),
        ({"luminence": 10}, "window: luminence is not a parameter; did you mean luminance?"),
        ({"area": 10}, "window: area is not a parameter; did you mean area_percent?"),
        ({"surround_apl": 10}, "window: surround_apl is not a parameter; did you mean surround_apl_percent?"),
        (
            {"q": 10},
            "window: q is not a parameter; it takes area_percent, luminance, signal_percent, code, "
            "surround_luminance, surround_signal_percent, surround_code, surround_fall, "
            "surround_apl_percent, position",
        ),
        (
            {"luminance": 100, "code": 200},
            "window: luminance and code set the same level; give one of them",
        ),
        (
            {"surround_fall": 1, "surround_signal_percent": 2},
            "window: surround_fall and surround_signal_percent set the same level; give one of them",
        ),
        ({"area_percent": "ten"}, "window: area_percent=ten is not a number; write it bare, in %"),
        ({"luminance": "100nit"}, "window: luminance=100nit is not a number; write it bare, in cd/m²"),
        ({"area_percent": True}, "window: area_percent=True is not a number; write it bare, in %"),
        ({"area_percent": "nan"}, "window: area_percent=nan is not a number"),
        ({"luminance": "inf"}, "window: luminance=inf is not a number"),
        ({"code": "white"}, "window: code=white is not a whole number; write it bare, in code"),
        ({"code": 200.5}, "window: code=200.5 is not a whole number"),
        (
            {"position": "middle"},
            "window: position=middle is not known; use one of centre, top-left, top-right, bottom-left, "
            "bottom-right",
        ),
        ({"area_percent": 0}, "window: area_percent=0 is out of range; use 0.01 to 100 %"),
        ({"area_percent": 130}, "window: area_percent=130 is out of range; use 0.01 to 100 %"),
        ({"area_percent": -5}, "window: area_percent=-5 is out of range; use 0.01 to 100 %"),
    ],
)
def test_what_a_window_refuses(values: dict[str, object], said: str) -> None:
    """An unknown key, two units of one level, a wrong kind and a value out of range: key and remedy."""
    assert said == refusal("window", values)


@pytest.mark.parametrize(
    ("family", "values", "said"),
    [
        (
            "pan",
            {"pixels_per_frame": "ten"},
            "pan: pixels_per_frame=ten is not a whole number; write it bare, in pixels a frame",
        ),
        ("pan", {"pixels_per_frame": "8.5"}, "pan: pixels_per_frame=8.5 is not a whole number"),
        ("pan", {"pixels_per_frame": 0}, "pan: pixels_per_frame=0 is out of range; use 1 to 64 pixels a"),
        ("pan", {"content": "cars"}, "pan: content=cars is not known; use one of bars, lines, text, texture"),
        ("grey-steps", {"steps": 1}, "grey-steps: steps=1 is out of range; use 2 to 64 columns"),
        ("grey-steps", {"steps": 65}, "grey-steps: steps=65 is out of range; use 2 to 64 columns"),
        ("checkerboard", {"phase": 1}, "checkerboard: phase=1 is not known; use one of first, second"),
        ("fog", {"repeat_seconds": 61}, "fog: repeat_seconds=61 is out of range; use 0 to 60 s"),
        ("fog", {"seed": "x"}, "fog: seed=x is not a whole number; write it bare, in figures"),
    ],
)
def test_what_other_families_refuse(family: str, values: dict[str, object], said: str) -> None:
    """Counts, words and numbers of the other families are refused in the same words."""
    assert refusal(family, values).startswith(said)


# Limits: ST 2084 ends at 10 000 cd/m² and means nothing above signal 1; the video data range is 4 to 1019.
@pytest.mark.parametrize(
    ("signal", "values", "said"),
    [
        (
            PQ_10,
            {"luminance": 11000},
            "window: luminance=11000: luminance 11000 cd/m² is outside what this pq signal can say; "
            "use 0 to 10000 cd/m²",
        ),
        (
            SDR_8,
            {"surround_luminance": -1},
            "window: surround_luminance=-1: luminance -1 cd/m² is outside what this sdr signal can say; "
            "use 0 to 122",
        ),
        (
            PQ_10,
            {"code": 1020},
            "window: code=1020 is code 1020, outside the codes 4 to 1019 of 10 bits at narrow range",
        ),
        (PQ_10, {"code": 3}, "window: code=3 is code 3, outside the codes 4 to 1019 of 10 bits at narrow"),
        (
            SDR_8,
            {"code": 255},
            "window: code=255 is code 255, outside the codes 1 to 254 of 8 bits at narrow",
        ),
        (
            PQ_FULL,
            {"code": 1024},
            "window: code=1024 is code 1024, outside the codes 0 to 1023 of 10 bits at",
        ),
        (
            PQ_10,
            {"signal_percent": 105},
            "window: signal_percent=105: PQ means nothing above 100 %; use 100 or less",
        ),
        (
            SDR_8,
            {"surround_signal_percent": -10},
            "window: surround_signal_percent=-10 is code -6, outside the codes 1 to 254 of 8 bits at narrow",
        ),
        (
            SDR_8,
            {"signal_percent": 110},
            "window: signal_percent=110 is code 257, outside the codes 1 to 254",
        ),
    ],
)
def test_levels_that_a_signal_has_not(signal: SignalFormat, values: dict[str, object], said: str) -> None:
    """A level that the signal cannot say is refused when it claims, with key, value and what it can say."""
    assert refusal("window", values, signal).startswith(said)


# By hand: full range has no codes below black or above white (H.273 clause 8.3 clips), so these levels are
# none; drawn as black or white they would be another level than was asked for.
@pytest.mark.parametrize(
    ("signal", "percent"), [(SDR_FULL, 150.0), (SDR_FULL, -20.0), (HLG_FULL, 105.0), (PQ_FULL, -2.0)]
)
def test_full_range_has_no_sub_black_and_no_super_white(signal: SignalFormat, percent: float) -> None:
    """A signal outside 0 to 100 % is refused at full range, not drawn as the nearest code there is."""
    assert f"signal_percent={percent:g}" in refusal("full-field", {"signal_percent": percent}, signal)


@pytest.mark.parametrize("code", [4, 1019])
def test_the_last_allowed_codes_are_drawn(code: int) -> None:
    """The first and last code of the video data range (BT.2100-2: 4 to 1019 at 10 bits) are no error."""
    assert code == luma_code("x", "level", Level(LevelUnit.CODE, code), PQ_10)


@pytest.mark.parametrize("row", VECTORS["level"], ids=lambda row: f"{row['percent']}%")
def test_levels_in_percent(row: dict[str, Any]) -> None:
    """A level in % has the printed code at 10 bits narrow in SDR, through sub-black and super-white."""
    signal = parse_signal_format("720p24-sdr", depth=10)
    asked = Level(LevelUnit.SIGNAL_PERCENT, float(row["percent"]))
    assert row["narrow_10"] == luma_code("x", "level", asked, signal)


# ST 2084 by colour-science, in vectors/pq.toml: 1000 cd/m² is 723, 100 is 509, 203 is 573 (10-bit narrow).
@pytest.mark.parametrize(("luminance", "code"), [(0.0, 64), (100.0, 509), (203.0, 573), (10000.0, 940)])
def test_levels_in_luminance(luminance: float, code: int) -> None:
    """A level in cd/m² has the code of the published PQ table."""
    assert code == luma_code("x", "level", Level(LevelUnit.LUMINANCE, luminance), PQ_10)


@STEADY
@given(
    area=st.floats(0.01, 100.0),
    unit=st.sampled_from(["luminance", "signal_percent", "code"]),
    value=st.integers(4, 1019),
    surround_unit=st.sampled_from(["surround_luminance", "surround_fall", "surround_apl_percent"]),
    surround=st.floats(0.0, 10000.0),
    position=st.sampled_from(["centre", "top-left", "bottom-right"]),
)
def test_parameters_there_and_back(
    *, area: float, unit: str, value: int, surround_unit: str, surround: float, position: str
) -> None:
    """Whatever keys a pattern is built from come back as they were, and as text build the same pattern."""
    values = {"area_percent": area, unit: value, surround_unit: surround, "position": position}
    pattern = build("window", values)
    assert values == pattern.parameters()
    assert pattern == build("window", {key: str(each) for key, each in pattern.parameters().items()})
