"""The families there are, and how one is built from a name and keys."""

from collections.abc import Mapping

from knownlight.errors import BadInput, nearest
from patterns.bars_bt471 import BarsBt471
from patterns.bars_bt2111 import BarsBt2111
from patterns.bars_rp219 import BarsRp219
from patterns.block_steps import BlockSteps
from patterns.cadence import Cadence
from patterns.checkerboard import Checkerboard
from patterns.chroma_detail import ChromaDetail
from patterns.code_pairs import CodePairs
from patterns.colour_gradient import ColourGradient
from patterns.colour_samples import ColourSamples
from patterns.colour_sequence import ColourSequence
from patterns.colour_window import ColourWindow
from patterns.credits import Credits
from patterns.dark_beside_busy import DarkBesideBusy
from patterns.dark_fade import DarkFade
from patterns.fade import Fade
from patterns.family import Family
from patterns.fog import CoarseFog, Fog
from patterns.frame_edges import FrameEdges
from patterns.full_field import FullField
from patterns.gamut_nest import GamutNest
from patterns.gradient_bands import GradientBands
from patterns.grainy_stars import GrainyStars
from patterns.grey_steps import GreySteps
from patterns.grey_to_grey import GreyToGrey
from patterns.highlight_steps import HighlightSteps
from patterns.hue_ring import HueRing
from patterns.letterbox import Letterbox
from patterns.line_pairs import LinePairs
from patterns.lip_sync import LipSync
from patterns.moving_edge import MovingEdge
from patterns.moving_window import MovingWindow
from patterns.multiburst import Multiburst
from patterns.near_black import NearBlack
from patterns.near_white import NearWhite
from patterns.pan import Pan
from patterns.parameters import Opener, read
from patterns.path_card import PathCard
from patterns.picture import Picture
from patterns.pixel_grid import PixelGrid
from patterns.pluge import Pluge
from patterns.plugins import brought_families
from patterns.ramps import Gradient, Ramp
from patterns.saturation_card import SaturationCard
from patterns.scene import Scene
from patterns.self_test import SelfTest
from patterns.sequences import Flash, GreySequence, LoadingSequence
from patterns.sharpness import Sharpness
from patterns.skin_tones import SkinTones
from patterns.slate import Slate
from patterns.soft_light import SoftLight
from patterns.stars import Stars
from patterns.subtitles import Subtitles
from patterns.swinging_bar import SwingingBar
from patterns.uniformity_marks import UniformityMarks
from patterns.vignette import Vignette
from patterns.window import Window
from patterns.window_pair import WindowPair
from patterns.zone_plate import ZonePlate
from patterns.zone_walk import ZoneWalk

CHAPTERS: dict[str, tuple[type[Family], ...]] = {
    "Light": (Window, FullField, WindowPair, LoadingSequence, Flash),
    "Grey": (GreySteps, GreySequence, NearBlack, CodePairs, NearWhite, HighlightSteps, Pluge),
    "Bars": (BarsBt2111, BarsRp219, BarsBt471),
    "Colour": (ColourWindow, ColourSequence, SaturationCard, ColourSamples, SkinTones, HueRing, GamutNest),
    "Contrast and dimming": (Checkerboard, Stars, MovingWindow, ZoneWalk, Subtitles, Letterbox, Fade),
    "Uniformity and banding": (UniformityMarks, Ramp, Gradient, GradientBands, ColourGradient),
    "Detail": (PixelGrid, LinePairs, Multiburst, ZonePlate, ChromaDetail, FrameEdges, Sharpness),
    "Motion": (Pan, MovingEdge, SwingingBar, Cadence, GreyToGrey),
    "Every path": (SelfTest, PathCard, LipSync),
    "Stress": (
        Fog,
        CoarseFog,
        DarkBesideBusy,
        DarkFade,
        Vignette,
        SoftLight,
        GrainyStars,
        Credits,
        BlockSteps,
    ),
    "Between clips": (Slate,),
    "Your own": (Picture, Scene),
}
FAMILIES: dict[str, type[Family]] = {
    family.name: family for families in CHAPTERS.values() for family in families
}


def all_families() -> dict[str, type[Family]]:
    """Those that come with the program, then those of installed packages."""
    return FAMILIES | brought_families(FAMILIES)


def family_named(name: str) -> type[Family]:
    """The family of a name; other packages are asked only where the program has none.

    Raises:
        BadInput: where there is none, with the nearest name.
    """
    if name in FAMILIES:
        return FAMILIES[name]
    families = all_families()
    if name in families:
        return families[name]
    near = nearest(name, families)
    hint = f"did you mean {near}?" if near else f"there are {', '.join(families)}"
    raise BadInput(f"pattern {name!r} is not known; {hint}")


def build(
    name: str, values: Mapping[str, object], *, where: str = "", opener: Opener | None = None
) -> Family:
    """A pattern from its family's name and its parameters by key.

    Args:
        name: the family.
        values: keys with values as text or numbers; what is left out keeps its default.
        where: what opens an error message; the family's name where empty.
        opener: opens the files that keys name.

    Raises:
        BadInput: for an unknown family or key, or a value out of range.
    """
    family = family_named(name)
    return family(**read(family, where or name, values, opener))
