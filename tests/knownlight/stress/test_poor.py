"""Keys of poor coding: read, written back, refused."""

import pytest

from knownlight.encode.delivery import LoopFilter
from knownlight.errors import BadInput
from knownlight.stress.labels import Severity
from knownlight.stress.poor import Poor, poor_of


def test_no_keys_ask_for_nothing() -> None:
    """A clip without them is coded as well as can be."""
    assert poor_of({}, "clip") is None


def test_the_loop_filter_follows_what_is_asked() -> None:
    """Blocks need it off; a rate alone is what a usual coder makes of it."""
    blocks = Poor(severity=Severity.STRONG, megabits=None, loop_filter=LoopFilter.OFF)
    usual = Poor(severity=None, megabits=3.0, loop_filter=LoopFilter.ON)
    assert blocks == poor_of({"severity": "strong"}, "clip")
    assert usual == poor_of({"megabits": "3"}, "clip")


@pytest.mark.parametrize(
    "values",
    [
        {"severity": "mild"},
        {"severity": "clean"},
        {"megabits": 2.5, "loop_filter": "off"},
        {"megabits": 2.5, "generations": 2},
        {"severity": "severe", "split": "avc-mp4"},
    ],
)
def test_words_are_read_back(values: dict[str, object]) -> None:
    """What a manifest keeps asks for the same again; of a clean clip nothing but that it is clean."""
    poor = poor_of(values, "clip")
    assert poor is not None
    assert poor == poor_of(poor.words(), "manifest")


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"severty": "mild"}, "clip: severty is not a key of poor coding; did you mean severity?"),
        ({"severity": "awful"}, "clip: severity=awful is not known; use one of clean, mild, strong, severe"),
        ({"severity": "mild", "megabits": 3}, "clip: give one of severity and megabits"),
        ({"loop_filter": "off"}, "clip: give one of severity and megabits"),
        ({"megabits": "fast"}, "clip: megabits=fast: use 0.05 to 400 Mb/s"),
        ({"megabits": 0.01}, "clip: megabits=0.01: use 0.05 to 400 Mb/s"),
        ({"megabits": 3, "generations": 3}, "clip: generations=3: use 1 or 2"),
        ({"megabits": 3, "loop_filter": "no"}, "clip: loop_filter=no is not known; use one of on, off"),
        (
            {"severity": "clean", "split": "avc-mp4"},
            "clip: severity=clean is coded as well as can be; leave the other keys out",
        ),
        (
            {"severity": "mild", "loop_filter": "on"},
            "clip: loop_filter=on smears and bands, and earns no severity of blocks; give megabits with it",
        ),
    ],
)
def test_what_cannot_be_is_refused(values: dict[str, object], words: str) -> None:
    """In one line that names the key and the remedy."""
    with pytest.raises(BadInput) as caught:
        poor_of(values, "clip")
    assert words == str(caught.value)
