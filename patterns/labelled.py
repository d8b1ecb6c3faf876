"""Pictures of many small labelled patches: the grid they stand in, and how far their codes are apart."""

import math
from dataclasses import dataclass
from typing import Any

from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect, even_edges
from patterns.canvas import centred_label, label_dot
from patterns.parameters import count_parameter
from patterns.patches import Label


@dataclass(frozen=True)
class Cell:
    """A patch and the room for its label below it."""

    patch: Rect
    below: Rect


def cells(signal: SignalFormat, count: int) -> list[Cell]:
    """So many cells in reading order, in a grid of about the picture's aspect.

    A patch has three quarters of its cell's width and five eighths of its height.
    """
    columns = math.ceil(math.sqrt(count * 16 / 9))
    rows = math.ceil(count / columns)
    across, down = even_edges(signal.width, columns), even_edges(signal.height, rows)
    made = []
    for index in range(count):
        row, column = divmod(index, columns)
        left, right, top, bottom = across[column], across[column + 1], down[row], down[row + 1]
        margin_x, margin_y = 2 * ((right - left) // 16), 2 * ((bottom - top) // 16)
        patch = Rect(
            left + margin_x, top + margin_y, right - left - 2 * margin_x, 2 * ((bottom - top) * 5 // 16)
        )
        made.append(Cell(patch, Rect(left, patch.bottom, right - left, bottom - patch.bottom)))
    return made


def inset(rect: Rect, eighths: int) -> Rect:
    """The middle of a rectangle, so many eighths of its width and height inside its edges."""
    margin_x, margin_y = 2 * (rect.width * eighths // 16), 2 * (rect.height * eighths // 16)
    return Rect(rect.x + margin_x, rect.y + margin_y, rect.width - 2 * margin_x, rect.height - 2 * margin_y)


def centred(signal: SignalFormat, text: str, room: Rect, code: int) -> Label:
    """A label in the middle of a room."""
    dot = label_dot(signal)
    return Label(text, *centred_label(text, dot, room), dot, code)


def step_parameter() -> Any:  # noqa: ANN401
    """A field for the codes from one patch to the next."""
    return count_parameter(
        0,
        "from patch to patch; 0 is one code of 8 bits: 1, 4 or 16 codes of 8, 10 or 12 bits",
        minimum=0,
        maximum=32,
        unit="codes",
    )


def step_codes(step: int, signal: SignalFormat) -> int:
    """Codes of a step in a signal."""
    return step or 1 << (signal.depth - 8)
