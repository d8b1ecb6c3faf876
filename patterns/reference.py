"""The reference text of a family's parameters: the same for the command line and the documents."""

from dataclasses import dataclass, fields
from typing import Any

from patterns.family import Family
from patterns.parameters import Kind, Spec, key_unit, keys


@dataclass(frozen=True)
class ParameterRow:
    """One key: what it takes, its default ("" where another key of the same level holds it), its meaning."""

    key: str
    takes: str
    default: str
    meaning: str


def parameter_rows(family: type[Family]) -> list[ParameterRow]:
    """Every key of a family, in order."""
    defaults: dict[str, Any] = {entry.name: entry.default for entry in fields(family)}
    rows = []
    for key, (name, spec, unit) in keys(family).items():
        default = defaults[name]
        if unit is None:
            if key == name:
                rows.append(ParameterRow(key, _takes(spec), _plain(default), spec.meaning))
        else:
            assert spec.kind is Kind.LEVEL  # noqa: S101 - only levels have units of their own
            shown = _plain(default.value) if default.unit is unit else ""
            rows.append(ParameterRow(key, key_unit(spec, unit), shown, spec.meaning))
    return rows


def _takes(spec: Spec) -> str:
    if spec.kind is Kind.FILE:
        return spec.unit
    if spec.kind is Kind.CHOICE:
        return " | ".join(spec.choices)
    if spec.kind is Kind.TEXT:
        return f"up to {spec.maximum:g} {spec.unit}"
    return f"{spec.minimum:g} to {spec.maximum:g} {spec.unit}".strip()


def _plain(value: object) -> str:
    if value is None:
        return ""
    return f"{value:g}" if isinstance(value, float) else str(value)
