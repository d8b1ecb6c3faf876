"""knownlight deliveries: the kinds of files there are, and which of them this machine can make."""

from cli.console import JsonOption, Output, answering, emit, output, say


def deliveries(as_json: JsonOption = False) -> None:
    """The kinds of clips that can be made, and whether they can be made here.

    Example: knownlight deliveries
    """
    form = output(as_json)
    with answering(form):
        from knownlight.encode.deliveries import DELIVERIES, why_not_here  # noqa: PLC0415 - quick start

        why_not = {delivery.name: why_not_here(delivery) for delivery in DELIVERIES.values()}
        rows = [
            {
                "name": delivery.name,
                "codec": delivery.coder.codec,
                "container": delivery.suffix.removeprefix(".").upper(),
                "bits": list(delivery.coder.bits),
                "exactness": delivery.coder.exactness,
                "here": not why_not[delivery.name],
                "why_not": why_not[delivery.name],
            }
            for delivery in DELIVERIES.values()
        ]
        if form is Output.JSON:
            emit({"deliveries": rows})
            return
        for row, delivery in zip(rows, DELIVERIES.values(), strict=True):
            bits = " and ".join(map(str, delivery.coder.bits))
            here = "here" if row["here"] else f"not here: {row['why_not']}"
            say(f"{delivery.name}  {row['codec']} in {row['container']}, {bits} bits  {here}")
            say(f"    {delivery.coder.exactness}")
