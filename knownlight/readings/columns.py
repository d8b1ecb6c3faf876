"""The columns of readings.csv: how each field of a row is written, and how it is read back."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

import numpy as np

from knownlight.errors import BadInput
from knownlight.readings.table import NOTHING, Kind, Result, Row
from knownlight.readings.targets import Basis, Target

COLUMNS = (
    *("kind", "clip", "file", "region", "reading", "signal", "code_1", "code_2", "code_3", "from_s", "to_s"),
    *("target_luminance", "target_x", "target_y", "target_basis"),
    *("measured_luminance", "measured_x", "measured_y", "measured_at", "grade", "note"),
)
OPTIONAL = frozenset(COLUMNS[-6:])  # a table without them holds no readings yet
_FIGURES = 6  # significant, of a target's luminance: a hundredth of what a meter resolves
_PLACES = 4  # decimals of a target's x and y, as meters show them
_MOST_TYPED = 9  # decimals of what was measured: more than any meter shows; numbers.js writes the same
_MILLISECONDS = 3
_FORMULA = re.compile(r"'*[=+\-@\t\r]")  # at the start of a text: a spreadsheet would run it
_MARKED = re.compile(r"'+[=+\-@\t\r]")
_WHOLE = re.compile(r"\d{1,9}")
_NUMBER = re.compile(r"(?P<whole>-?\d*)(?P<sign>[.,]?)(?P<part>\d*)([eE][+-]?\d{1,3})?")
_THOUSANDS = 3  # digits of a group


@dataclass(frozen=True, kw_only=True)
class Writing:
    """How numbers of a file are written.

    doubtful: the sign, point or comma, that may part thousands in it, so that 1,234 cannot be told from 1234.
    """

    doubtful: str


def written(row: Row) -> list[str]:
    """The fields of a row in the order of the columns."""
    target, result = row.target, row.result
    target_xy = target.xy if target and target.xy else None
    return [
        *(row.kind.value, _text(row.clip), _text(row.file), _text(row.region), str(row.reading)),
        *(_text(row.signal), *(map(str, row.code) if row.code else ("", "", ""))),
        *(map(_rounded, row.seconds) if row.seconds else ("", "")),
        *(_significant(target.luminance) if target else "", *_pair(target_xy)),
        target.basis.value if target else "",
        "" if result.luminance is None else _as_typed(result.luminance),
        *(map(_as_typed, result.xy) if result.xy else ("", "")),
        result.at.isoformat(timespec="seconds") if result.at else "",
        "" if result.grade is None else str(result.grade),
        _text(result.note),
    ]


def _text(text: str) -> str:
    return f"'{text}" if _FORMULA.match(text) else text


def _significant(value: float) -> str:
    return np.format_float_positional(value, precision=_FIGURES, fractional=False, trim="-")


def _as_typed(value: Decimal) -> str:
    """Without an exponent, and with the digits it has: the last one tells how finely it was read."""
    exponent = value.as_tuple().exponent
    too_many = isinstance(exponent, int) and exponent < -_MOST_TYPED
    return f"{value:.{_MOST_TYPED}f}" if too_many else f"{value:f}"


def _rounded(value: float) -> str:
    return np.format_float_positional(value, precision=_MILLISECONDS, trim="-")


def _pair(xy: tuple[float, float] | None) -> tuple[str, str]:
    return (f"{xy[0]:.{_PLACES}f}", f"{xy[1]:.{_PLACES}f}") if xy else ("", "")


def read(fields: Mapping[str, str], writing: Writing) -> Row:
    """A row from its fields by column; those of `OPTIONAL` may be missing.

    Raises:
        BadInput: the message begins with the column.
    """
    reader = _Fields(fields, writing)
    codes = [reader.whole(name) for name in ("code_1", "code_2", "code_3")]
    first, second, third = codes
    code = None
    if first is not None and second is not None and third is not None:
        code = (first, second, third)
    elif codes != [None] * 3:
        raise BadInput("code_1: one of the three codes is missing; give all, or none")
    reading = reader.whole("reading")
    if reading == 0:
        raise BadInput("reading: 0 is none; the first is 1")
    return Row(
        kind=reader.kind(),
        clip=reader.text("clip"),
        file=reader.text("file"),
        region=reader.text("region"),
        reading=1 if reading is None else reading,
        signal=reader.text("signal"),
        code=code,
        seconds=reader.numbers("from_s", "to_s"),
        target=reader.target(),
        result=reader.result(),
    )


class _Fields:
    """Fields of one row, each read in its own way."""

    def __init__(self, fields: Mapping[str, str], writing: Writing) -> None:
        self._fields = fields
        self._writing = writing

    def text(self, column: str) -> str:
        text = self._fields.get(column, "")
        return text[1:] if _MARKED.match(text) else text

    def kind(self) -> Kind:
        text = self._plain("kind")
        try:
            return Kind(text)
        except ValueError:
            kinds = ", ".join(kind.value for kind in Kind)
            raise BadInput(f"kind: {text!r} is not known; use one of {kinds}") from None

    def whole(self, column: str) -> int | None:
        text = self._plain(column)
        if not text:
            return None
        if not (text.isascii() and _WHOLE.fullmatch(text)):
            raise BadInput(f"{column}: {text!r} is no whole number; write it in figures")
        return int(text)

    def figure(self, column: str) -> Decimal | None:
        """A number with all digits that it is written with."""
        text = self._plain(column)
        if not text:
            return None
        match = _NUMBER.fullmatch(text) if text.isascii() else None
        if match is None or not (match["whole"].strip("-") or match["part"]):
            raise BadInput(f"{column}: {text!r} is no number; write it as 1234.5, without a unit")
        value = Decimal(text.replace(",", "."))
        if math.isinf(float(value)):
            raise BadInput(f"{column}: {text!r} is too large; write it as it was read")
        return value

    def number(self, column: str) -> float | None:
        value = self.figure(column)
        return None if value is None else float(value)

    def figures(self, first: str, second: str) -> tuple[Decimal, Decimal] | None:
        values = self.figure(first), self.figure(second)
        if values[0] is None and values[1] is None:
            return None
        if values[0] is None or values[1] is None:
            missing, given = (first, second) if values[0] is None else (second, first)
            raise BadInput(f"{missing}: it is empty and {given} is not; give both, or none")
        return values[0], values[1]

    def numbers(self, first: str, second: str) -> tuple[float, float] | None:
        values = self.figures(first, second)
        return None if values is None else (float(values[0]), float(values[1]))

    def target(self) -> Target | None:
        luminance, xy = self.number("target_luminance"), self.numbers("target_x", "target_y")
        word = self._plain("target_basis")
        if luminance is None:
            return None
        try:
            return Target(luminance=luminance, xy=xy, basis=Basis(word))
        except ValueError:
            words = ", ".join(basis.value for basis in Basis)
            raise BadInput(f"target_basis: {word!r} is not known; use one of {words}") from None

    def result(self) -> Result:
        self._check_thousands("measured_luminance")
        result = Result(
            luminance=self.figure("measured_luminance"),
            xy=self.figures("measured_x", "measured_y"),
            at=self._moment("measured_at"),
            grade=self.whole("grade"),
            note=self.text("note"),
        )
        return NOTHING if result == NOTHING else result

    def _check_thousands(self, column: str) -> None:
        """Refuse a number that may be a thousand times what it seems."""
        match = _NUMBER.fullmatch(self._plain(column))
        if match is None or match["sign"] != self._writing.doubtful:
            return
        if len(match["part"]) == _THOUSANDS and match["whole"].strip("-0"):
            raise BadInput(
                f"{column}: {match.group()!r} may part thousands or decimals; "
                f"write {match['whole']}{match['part']} or give it another decimal"
            )

    def _moment(self, column: str) -> datetime | None:
        text = self._plain(column)
        try:
            return datetime.fromisoformat(text) if text else None
        except ValueError:
            raise BadInput(
                f"{column}: {text!r} is no time; write it as 2026-01-31T20:15:00+01:00, or leave it empty"
            ) from None

    def _plain(self, column: str) -> str:
        """A field that is no text, without spaces about it or the apostrophe of a spreadsheet."""
        return self._fields.get(column, "").strip().lstrip("'")
