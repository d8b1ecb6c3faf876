"""What is asked of a poor clip: how severe its blocks or how low its rate, and how it is coded."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TypeVar

from knownlight.encode.delivery import LoopFilter
from knownlight.errors import BadInput, nearest
from knownlight.stress.labels import Severity

Value = str | int | float

SEVERITY, MEGABITS, LOOP_FILTER, GENERATIONS, SPLIT = (
    "severity",
    "megabits",
    "loop_filter",
    "generations",
    "split",
)
KEYS = {
    SEVERITY: "how far the blocks go, by measure: clean, mild, strong or severe",
    MEGABITS: "the mean rate in Mb/s, instead of a severity",
    LOOP_FILTER: "whether the coder smooths its blocks: on or off; off for a severity, on for a rate",
    GENERATIONS: "how often it is coded: 1, or 2 for coded by another coder before, as cable does",
    SPLIT: "shows the clean picture beside what this delivery makes of it; the clip itself must be exact",
}
_LOWEST, _HIGHEST = 0.05, 400.0  # Mb/s
_MOST_GENERATIONS = 2
_E = TypeVar("_E", bound=Enum)


@dataclass(frozen=True, kw_only=True)
class Poor:
    """How a clip is to be coded poorly.

    severity: that its blocking must earn, or None where a rate is asked for. megabits: mean Mb/s, or None.
    loop_filter: of the coder. generations: 1, or 2. split: delivery whose faults stand beside the clean
    picture; empty for a clip that is coded whole.
    """

    severity: Severity | None
    megabits: float | None
    loop_filter: LoopFilter
    generations: int = 1
    split: str = ""

    @property
    def is_coded_poorly(self) -> bool:
        """Whether a coder's faults are asked for; a clean clip is coded as well as ever."""
        return self.severity is not Severity.CLEAN

    def words(self) -> dict[str, Value]:
        """By key: what `poor_of` turns into the same."""
        if not self.is_coded_poorly:
            return {SEVERITY: Severity.CLEAN.value}
        words: dict[str, Value] = {LOOP_FILTER: self.loop_filter.value, GENERATIONS: self.generations}
        if self.severity is not None:
            words[SEVERITY] = self.severity.value
        if self.megabits is not None:
            words[MEGABITS] = self.megabits
        if self.split:
            words[SPLIT] = self.split
        return words


def poor_of(values: Mapping[str, object], where: str) -> Poor | None:
    """What some keys ask for; None where there are none.

    Raises:
        BadInput: for an unknown key or value, opening with `where`.
    """
    if not values:
        return None
    for key in values:
        if key not in KEYS:
            near = nearest(key, KEYS)
            hint = f"did you mean {near}?" if near else f"use {', '.join(KEYS)}"
            raise BadInput(f"{where}: {key} is not a key of poor coding; {hint}")
    if (SEVERITY in values) == (MEGABITS in values):
        raise BadInput(f"{where}: give one of {SEVERITY} and {MEGABITS}")
    severity = _member(Severity, values[SEVERITY], SEVERITY, where) if SEVERITY in values else None
    usual = LoopFilter.ON if severity is None else LoopFilter.OFF
    poor = Poor(
        severity=severity,
        megabits=_megabits(values[MEGABITS], where) if MEGABITS in values else None,
        loop_filter=_member(LoopFilter, values.get(LOOP_FILTER, usual.value), LOOP_FILTER, where),
        generations=_generations(values.get(GENERATIONS, 1), where),
        split=str(values.get(SPLIT, "")),
    )
    if severity is Severity.CLEAN and (poor.split or poor.generations > 1 or LOOP_FILTER in values):
        raise BadInput(f"{where}: {SEVERITY}=clean is coded as well as can be; leave the other keys out")
    if severity is not None and poor.loop_filter is LoopFilter.ON:
        raise BadInput(
            f"{where}: {LOOP_FILTER}=on smears and bands, and earns no severity of blocks; "
            f"give {MEGABITS} with it"
        )
    return poor


def _member(kind: type[_E], value: object, key: str, where: str) -> _E:
    try:
        return kind(value)
    except ValueError:
        choices = ", ".join(str(member.value) for member in kind)
        raise BadInput(f"{where}: {key}={value} is not known; use one of {choices}") from None


def _megabits(value: object, where: str) -> float:
    try:
        rate = float(str(value))
    except ValueError:
        rate = 0.0
    if not _LOWEST <= rate <= _HIGHEST:
        raise BadInput(f"{where}: {MEGABITS}={value}: use {_LOWEST:g} to {_HIGHEST:g} Mb/s")
    return rate


def _generations(value: object, where: str) -> int:
    if str(value) not in map(str, range(1, _MOST_GENERATIONS + 1)):
        raise BadInput(f"{where}: {GENERATIONS}={value}: use 1 or {_MOST_GENERATIONS}")
    return int(str(value))
