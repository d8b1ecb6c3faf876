"""The entries of a manifest: what is known of each file of a pack, in strict structs."""

import msgspec

from knownlight.encode.stills.formats import STILLS

Value = str | int | float


class _Entry(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """The base of all parts."""


class Exactness(_Entry, frozen=True, kw_only=True):
    """class: exact, bounded or degraded. Errors in codes; `limit` is what a bounded clip must stay under.

    largest_region_error: inside claimed regions; of clips that are not exact, 16 pixels inside their edges.
    """

    kind: str = msgspec.field(name="class")
    largest_error: int
    largest_region_error: int
    limit: int


class Light(_Entry, frozen=True, kw_only=True):
    """Of the decoded pixels. cd/m², and % of signal for apl_percent."""

    max_cll: float
    max_fall: float
    apl_percent: float
    fall: float


class Mastering(_Entry, frozen=True, kw_only=True):
    """ST 2086 in 0.00002 and 0.0001 cd/m², as stored."""

    red: tuple[int, int]
    green: tuple[int, int]
    blue: tuple[int, int]
    white: tuple[int, int]
    max_luminance: int
    min_luminance: int


class Declared(_Entry, frozen=True, kw_only=True):
    """What the file says of itself: H.273 integers, and whether it differs from the truth on purpose."""

    primaries: int
    transfer: int
    matrix: int
    full_range: int
    chroma_location: int | None
    mastering: Mastering | None
    max_cll: int | None
    max_fall: int | None
    on_purpose: bool = False


class ClaimEntry(_Entry, frozen=True, kw_only=True):
    """A region: rect [x, y, w, h], codes as stored, luminance in cd/m² and x, y on the reference display.

    seconds: when it is first shown, from and to; None where it is there all the time.
    """

    name: str
    rect: tuple[int, int, int, int]
    code: tuple[int, int, int]
    luminance: float
    xy: tuple[float, float] | None
    measure: bool
    seconds: tuple[float, float] | None = None


class SafetyEntry(_Entry, frozen=True, kw_only=True):
    """A caution to show beside the clip."""

    name: str
    words: str


class ProofEntry(_Entry, frozen=True, kw_only=True):
    """How it was proven: pictures decoded and compared, pictures proven copies of those, and by what."""

    decoded_frames: int
    repeated_frames: int
    passed: bool
    readers: list[str]


class SoundEntry(_Entry, frozen=True, kw_only=True):
    """The sound track as it was decoded. kind: none, silent or beeps. codec: as MediaInfo calls it.

    beeps: how many. offset_ms, mean_offset_ms: how far they are from their pictures, late ones positive: the
    largest magnitude, and the mean; None where there are no beeps.
    """

    kind: str
    codec: str
    beeps: int
    offset_ms: float | None
    mean_offset_ms: float | None


class GridEntry(_Entry, frozen=True, kw_only=True):
    """How far a grid of a period in pixels stands out: a ratio, codes of 8 bits, and % of the mean light.

    drawn_ratio: of what was drawn.
    """

    period: int
    ratio: float
    drawn_ratio: float | None
    step: float
    light_step_percent: float


class FaultsEntry(_Entry, frozen=True, kw_only=True):
    """The faults of coding in a part of the picture, or one field of it.

    pictures: measured. flat8, flat16: shares 0..1 of blocks of one code. Jumps in codes of 8 bits, of the
    mean from one picture to the next; drawn_jump and drawn_flat8 are those of what was drawn. psnr: dB; None
    where nothing differs. largest_error: codes.
    """

    area: str
    pictures: int
    grids: list[GridEntry]
    flat8: float
    flat16: float
    codes_in_use: int
    largest_jump: float
    drawn_jump: float | None
    drawn_flat8: float | None
    psnr: float | None
    largest_error: int | None


class StretchedEntry(_Entry, frozen=True, kw_only=True):
    """A picture of a decoded frame beside the clip, its codes from lowest to highest stretched to be seen."""

    file: str
    sha256: str
    picture: int
    lowest_code: int
    highest_code: int


class StressEntry(_Entry, frozen=True, kw_only=True):
    """The faults of coding, as the written file was measured.

    asked: keys of poor coding; empty where none was. quantiser: at which the poor side was coded; None where
    none was. blocking, banding, jumping: the labels that the figures earn; None where none is earned.
    bits_per_second: of the group that is no copy; of a split, of the coded side alone. cambi: mean, 0 to 24;
    None of a still. luma_sha256: of the decoded luma of the group.
    """

    asked: dict[str, Value]
    quantiser: float | None
    blocking: str | None
    banding: str | None
    jumping: str | None
    bits_per_second: int
    cambi: float | None
    areas: list[FaultsEntry]
    luma_sha256: str
    stretched: StretchedEntry | None


class ClipEntry(_Entry, frozen=True, kw_only=True):
    """One file.

    chapter: its name, or empty. look, measure: what the reviewer does with it, or empty.
    group: pictures that are no copies; pieces: of a sequence, the same of each. level: that it declares.
    warning: what a player may stumble over, or empty. peak_rate: bit/s. largest_picture: bytes. sound: None
    of a still. stress: None of what is not made to show faults.
    """

    id: str
    file: str
    bytes: int
    sha256: str
    recipe: str
    chapter: str
    look: str
    measure: str
    pattern: str
    parameters: dict[str, Value]
    signal: str
    signal_options: dict[str, str | int]
    delivery: str
    seconds: float
    frames: int
    group: int
    pieces: list[int]
    level: str
    warning: str
    peak_rate: int
    largest_picture: int
    exactness: Exactness
    light: Light
    declared: Declared
    claims: list[ClaimEntry]
    notes: dict[str, float]
    stress: StressEntry | None
    sound: SoundEntry | None
    safety: list[SafetyEntry]
    proof: ProofEntry

    @property
    def is_still(self) -> bool:
        """Whether it is a picture file, not a clip."""
        return self.delivery in STILLS

    @property
    def files(self) -> dict[str, str]:
        """Names of the file and of the picture beside it if there is one, with their SHA-256."""
        beside = self.stress.stretched if self.stress else None
        return {self.file: self.sha256} | ({beside.file: beside.sha256} if beside else {})


class ChapterEntry(_Entry, frozen=True, kw_only=True):
    """A folder of a pack and the question that its clips answer."""

    name: str
    folder: str
    title: str
    answers: str


class MarkEntry(_Entry, frozen=True, kw_only=True):
    """A chapter mark of a joined clip: when its first picture is shown, and the id of the clip."""

    seconds: float
    clip: str


class LeftOutEntry(_Entry, frozen=True, kw_only=True):
    """A clip that could not be joined with others of its signal and delivery, and why."""

    clip: str
    reason: str


class JoinedEntry(_Entry, frozen=True, kw_only=True):
    """A file of clips of a chapter one after another, made of their packets.

    recipe: of its parts. sound: kind, as theirs. declared: what its container says of the whole.
    decoded_frames: about the boundaries; all packets are those of the parts.
    """

    file: str
    bytes: int
    sha256: str
    recipe: str
    chapter: str
    signal: str
    signal_options: dict[str, str | int]
    delivery: str
    sound: str
    seconds: float
    frames: int
    declared: Declared
    marks: list[MarkEntry]
    decoded_frames: int
    left_out: list[LeftOutEntry]

    @property
    def files(self) -> dict[str, str]:
        """Its name, with its SHA-256."""
        return {self.file: self.sha256}


class FileEntry(_Entry, frozen=True, kw_only=True):
    """A file by its name in the pack. sha256: of what lies there, or should."""

    file: str
    sha256: str


class DisplayEntry(_Entry, frozen=True, kw_only=True):
    """A display that the targets of the run sheet are for: sdr, hlg or pq, its peak and black in cd/m²."""

    kind: str
    peak: float
    black: float
