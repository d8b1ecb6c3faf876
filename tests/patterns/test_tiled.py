"""Fields of tiles: painted as numpy.tile has them, counted as they are painted, apart from each other."""

from dataclasses import dataclass
from typing import ClassVar

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knownlight.frame.claims import Hazard
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.geometry import Rect
from patterns.patches import Label
from patterns.tiled import Field, TiledFamily, TiledLayout, stripe_hazards, tile_counts
from tests.patterns.pixels import assert_areas_are_pixels

STEADY = settings(deadline=None, derandomize=True)
SDR = parse_signal_format("720p24-sdr")
GREY = (100, 128, 128)
LABEL = Label("1", 40, 40, 2, 200)


@dataclass(frozen=True, kw_only=True)
class _Shown(TiledFamily):
    """Whatever is given."""

    name: ClassVar[str] = "shown"
    fields: tuple[Field, ...]
    labels: tuple[Label, ...] = ()

    def __post_init__(self) -> None:
        """No parameters to check."""

    def layout(self, signal: SignalFormat) -> TiledLayout:  # noqa: ARG002
        return TiledLayout(background=GREY, patches=(), labels=self.labels, fields=self.fields)


def tile_of(rows: list[list[int]]) -> tuple[tuple[tuple[int, int, int], ...], ...]:
    """Greys of 8 bits."""
    return tuple(tuple((code, 128, 128) for code in row) for row in rows)


@STEADY
@given(
    st.integers(1, 7).flatmap(
        lambda columns: st.lists(
            st.lists(st.integers(16, 235), min_size=columns, max_size=columns), min_size=1, max_size=7
        )
    ),
    st.integers(1, 30),
    st.integers(1, 30),
)
def test_a_field_is_its_tile_over_and_over(rows: list[list[int]], width: int, height: int) -> None:
    """The field starts with the tile's first code, ends amid it where it must, and nothing lies outside."""
    field = Field(Rect(40, 20, 2 * width, 2 * height), tile_of(rows))
    shown = _Shown(fields=(field,))
    plane = shown.draw(SDR).frame(0).planes[0]
    expected = np.tile(rows, (60, 60))[: 2 * height, : 2 * width]
    np.testing.assert_array_equal(expected, plane[field.rect.slices])
    assert 720 * 1280 - field.rect.area <= np.count_nonzero(plane == 100)
    assert_areas_are_pixels(shown.draw(SDR).frame(0), shown.claims(SDR))
    assert field.rect.area == sum(tile_counts(field).values())


def test_colour_of_a_field_at_half_size() -> None:
    """At 4:2:0 each chroma sample has the colour of its four pixels."""
    red, blue = (81, 90, 240), (41, 240, 110)
    shown = _Shown(fields=(Field(Rect(0, 0, 16, 8), ((red, red, blue, blue),)),))
    frame = shown.draw(SDR).frame(0)
    assert [81, 81, 41, 41, 81] == frame.planes[0][7, :5].tolist()
    assert [90, 240] * 4 == frame.planes[1][3, :8].tolist()
    assert [240, 110] * 4 == frame.planes[2][0, :8].tolist()
    assert_areas_are_pixels(frame, shown.claims(SDR))


@pytest.mark.parametrize(
    ("rect", "said"),
    [
        (Rect(18, 18, 10, 10), r"Rect\(x=0, .* meets Rect\(x=18"),
        (Rect(36, 36, 6, 6), r"Rect\(x=36, .* meets Rect\(x=40"),
    ],
)
def test_fields_that_meet_are_refused(rect: Rect, said: str) -> None:
    """Neither another field nor a label may lie on a field: its pixels would be counted wrong."""
    fields = (Field(Rect(0, 0, 20, 20), tile_of([[16, 235]])), Field(rect, tile_of([[16, 235]])))
    with pytest.raises(ValueError, match=said):
        _Shown(fields=fields, labels=(LABEL,)).claims(SDR)


# ITU-R BT.1702, known second-hand: regular patterns over more than 40 % of a screen on which nothing moves.
def test_stripes_are_a_hazard_from_the_stated_share() -> None:
    """Two fifths of the picture are none yet; a pair of columns more are."""
    assert frozenset() == stripe_hazards(SDR, [Rect(0, 0, 256, 720), Rect(400, 0, 256, 720)])
    assert {Hazard.STRIPES} == stripe_hazards(SDR, [Rect(0, 0, 256, 720), Rect(400, 0, 258, 720)])
