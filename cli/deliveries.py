"""knownlight deliveries: the kinds of files there are, and which of them this machine can make."""

from typing import TYPE_CHECKING, Any

from cli.console import JsonOption, Output, answering, emit, output, say

if TYPE_CHECKING:
    from knownlight.encode.delivery import Coder
    from knownlight.encode.stills.delivery import StillDelivery


def deliveries(as_json: JsonOption = False) -> None:
    """The kinds of clips and stills that can be made, and whether they can be made here.

    Example: knownlight deliveries
    """
    form = output(as_json)
    with answering(form):
        from knownlight.encode.deliveries import DELIVERIES, why_not_here  # noqa: PLC0415 - quick start
        from knownlight.encode.stills.formats import STILLS  # noqa: PLC0415

        clips = [
            _row(delivery.name, delivery.coder, delivery.suffix, why_not_here(delivery))
            for delivery in DELIVERIES.values()
        ]
        stills = [
            _row(still.name, still, still.suffixes[0], still.why_not_here()) for still in STILLS.values()
        ]
        if form is Output.JSON:
            emit({"deliveries": clips, "stills": stills})
            return
        say("Clips:")
        for row in clips:
            _show(row, f"{row['codec']} in {row['container']}")
        say("\nStills, by the ending of the file name:")
        for row in stills:
            _show(row, row["codec"])


def _row(name: str, kind: "Coder | StillDelivery", suffix: str, why_not: str) -> dict[str, Any]:
    return {
        "name": name,
        "codec": kind.codec,
        "container": suffix.removeprefix(".").upper(),
        "bits": list(kind.bits),
        "exactness": kind.exactness,
        "here": not why_not,
        "why_not": why_not,
    }


def _show(row: dict[str, Any], kind: str) -> None:
    bits = " and ".join(", ".join(map(str, row["bits"])).rsplit(", ", 1))
    here = "here" if row["here"] else f"not here: {row['why_not']}"
    say(f"{row['name']}  {kind}, {bits} bits  {here}")
    say(f"    {row['exactness']}")
