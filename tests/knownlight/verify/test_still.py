"""The proof of a still finds another picture, another declaration and another depth."""

from dataclasses import replace
from pathlib import Path

import pytest
from knownlight.encode.png import write_png

from knownlight.ffmpeg import Stop
from knownlight.frame.format import SignalFormat, parse_signal_format
from knownlight.metadata.light import HdrMetadata, hdr_metadata
from knownlight.verify.still import prove_still
from patterns.registry import build

_PATTERN = build("window", {"luminance": 1000})
_SIGNAL = parse_signal_format("720p60-pq", code_range="full", components="rgb")


def _written(to: Path, signal: SignalFormat = _SIGNAL) -> HdrMetadata:
    light = _PATTERN.claims(signal).light(signal.encoding)
    assert light is not None
    hdr = hdr_metadata(signal, light)
    write_png(_PATTERN.draw(signal).frame(0), hdr, light, to)
    return hdr


@pytest.mark.parametrize("written", ["720p60-pq", "720p60-hlg", "720p60-sdr"])
@pytest.mark.parametrize("code_range", ["narrow", "full"])
def test_a_still_passes(written: str, code_range: str, tmp_path: Path, stop: Stop) -> None:
    """In every kind of signal and both ranges."""
    signal = parse_signal_format(written, code_range=code_range, components="rgb")
    pattern = build("window", {"luminance": 100})
    light = pattern.claims(signal).light(signal.encoding)
    assert light is not None
    hdr = hdr_metadata(signal, light)
    write_png(pattern.draw(signal).frame(0), hdr, light, tmp_path / "a.png")
    proof = prove_still(tmp_path / "a.png", pattern, signal, hdr, stop)

    assert () == proof.problems
    assert light.max_cll == pytest.approx(proof.light.max_cll, rel=1e-12)


def test_another_picture_is_found(tmp_path: Path, stop: Stop) -> None:
    """Pixels, claims and light of another level differ."""
    hdr = _written(tmp_path / "a.png")
    other = build("window", {"luminance": 1010})
    problems = prove_still(tmp_path / "a.png", other, _SIGNAL, hdr, stop).problems

    assert any(problem.startswith("pixels: frame 0: R plane differs at x=") for problem in problems)
    assert any(problem.startswith("light: MaxCLL is claimed as ") for problem in problems)


def test_another_declaration_is_found(tmp_path: Path, stop: Stop) -> None:
    """A file without the mastering display that it must declare, and one whose light is not the pixels'."""
    hdr = _written(tmp_path / "a.png")
    assert hdr.mastering is not None
    wanted = replace(hdr, mastering=replace(hdr.mastering, max_luminance=40_000_000))
    (problem,) = prove_still(tmp_path / "a.png", _PATTERN, _SIGNAL, wanted, stop).problems
    assert problem.startswith("PNG: mastering is MasteringDisplay(")

    light = _PATTERN.claims(_SIGNAL).light(_SIGNAL.encoding)
    assert light is not None
    write_png(_PATTERN.draw(_SIGNAL).frame(0), hdr, replace(light, max_cll=400.0), tmp_path / "b.png")
    (problem,) = prove_still(tmp_path / "b.png", _PATTERN, _SIGNAL, hdr, stop).problems
    assert problem.startswith("light: MaxCLL is declared as 400.0, the pixels have 998.9")


def test_another_depth_is_found(tmp_path: Path, stop: Stop) -> None:
    """A 12-bit still read as a 10-bit one: significant bits and samples are not those of ten bits."""
    deep = parse_signal_format("720p60-pq", code_range="full", components="rgb", depth=12)
    hdr = _written(tmp_path / "a.png", deep)
    problems = prove_still(tmp_path / "a.png", _PATTERN, _SIGNAL, hdr, stop).problems

    assert "PNG: significant_bits is (12, 12, 12), it must be (10, 10, 10)" in problems
    assert "pixels: some samples are no widened codes of the signal's depth" in problems
