"""The registry, and over any parameters: claims are what is drawn."""

from collections import Counter

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.light import frame_light
from knownlight.frame.planes import Frame
from knownlight.signal.encoding import Components
from patterns.family import Family
from patterns.registry import FAMILIES, build

_SUMS = 1e-9  # relative; the same terms summed in two orders
_PQ = parse_signal_format("720p60-pq")
_SDR = parse_signal_format("720p24-sdr")


def assert_claims_hold(frame: Frame, claims: Claims, signal: SignalFormat) -> None:
    """Regions, pixel counts and light levels against the drawn planes, plane by plane."""
    shared = signal.components is Components.YCBCR_420
    for region in claims.regions:
        rect = region.rect
        assert 0 <= rect.x < rect.right <= signal.width, region
        assert 0 <= rect.y < rect.bottom <= signal.height, region
        for index, (plane, code) in enumerate(zip(frame.planes, region.code, strict=True)):
            step = 2 if shared and index else 1
            part = plane[rect.y // step : -(-rect.bottom // step), rect.x // step : -(-rect.right // step)]
            assert {code} == set(np.unique(part).tolist()), region
    if claims.areas is None:
        return
    counted = Counter(frame.planes[0].ravel().tolist())
    assert dict(counted) == {code[0]: pixels for code, pixels in claims.areas.items() if pixels}
    assert signal.width * signal.height == sum(claims.areas.values())
    light = claims.light(signal.encoding)
    assert light is not None
    assert (light.max_cll, light.fall, light.apl_percent) == pytest.approx(frame_light(frame), rel=_SUMS)


@pytest.mark.parametrize("name", FAMILIES)
def test_a_family_says_what_it_is(name: str) -> None:
    """A name in plain words, a title and a source, which may be "common practice, no source"."""
    family: type[Family] = FAMILIES[name]

    assert name == family.name
    assert name == name.lower()
    assert family.title
    assert family.source


_LEVELS = st.one_of(
    st.tuples(st.just("code"), st.integers(4, 940)),
    st.tuples(st.just("signal_percent"), st.integers(0, 100)),
    st.tuples(st.just("luminance"), st.floats(0, 10000)),
)
_QUICK = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@_QUICK
@given(
    area=st.floats(0.01, 100),
    level=_LEVELS,
    surround=_LEVELS,
    position=st.sampled_from(["centre", "top-left", "top-right", "bottom-left", "bottom-right"]),
)
def test_any_window(
    area: float, level: tuple[str, float], surround: tuple[str, float], position: str
) -> None:
    """Any area, level, surround and place: claims hold, and the window lies on even positions."""
    signal = _PQ
    keys = {"area_percent": area, level[0]: level[1], f"surround_{surround[0]}": surround[1]}
    pattern = build("window", {**keys, "position": position})
    claims = pattern.claims(signal)
    rect = claims.regions[0].rect

    assert_claims_hold(pattern.draw(signal).frame(0), claims, signal)
    assert [0, 0, 0, 0] == [value % 2 for value in (rect.x, rect.y, rect.width, rect.height)]


@_QUICK
@given(first=st.integers(4, 940), last=st.integers(4, 940), steps=st.integers(2, 64))
def test_any_grey_steps(first: int, last: int, steps: int) -> None:
    """Up or down, few or many."""
    signal = _PQ
    pattern = build("grey-steps", {"steps": steps, "first_code": first, "last_code": last})

    assert_claims_hold(pattern.draw(signal).frame(0), pattern.claims(signal), signal)


@_QUICK
@given(
    first=st.integers(4, 940),
    last=st.integers(4, 940),
    bits=st.sampled_from([0, 6, 7, 8, 9, 10]),
    direction=st.sampled_from(["horizontal", "vertical"]),
)
def test_any_gradient(first: int, last: int, bits: int, direction: str) -> None:
    """Any ends, any depth, both ways."""
    signal = _PQ
    keys = {"first_code": first, "last_code": last, "bits": bits, "direction": direction}
    pattern = build("gradient", keys)

    assert_claims_hold(pattern.draw(signal).frame(0), pattern.claims(signal), signal)


@_QUICK
@given(
    content=st.sampled_from(["bars", "lines", "text"]), speed=st.integers(1, 64), index=st.integers(0, 300)
)
def test_any_pan(content: str, speed: int, index: int) -> None:
    """Any content and speed, at any frame."""
    signal = _SDR
    pattern = build("pan", {"content": content, "pixels_per_frame": speed})

    assert_claims_hold(pattern.draw(signal).frame(index), pattern.claims(signal), signal)


def test_an_unknown_family_is_refused() -> None:
    """With the nearest name, or all of them."""
    with pytest.raises(BadInput, match=r"pattern 'windw' is not known; did you mean window\?"):
        build("windw", {})
    with pytest.raises(BadInput, match=r"pattern 'zzz' is not known; there are window, full-field"):
        build("zzz", {})
