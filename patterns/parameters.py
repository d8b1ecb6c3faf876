"""Parameters of a pattern: declared once, then checked, read from text, written back and documented.

A parameter is a field of a frozen dataclass that carries a `Spec`. A level field stands for several keys, one
a unit: field `level` is set by `luminance=`, `signal_percent=` or `code=`, field `surround_level` by
`surround_luminance=` and so on.
"""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from enum import Enum
from typing import Any, Protocol

from knownlight.errors import BadInput, nearest
from knownlight.frame.format import SignalFormat
from knownlight.frame.glyphs import missing_glyph
from knownlight.signal.code_range import CodeRange
from knownlight.signal.encoding import Transfer

Value = str | int | float


class LevelUnit(Enum):
    """How a level is given; the value is the key's ending."""

    LUMINANCE = "luminance"  # cd/m²
    SIGNAL_PERCENT = "signal_percent"
    CODE = "code"  # in the signal's own depth and range
    FALL = "fall"  # cd/m²; the level that brings the frame average to it
    APL_PERCENT = "apl_percent"  # the level that brings the mean signal to it


_WHITE_PERCENT = 100.0
_FAR_PERCENT = 1e6  # further than any signal, and still a code that can be named
_DIGEST = "_sha256"  # a file's key with this ending says which file it must be

PLAIN_UNITS = (LevelUnit.LUMINANCE, LevelUnit.SIGNAL_PERCENT, LevelUnit.CODE)
FILLING_UNITS = (*PLAIN_UNITS, LevelUnit.FALL, LevelUnit.APL_PERCENT)

_UNIT_WORDS = {
    LevelUnit.LUMINANCE: "cd/m²",
    LevelUnit.SIGNAL_PERCENT: "%",
    LevelUnit.CODE: "code",
    LevelUnit.FALL: "cd/m²",
    LevelUnit.APL_PERCENT: "%",
}


@dataclass(frozen=True)
class Level:
    """A light level in one of its units."""

    unit: LevelUnit
    value: float


class Kind(Enum):
    """What a parameter holds."""

    NUMBER = "number"
    COUNT = "whole number"
    CHOICE = "word"
    LEVEL = "level"
    TEXT = "text"
    FILE = "file"


@dataclass(frozen=True, kw_only=True)
class Spec:
    """What a field may hold and what it means."""

    kind: Kind
    meaning: str
    unit: str = ""
    minimum: float = 0.0
    maximum: float = 0.0
    choices: tuple[str, ...] = ()
    level_units: tuple[LevelUnit, ...] = ()


def number_parameter(default: float, meaning: str, *, minimum: float, maximum: float, unit: str) -> Any:  # noqa: ANN401
    """A field for a number."""
    spec = Spec(kind=Kind.NUMBER, meaning=meaning, unit=unit, minimum=minimum, maximum=maximum)
    return field(default=default, metadata={"spec": spec})


def count_parameter(default: int, meaning: str, *, minimum: int, maximum: int, unit: str) -> Any:  # noqa: ANN401
    """A field for a whole number."""
    spec = Spec(kind=Kind.COUNT, meaning=meaning, unit=unit, minimum=minimum, maximum=maximum)
    return field(default=default, metadata={"spec": spec})


def choice_parameter(default: str, meaning: str, *, choices: tuple[str, ...]) -> Any:  # noqa: ANN401
    """A field for one of some words."""
    return field(default=default, metadata={"spec": Spec(kind=Kind.CHOICE, meaning=meaning, choices=choices)})


def text_parameter(default: str, meaning: str, *, longest: int) -> Any:  # noqa: ANN401
    """A field for a text to be drawn, of so many characters at most; small letters are drawn as capitals."""
    spec = Spec(kind=Kind.TEXT, meaning=meaning, unit="characters", maximum=longest)
    return field(default=default, metadata={"spec": spec})


def level_parameter(
    value: float,
    meaning: str,
    *,
    units: tuple[LevelUnit, ...] = PLAIN_UNITS,
    unit: LevelUnit = LevelUnit.SIGNAL_PERCENT,
) -> Any:  # noqa: ANN401
    """A field for a level; its name is `level` or ends in `_level`. unit: of the default value."""
    spec = Spec(kind=Kind.LEVEL, meaning=meaning, level_units=units)
    return field(default=Level(unit, value), metadata={"spec": spec})


