"""What readings.csv says of the displays: the page exports what its reader typed of white, peak and black."""

import re
from collections.abc import Iterable
from dataclasses import replace

from knownlight.errors import BadInput
from knownlight.pack.manifest import Manifest
from knownlight.readings.display import DEFAULTS, display_of, kind_named
from knownlight.readings.table import Kind, Row
from knownlight.sheet.build import displays_of, with_display

_KEY = re.compile(r"display-(?P<kind>sdr|hlg|pq)-(?P<part>peak|black)")
_NUMBER = re.compile(r"\d+([.,]\d*)?|[.,]\d+", re.ASCII)


def key_of(display_kind: str, part: str) -> str:
    """The key of a row of the set-up. part: peak or black."""
    return f"display-{display_kind}-{part}"


def with_typed_displays(manifest: Manifest, rows: Iterable[Row]) -> Manifest:
    """The manifest with the displays of a table, where they are others than its own.

    The reference ones say nothing: a page exports them where nobody has typed any.

    Raises:
        BadInput: naming the row, where it holds no such display.
    """
    typed: dict[str, dict[str, float]] = {}
    for row in rows:
        match = _KEY.fullmatch(row.region) if row.kind is Kind.SETUP else None
        if match and row.result.note.strip():
            typed.setdefault(match["kind"], {})[match["part"]] = _number(row)
    for kind, parts in typed.items():
        known = display_of(kind_named(kind), displays_of(manifest))
        try:
            peak, black = parts.get("peak", known.peak), parts.get("black", known.black)
            display = replace(known, peak=peak, black=black)
        except BadInput as error:
            raise BadInput(f"{key_of(kind, next(iter(parts)))}: {error}") from None
        if display not in (known, DEFAULTS[known.kind]):
            manifest = with_display(manifest, display)
    return manifest


def _number(row: Row) -> float:
    text = row.result.note.strip()
    if not _NUMBER.fullmatch(text):
        raise BadInput(f"{row.region}: {text!r} is no number; write cd/m² as 212 or 0.05, or leave it empty")
    return float(text.replace(",", "."))
