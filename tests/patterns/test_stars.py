"""Stars: as many as asked, apart from each other, the same for a seed."""

import numpy as np
import pytest

from knownlight.errors import BadInput
from knownlight.frame.format import parse_signal_format
from patterns.registry import build

_SIGNAL = parse_signal_format("720p60-pq")


@pytest.mark.parametrize(("count", "size"), [(1, 2), (400, 2), (2000, 4)])
def test_stars_are_counted(count: int, size: int) -> None:
    """Lit pixels are count times size squared: none overlap, none leave the picture."""
    pattern = build("stars", {"count": count, "size": size, "code": 600})
    plane = pattern.draw(_SIGNAL).frame(0).planes[0]

    assert count * size * size == int((plane == 600).sum())
    assert plane.size - count * size * size == int((plane == 64).sum())


def test_stars_do_not_touch() -> None:
    """Around every star there is dark on all sides."""
    plane = build("stars", {"count": 5000, "code": 600}).draw(_SIGNAL).frame(0).planes[0]
    blocks = plane.reshape(720 // 2, 2, 1280 // 2, 2)
    lit = (blocks == 600).all(axis=(1, 3))

    assert 5000 == int(lit.sum())
    assert not (lit[:, 1:] & lit[:, :-1]).any()
    assert not (lit[1:] & lit[:-1]).any()


def test_a_seed_picks_places() -> None:
    """One seed gives one sky, another another."""
    one, again, other = (
        build("stars", {"seed": seed}).draw(_SIGNAL).frame(0).planes[0] for seed in (1, 1, 2)
    )

    assert np.array_equal(one, again)
    assert not np.array_equal(one, other)


@pytest.mark.parametrize(
    ("keys", "words"),
    [
        ({"size": 3}, "size=3 is odd"),
        ({"count": 20000, "size": 8}, "count=20000 do not fit; use at most 880"),
    ],
)
def test_what_does_not_fit_is_refused(keys: dict[str, object], words: str) -> None:
    """Odd sizes would cut chroma; too many stars would touch."""
    with pytest.raises(BadInput, match=words):
        build("stars", keys).claims(_SIGNAL)
