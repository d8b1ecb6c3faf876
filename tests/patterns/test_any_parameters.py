"""Every family over any parameters: what can be built claims what it draws; what cannot is refused in words.

Random values come from each parameter's own spec, so a new family is covered when it is registered. The only
errors allowed are BadInput. The source of these checks is the docstring of knownlight.frame.claims.
"""

from collections import Counter
from collections.abc import Mapping

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knownlight.errors import BadInput
from knownlight.frame.claims import Claims
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.frame.light import frame_light
from knownlight.frame.planes import Frame
from knownlight.frame.sources import Sequence
from knownlight.signal.encoding import Components
from patterns.parameters import Kind, LevelUnit, Spec, keys
from patterns.registry import FAMILIES, build

SUMS = 1e-9  # relative; the same terms summed in two orders
SIGNALS = [
    parse_signal_format("720p60-pq"),
    parse_signal_format("720p24-sdr"),
    parse_signal_format("720p50-hlg"),
    parse_signal_format("720p60-pq", code_range="full", components="rgb"),
]
RAMPS = {"ramp", "gradient", "gradient-bands"}  # greys whose runs of one code start at any pixel
QUICK = settings(
    max_examples=12, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow]
)


def values_of(spec: Spec, unit: LevelUnit | None) -> st.SearchStrategy[object]:  # noqa: PLR0911
    """Values of a key: its whole range; levels from below black to above white, and light by decades."""
    if unit is LevelUnit.CODE:
        return st.integers(0, 1023)
    if unit in (LevelUnit.SIGNAL_PERCENT, LevelUnit.APL_PERCENT):
        return st.integers(-7, 109)
    if unit is not None:
        return st.integers(-3, 4).map(lambda decade: 10.0**decade)
    if spec.kind is Kind.CHOICE:
        return st.sampled_from(spec.choices)
    if spec.kind is Kind.TEXT:
        return st.text("az09 .,-+%/:_\u00e9", max_size=int(spec.maximum) + 1)
    if spec.kind is Kind.COUNT:
        return st.integers(int(spec.minimum), int(spec.maximum))
    return st.integers(0, 24).map(lambda part: spec.minimum + (spec.maximum - spec.minimum) * part / 24)


def parameters_of(name: str) -> st.SearchStrategy[dict[str, object]]:
    """Some of a family's keys with values; of each level one unit at most."""
    by_field: dict[str, list[st.SearchStrategy[tuple[str, object]]]] = {}
    for key, (field, spec, unit) in keys(FAMILIES[name]).items():
        if spec.kind is not Kind.FILE:
            pair = values_of(spec, unit).map(lambda value, key=key: (key, value))  # type: ignore[misc]
            by_field.setdefault(field, []).append(pair)
    fields = [st.one_of(st.none(), *pairs) for pairs in by_field.values()]
    return st.tuples(*fields).map(lambda given: dict(pair for pair in given if pair is not None))


def assert_claims_hold(frame: Frame, claims: Claims, signal: SignalFormat, *, even: bool) -> None:
    """Regions, pixel counts and light levels against the drawn planes, plane by plane."""
    shared = signal.components is Components.YCBCR_420
    for region in claims.regions:
        rect = region.rect
        assert 0 <= rect.x < rect.right <= signal.width, region
        assert 0 <= rect.y < rect.bottom <= signal.height, region
        if shared and even:
            assert {0} == {value % 2 for value in (rect.x, rect.y, rect.width, rect.height)}, region
        for index, (plane, code) in enumerate(zip(frame.planes, region.code, strict=True)):
            step = 2 if shared and index else 1
            part = plane[rect.y // step : -(-rect.bottom // step), rect.x // step : -(-rect.right // step)]
            assert {code} == set(np.unique(part).tolist()), region
    if claims.areas is None:
        if claims.notes:
            assert claims.notes["lowest_code"] <= frame.planes[0].min()
            assert claims.notes["highest_code"] >= frame.planes[0].max()
        return
    assert signal.width * signal.height == sum(claims.areas.values())
    for index, plane in enumerate(frame.planes):
        codes, counts = np.unique(plane, return_counts=True)
        each = frame.planes[0].size // plane.size
        claimed: Counter[int] = Counter()
        for triple, pixels in claims.areas.items():
            claimed[triple[index]] += pixels
        assert dict(zip(codes.tolist(), (each * counts).tolist(), strict=True)) == +claimed
    light = claims.light(signal.encoding)
    if light is not None:
        found = frame_light(frame)
        assert pytest.approx(found, rel=SUMS, abs=SUMS) == (light.max_cll, light.fall, light.apl_percent)


def check(name: str, values: Mapping[str, object], signal: SignalFormat) -> None:
    """Claims of a family hold in some frames, or it is refused with its name in front."""
    try:
        pattern = build(name, values)
        claims = pattern.claims(signal)
    except BadInput as error:
        assert str(error).startswith(f"{name}: ")  # noqa: PT017 - either outcome is right
        return
    source = pattern.draw(signal)
    even = name not in RAMPS
    if isinstance(source, Sequence):
        for number, each in enumerate(claims.pictures):
            assert_claims_hold(source.picture(number), each, signal, even=even)
        return
    for index in {0, 1, source.unrepeated(10_000) * 2 // 3}:
        assert_claims_hold(source.frame(index), claims, signal, even=even)


@pytest.mark.parametrize("name", FAMILIES)
def test_any_parameters(name: str) -> None:
    """Whatever the parameters, claims are what is drawn, or BadInput says why nothing is."""

    @QUICK
    @given(values=parameters_of(name), signal=st.sampled_from(SIGNALS))
    def any_parameters(values: dict[str, object], signal: SignalFormat) -> None:
        check(name, values, signal)

    any_parameters()