def file_parameter(meaning: str, *, kinds: str) -> Any:  # noqa: ANN401
    """A field for what a file of the user's holds; None where none is given. `kinds`: of files, in words."""
    return field(default=None, metadata={"spec": Spec(kind=Kind.FILE, meaning=meaning, unit=kinds)})


class FileContent(Protocol):
    """What a file holds, opened by a floor above."""

    @property
    def name(self) -> str:
        """The file as the user wrote it."""
        ...

    @property
    def sha256(self) -> str:
        """Of the file."""
        ...


Opener = Callable[[str, str], FileContent]  # a family's name and a file as the user wrote it


def specs(family: type) -> dict[str, Spec]:
    """The specs of a family by field name, in order."""
    return {entry.name: entry.metadata["spec"] for entry in dataclasses.fields(family)}


def level_key(field_name: str, unit: LevelUnit) -> str:
    """The key that sets a level field in a unit."""
    return field_name.removesuffix("level") + unit.value


def keys(family: type) -> dict[str, tuple[str, Spec, LevelUnit | None]]:
    """Every key a family takes, with the field it sets and the unit it sets it in."""
    result: dict[str, tuple[str, Spec, LevelUnit | None]] = {}
    for name, spec in specs(family).items():
        if spec.kind is Kind.LEVEL:
            for unit in spec.level_units:
                result[level_key(name, unit)] = (name, spec, unit)
        else:
            result[name] = (name, spec, None)
        if spec.kind is Kind.FILE:
            result[name + _DIGEST] = (name, spec, None)
    return result


def key_unit(spec: Spec, unit: LevelUnit | None) -> str:
    """The unit of a key in words."""
    return _UNIT_WORDS[unit] if unit else spec.unit


def check_field(where: str, name: str, spec: Spec, value: object) -> None:
    """Raise BadInput where a value is outside its spec. Levels are checked against a signal later."""
    if spec.kind in (Kind.LEVEL, Kind.FILE):
        return
    if spec.kind is Kind.CHOICE:
        if value not in spec.choices:
            raise BadInput(f"{where}: {name}={value} is not known; use one of {', '.join(spec.choices)}")
        return
    if spec.kind is Kind.TEXT:
        _check_text(where, name, spec, str(value))
        return
    assert isinstance(value, int | float)  # noqa: S101 - `read` made it so
    if not spec.minimum <= value <= spec.maximum:
        raise BadInput(
            f"{where}: {name}={value:g} is out of range; use {spec.minimum:g} to {spec.maximum:g} {spec.unit}"
        )


def _check_text(where: str, name: str, spec: Spec, text: str) -> None:
    """Raise BadInput where a text is too long or cannot be drawn."""
    text = text.upper()  # as it is drawn: one small letter may become two capitals
    if len(text) > spec.maximum:
        raise BadInput(f"{where}: {name} has {len(text)} characters; use {spec.maximum:g} at most")
    missing = missing_glyph(text)
    if missing:
        raise BadInput(
            f"{where}: {name}: there is no letter {missing!r}; use a to z, figures and . , - + % / :"
        )


def read(
    family: type, where: str, values: Mapping[str, object], opener: Opener | None = None
) -> dict[str, Any]:
    """Field values from keys as text or as numbers.

    Args:
        family: the class.
        where: what opens an error message.
        values: by key.
        opener: opens the files that keys name; without it no file can be named.

    Raises:
        BadInput: for an unknown key, a value of the wrong kind, or one level set in two units.
    """
    known = keys(family)
    fields: dict[str, Any] = {}
    set_by: dict[str, str] = {}
    for key, value in values.items():
        if key not in known:
            near = nearest(key, known)
            hint = f"; did you mean {near}?" if near else f"; it takes {', '.join(known)}"
            raise BadInput(f"{where}: {key} is not a parameter{hint}")
        name, spec, unit = known[key]
        if spec.kind is Kind.FILE:
            if key == name:
                fields[name] = _opened(family, where, key, values, opener)
            elif name not in values:
                raise BadInput(f"{where}: {key} says which file {name} must be; give {name} too")
            continue
        if name in set_by:
            raise BadInput(f"{where}: {set_by[name]} and {key} set the same level; give one of them")
        set_by[name] = key
        fields[name] = _read_value(where, key, spec, unit, value)
    return fields


