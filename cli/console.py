"""What a terminal or a machine is told: results on stdout, everything else on stderr."""

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from enum import Enum
from typing import Annotated, Any

import typer


class Output(Enum):
    """For people or for machines."""

    WORDS = "words"
    JSON = "json"


JsonOption = Annotated[bool, typer.Option("--json", help="One JSON object on standard output, for machines.")]


def output(as_json: bool) -> Output:
    """The output that the switch asks for."""
    return Output.JSON if as_json else Output.WORDS


def say(text: str) -> None:
    """A line of result."""
    sys.stdout.write(text + "\n")


def note(text: str) -> None:
    """A line beside the result."""
    sys.stderr.write(text + "\n")


def emit(value: Any) -> None:  # noqa: ANN401
    """The one JSON object."""
    sys.stdout.write(json.dumps(value, indent=2, ensure_ascii=False) + "\n")


@contextmanager
def answering(form: Output) -> Iterator[None]:
    """Turns the engine's errors into a message and an exit code: 1 a check failed, 2 anything else."""
    from knownlight.errors import Cancelled, CheckFailed, KnownlightError  # noqa: PLC0415 - quick start

    try:
        yield
    except KnownlightError as error:
        code = 1 if isinstance(error, CheckFailed) else 130 if isinstance(error, Cancelled) else 2
        if form is Output.JSON:
            emit({"error": str(error), "exit": code})
        note(f"knownlight: {error}")
        raise typer.Exit(code) from None
    except KeyboardInterrupt:
        note("knownlight: stopped; nothing unfinished was left under a final name")
        raise typer.Exit(130) from None
