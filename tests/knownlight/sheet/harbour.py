"""A run sheet of our own invention: a harbour at dusk, in every kind of signal, with every caution."""

import numpy as np

from knownlight.frame.format import parse_signal_format
from knownlight.sheet.model import Card, ChapterCard, JoinedCard, Patch, Question, SheetModel
from knownlight.signal.chromaticity import xy_from_xyz

PIXEL = (  # one grey point, as a PNG
    "data:image/png;base64,"
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNoaGj4DwAFhAKAjM1mJgAAAABJRU5ErkJggg=="
)
HLG_WEIGHTS = (0.2627, 0.6780, 0.0593)  # BT.2100-2 Table 5
BASES = {"sdr": "BT.1886", "pq": "PQ", "hlg": "HLG"}
STICKY = "Supercalibrationsuntersuchungsbildwiederholung" * 3  # a word that is longer than a phone is wide
MARKUP = """</script><!-- <b>"bold"</b> & 'so on' -->"""


def patch(
    name: str, code: tuple[int, int, int], signal: str, seconds: tuple[float, float] | None = None
) -> Patch:
    """A region of these codes with its target on the reference display."""
    encoding = parse_signal_format(signal).encoding
    xyz = encoding.xyz(code)
    x, y = (float(value) for value in xy_from_xyz(xyz))
    red, green, blue = (float(value) for value in encoding.signal_rgb(code))
    return Patch(
        name=name,
        code=code,
        signal=(red, green, blue),
        seconds=seconds,
        target_luminance=float(xyz[1]),
        target_xy=None if np.isnan(x) else (x, y),
        basis=BASES[signal.rpartition("-")[2]],
    )


def card(
    identity: str,
    number: int,
    *,
    signal: str = "2160p60-pq",
    patches: tuple[Patch, ...] = (),
    cautions: tuple[tuple[str, str], ...] = (),
    hold_seconds: float | None = None,
    area_percent: float | None = None,
    is_still: bool = False,
    is_slate: bool = False,
    look: str = "An even field without bands, blotches or a cast of colour.",
) -> Card:
    """A clip of the pack."""
    primaries = parse_signal_format(signal).encoding.primaries
    rows = tuple((float(row[0]), float(row[1]), float(row[2])) for row in primaries.xyz_from_rgb_matrix)
    return Card(
        id=identity,
        file=f"010-quay/{number:03d}-{identity}.{'png' if is_still else 'mp4'}",
        number=f"{number:03d}",
        signal=signal,
        transfer=signal.rpartition("-")[2],
        to_xyz=rows,
        weights=HLG_WEIGHTS,
        delivery="png" if is_still else "hevc-mp4",
        seconds=0.0 if is_still else 90.0,
        is_still=is_still,
        exactness="exact",
        facts=[("Area", "10 %"), ("APL", "7.2 %"), ("FALL", "20.3 cd/m²"), ("MaxCLL", "203 cd/m²")],
        look=look,
        measure="The window, in its middle." if patches else "",
        cautions=list(cautions),
        hold_seconds=hold_seconds,
        thumbnail=PIXEL,
        stretched="",
        warning="",
        area_percent=area_percent,
        pattern="window",
        patches=list(patches),
        is_slate=is_slate,
    )


def lamp(number: int, area: float, code: int = 572, signal: str = "2160p60-pq") -> Card:
    """A window of a lamp's light, larger from clip to clip."""
    patches = (
        patch("lamp", (code, 512, 512), signal),
        patch("night", (64, 512, 512), signal),
    )
    return card(f"lamp-{area:g}", number, signal=signal, area_percent=area, patches=patches)


def harbour(*, cards: int = 0, rungs: int = 10) -> SheetModel:
    """The pack; with `cards` more clips of `rungs` patches where a long one is wanted."""
    many = [
        card(
            f"mooring-{number:03d}",
            number % 100 * 10,
            patches=tuple(
                patch(f"rung-{step}", (64 + 10 * step, 512, 512), "2160p60-pq") for step in range(rungs)
            ),
        )
        for number in range(cards)
    ]
    sdr, hlg = "1080p50-sdr", "2160p50-hlg"
    lamps = ChapterCard(
        name="lamps",
        folder="010-lamps",
        title="How bright do the lamps stay?",
        answers="The light of one code in windows from small to large.",
        words=["Let the set rest on moving pictures between large windows."],
        cards=[
            card("slate", 5, is_slate=True),
            lamp(10, 2),
            lamp(20, 10),
            lamp(30, 50),
            card(
                "beacon",
                40,
                cautions=(("flashing", "Flashing light: warn whoever is in the room."),),
            ),
        ],
        joined=[
            JoinedCard(file="joined/lamps.mp4", seconds=190.0, marks=[(0.0, "lamp-2"), (95.0, "lamp-10")])
        ],
    )
    fog = ChapterCard(
        name="fog",
        folder="020-fog",
        title="What does the fog hide?",
        answers="Greys and colours in SDR and HLG, one after another and side by side.",
        words=[],
        cards=[
            card(
                "buoys",
                10,
                signal=sdr,
                is_still=True,
                patches=(
                    patch("white-buoy", (235, 128, 128), sdr),
                    patch("grey-buoy", (126, 128, 128), sdr),
                    patch("red-buoy", (63, 102, 240), sdr),
                    patch("black-buoy", (16, 128, 128), sdr),
                ),
            ),
            card(
                "tide",
                20,
                signal=hlg,
                patches=(
                    patch("low", (300, 512, 512), hlg, (0.0, 12.5)),
                    patch("high", (721, 512, 512), hlg, (12.5, 25.0)),
                    patch("sunset", (500, 400, 700), hlg, (25.0, 37.5)),
                ),
                cautions=(("stripes", "Stripes over much of the screen: keep it short."),),
            ),
            card(
                "searchlight",
                30,
                signal=hlg,
                cautions=(
                    ("glare", "Bright over much of the screen: turn some room light on first."),
                    ("static-hold", "A bright picture that stands still: let the set rest after."),
                ),
                hold_seconds=2.0,
                look=f"{STICKY} {MARKUP}",
            ),
        ],
        joined=[],
    )
    extra = ChapterCard(
        name="moorings",
        folder="030-moorings",
        title="And all the rest?",
        answers="",
        words=[],
        cards=many,
        joined=[],
    )
    return SheetModel(
        pack="harbour",
        title=f"Harbour & dusk {MARKUP}",
        summary="Lamps, fog and tides for a screen by the sea.",
        created="2031-05-09T23:57:31+00:00",
        version="0.1.0",
        displays=[("sdr", 100.0, 0.0), ("hlg", 1000.0, 0.0), ("pq", 10000.0, 0.0)],
        steps=[
            ("Warm up", "Half an hour of moving pictures, so that its light has settled."),
            ("Room", "No lamp shines on the screen or into the meter."),
        ],
        questions=[
            Question(key="warm-up", label="Warm-up", hint="How long, and on what."),
            Question(key="room-light", label="Room light", hint=""),
        ],
        chapters=[lamps, fog, *([extra] if many else [])],
    )