def _opened(
    family: type, where: str, key: str, values: Mapping[str, object], opener: Opener | None
) -> FileContent:
    """What a named file holds; where a digest is named too, it must be that file still."""
    file = str(values[key])
    if opener is None:
        raise BadInput(f"{where}: {key}={file}: no file can be opened here; leave it out")
    content = opener(family.name, file)  # type: ignore[attr-defined]  # every family has a name
    wanted = values.get(key + _DIGEST, content.sha256)
    if wanted != content.sha256:
        raise BadInput(
            f"{where}: {key}={file}, or a file that it names, is not what was used (SHA-256 {wanted}); "
            "bring that back"
        )
    return content


def _read_value(where: str, key: str, spec: Spec, unit: LevelUnit | None, value: object) -> Any:  # noqa: ANN401
    if spec.kind in (Kind.CHOICE, Kind.TEXT):
        return str(value)
    wanted = "a whole number" if spec.kind is Kind.COUNT or unit is LevelUnit.CODE else "a number"
    try:
        if isinstance(value, bool):
            raise ValueError  # noqa: TRY301, TRY004 - worded with the others below
        parsed = float(str(value))
    except ValueError:
        raise BadInput(
            f"{where}: {key}={value} is not {wanted}; write it bare, in {key_unit(spec, unit) or 'figures'}"
        ) from None
    if parsed != parsed or parsed in (float("inf"), float("-inf")):  # noqa: PLR0124
        raise BadInput(f"{where}: {key}={value} is not {wanted}")
    if wanted == "a whole number":
        if parsed != int(parsed):
            raise BadInput(f"{where}: {key}={value} is not {wanted}")
        parsed = int(parsed)
    return Level(unit, parsed) if unit else parsed


def written(pattern: Any) -> dict[str, Value]:  # noqa: ANN401
    """Every parameter of a pattern by key: what `read` turns into the same fields."""
    result: dict[str, Value] = {}
    for name, spec in specs(type(pattern)).items():
        value = getattr(pattern, name)
        if spec.kind is Kind.LEVEL:
            result[level_key(name, value.unit)] = value.value
        elif spec.kind is not Kind.FILE:
            result[name] = value
        elif value is not None:
            result |= {name: value.name, name + _DIGEST: value.sha256}
    return result


def luma_code(where: str, field_name: str, asked: Level, signal: SignalFormat) -> int:
    """The luma code of a plain level in a signal.

    Raises:
        BadInput: where the signal has no such level, naming the key.
    """
    key = level_key(field_name, asked.unit)
    encoding, quantisation = signal.encoding, signal.quantisation
    if asked.unit is LevelUnit.LUMINANCE:
        try:
            return encoding.grey_code_from_luminance(asked.value)
        except BadInput as error:
            raise BadInput(f"{where}: {key}={asked.value:g}: {error}") from None
    if asked.unit is LevelUnit.SIGNAL_PERCENT:
        percent = min(max(asked.value, -_FAR_PERCENT), _FAR_PERCENT)
        code = int(quantisation.luma_code(percent / 100.0))
        if signal.transfer is Transfer.PQ and asked.value > _WHITE_PERCENT:
            raise BadInput(f"{where}: {key}={asked.value:g}: PQ means nothing above 100 %; use 100 or less")
        if quantisation.code_range is CodeRange.FULL and not 0.0 <= asked.value <= _WHITE_PERCENT:
            raise BadInput(
                f"{where}: {key}={asked.value:g}: full range has 0 to 100 % only; use a level inside"
            )
    else:
        code = int(asked.value)
    lowest, highest = quantisation.lowest_allowed, quantisation.highest_allowed
    if not lowest <= code <= highest:
        raise BadInput(
            f"{where}: {key}={asked.value:g} is code {code}, outside the codes {lowest} to {highest} "
            f"of {signal.depth} bits at {quantisation.code_range.value} range"
        )
    return code
