"""Words for figures, at the edges of the scales. The scales are ours; what is tested is how they are used."""

import math
from collections.abc import Mapping
from pathlib import Path

import pytest

from knownlight.stress.figures import Figures, GridFigures
from knownlight.stress.labels import (
    BANDING,
    BLOCKING,
    JUMPING,
    Band,
    Severity,
    banding_of,
    blocking_of,
    jumping_of,
)

PAGE = Path(__file__).parents[3] / "docs" / "stress.md"


def figures(
    *,
    ratio: float = 1.0,
    flat8: float = 0.0,
    drawn_flat8: float | None = None,
    jump: float = 0.0,
    drawn_jump: float | None = None,
    period: int = 8,
) -> Figures:
    """Figures of which only some matter."""
    return Figures(
        area="picture",
        pictures=1,
        grids=(GridFigures(period=period, ratio=ratio, step=0.0, light_step_percent=0.0, drawn_ratio=None),),
        flat8=flat8,
        flat16=0.0,
        codes_in_use=1,
        largest_jump=jump,
        psnr=None,
        largest_error=None,
        drawn_jump=drawn_jump,
        drawn_flat8=drawn_flat8,
    )


@pytest.mark.parametrize(
    ("ratio", "word"),
    [
        (0.98, "clean"), (1.049, "clean"), (1.05, None), (1.49, None), (1.5, "mild"), (2.79, "mild"),
        (2.8, None), (4.0, "strong"), (7.9, "strong"), (8.0, None), (13.9, None), (14.0, "severe"),
    ],
)  # fmt: skip
def test_blocking_has_gaps_without_a_word(ratio: float, word: str | None) -> None:
    """What lies between two bands is of neither."""
    assert (None if word is None else Severity(word)) == blocking_of(figures(ratio=ratio))


@pytest.mark.parametrize(
    ("ratio", "flat8", "drawn_flat8", "word"),
    [
        (1.0, 0.9, None, None),  # nobody knows whether it was drawn so
        (1.0, 0.9, 0.0, None),  # coding made it flat
        (2.0, 0.9, 0.2, None),
        (1.0, 0.9, 0.9, "clean"),  # drawn flat
        (2.0, 0.9, 0.85, "mild"),
        (1.0, 0.4, None, "clean"),
        (5.0, 0.9, None, "strong"),  # enough is left to see
        (20.0, 1.0, 0.0, "severe"),
    ],
)
def test_a_collapsed_picture_is_not_called_clean(
    ratio: float, flat8: float, drawn_flat8: float | None, word: str | None
) -> None:
    """The ratio falls back to 1 where everything is flat."""
    found = figures(ratio=ratio, flat8=flat8, drawn_flat8=drawn_flat8)
    assert (None if word is None else Severity(word)) == blocking_of(found)


def test_the_scale_is_of_blocks_of_eight() -> None:
    """Other grids have no word."""
    assert blocking_of(figures(ratio=20.0, period=16)) is None


@pytest.mark.parametrize(
    ("cambi", "word"),
    [
        (0.0, "clean"),
        (0.99, "clean"),
        (1.5, None),
        (2.0, "mild"),
        (5.0, "strong"),
        (12.0, "severe"),
        (24.0, "severe"),
    ],
)
def test_banding(cambi: float, word: str | None) -> None:
    """Of a mean CAMBI."""
    assert (None if word is None else Severity(word)) == banding_of(cambi)


@pytest.mark.parametrize(
    ("jump", "drawn", "word"),
    [
        (0.4, 0.0, "clean"), (1.0, 1.2, "clean"), (1.7, 1.2, "mild"), (3.3, 1.2, "strong"),
        (7.9, 1.2, "severe"), (7.9, None, None),
    ],
)  # fmt: skip
def test_jumping_is_what_the_drawn_does_not_do(jump: float, drawn: float | None, word: str | None) -> None:
    """Of the difference; without the drawn there is no word."""
    assert (None if word is None else Severity(word)) == jumping_of(figures(jump=jump, drawn_jump=drawn))


@pytest.mark.parametrize(
    ("name", "scale"),
    [
        ("blocking ratio at 8 pixels", BLOCKING),
        ("CAMBI", BANDING),
        ("largest jump less the drawn one, codes of 8 bits", JUMPING),
    ],
)
def test_the_page_has_the_scales_that_are_used(name: str, scale: Mapping[Severity, Band]) -> None:
    """The table of docs/stress.md, band by band."""

    def told(band: Band) -> str:
        if band.least <= 0.0:
            return f"below {band.end:g}"
        return f"{band.least:g} and more" if math.isinf(band.end) else f"{band.least:g} to {band.end:g}"

    row = " | ".join([name, *(told(scale[severity]) for severity in Severity)])
    assert f"| {row} |" in PAGE.read_text("utf-8").splitlines()
