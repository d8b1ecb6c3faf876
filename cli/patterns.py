"""knownlight patterns: families, parameters with units, ranges, defaults and source."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from cli.console import JsonOption, Output, answering, emit, output, say

if TYPE_CHECKING:
    from patterns.family import Family


def patterns(
    name: Annotated[str | None, typer.Argument(help="A family to look into.")] = None,
    as_json: JsonOption = False,
) -> None:
    """Pattern families, and the parameters of one.

    Example: knownlight patterns window
    """
    form = output(as_json)
    with answering(form):
        from patterns.registry import CHAPTERS, FAMILIES, all_families, family_named  # noqa: PLC0415 - quick start

        if name is not None:
            _show(family_named(name), form)
            return
        families = all_families()
        if form is Output.JSON:
            emit({"patterns": [_described(family) for family in families.values()]})
        else:
            width = max(map(len, families))
            brought = tuple(family for name, family in families.items() if name not in FAMILIES)
            for chapter, members in {**CHAPTERS, "Of other packages": brought}.items():
                if members:
                    say(f"{chapter}:")
                for family in members:
                    say(f"  {family.name:<{width}}  {family.title}")


def _described(family: "type[Family]") -> dict[str, Any]:
    from patterns.reference import parameter_rows  # noqa: PLC0415 - quick start

    rows = [
        {"key": row.key, "takes": row.takes, "default": row.default, "meaning": row.meaning}
        for row in parameter_rows(family)
    ]
    return {"name": family.name, "title": family.title, "source": family.source, "parameters": rows}


def _show(family: "type[Family]", form: Output) -> None:
    from patterns.reference import parameter_rows  # noqa: PLC0415 - quick start

    if form is Output.JSON:
        emit(_described(family))
        return
    say(f"{family.name}: {family.title}")
    say(f"Source: {family.source}\n")
    rows = parameter_rows(family)
    key = max(len(row.key) for row in rows)
    takes = max(len(row.takes) for row in rows)
    for row in rows:
        default = f" (default {row.default})" if row.default else ""
        say(f"  {row.key:<{key}}  {row.takes:<{takes}}  {row.meaning}{default}")
