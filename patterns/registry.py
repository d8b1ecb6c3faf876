"""The families there are, and how one is built from a name and keys."""

from collections.abc import Mapping

from knownlight.errors import BadInput, nearest
from patterns.bars_bt471 import BarsBt471
from patterns.checkerboard import Checkerboard
from patterns.colour_window import ColourWindow
from patterns.family import Family
from patterns.fog import Fog
from patterns.full_field import FullField
from patterns.grey_steps import GreySteps
from patterns.near_black import NearBlack
from patterns.pan import Pan
from patterns.parameters import read
from patterns.pluge import Pluge
from patterns.ramps import Gradient, Ramp
from patterns.stars import Stars
from patterns.window import Window

_FAMILIES: tuple[type[Family], ...] = (
    Window, FullField, GreySteps, NearBlack, Ramp, Gradient, Checkerboard, Pluge, Stars,
    BarsBt471,
    ColourWindow,
    Pan, Fog,
)  # fmt: skip
FAMILIES: dict[str, type[Family]] = {family.name: family for family in _FAMILIES}


def family_named(name: str) -> type[Family]:
    """The family of a name.

    Raises:
        BadInput: where there is none, with the nearest name.
    """
    if name in FAMILIES:
        return FAMILIES[name]
    near = nearest(name, FAMILIES)
    hint = f"did you mean {near}?" if near else f"there are {', '.join(FAMILIES)}"
    raise BadInput(f"pattern {name!r} is not known; {hint}")


def build(name: str, values: Mapping[str, object], *, where: str = "") -> Family:
    """A pattern from its family's name and its parameters by key.

    Args:
        name: the family.
        values: keys with values as text or numbers; what is left out keeps its default.
        where: what opens an error message; the family's name where empty.

    Raises:
        BadInput: for an unknown family or key, or a value out of range.
    """
    family = family_named(name)
    return family(**read(family, where or name, values))
