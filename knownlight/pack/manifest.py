"""The manifest: everything that is known of a pack, for machines, beside the files it speaks of.

Strict: an unknown field, a wrong type or a newer schema is refused. The digest tells a changed manifest.
"""

import hashlib
from pathlib import Path

import msgspec

from knownlight.encode.stills.formats import STILLS
from knownlight.errors import UnreadableFile
from knownlight.pack.folders import leads_out
from knownlight.pack.stick import put_bytes

SCHEMA = 5
FILE_NAME = "manifest.json"
BESIDE = ".manifest.json"  # ending of the manifest of a single file, after the file's whole name

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


class Manifest(_Entry, frozen=True, kw_only=True):
    """A pack; of a single file, without a name, a title and chapters.

    sources: the user's files that clips are made of, kept so that it is verified from the stick alone. stale:
    files of ours that the pack has no more, or that are being replaced. unfinished: files that a run is about
    to put; where that run was killed, they may be there or not; empty after a whole run.
    """

    schema: int
    knownlight: str
    pack: str
    title: str = ""
    summary: str = ""
    created: str
    chapters: list[ChapterEntry] = []
    clips: list[ClipEntry]
    joined: list[JoinedEntry] = []
    displays: list[DisplayEntry] = []
    sources: list[FileEntry] = []
    stale: list[FileEntry] = []
    unfinished: list[FileEntry] = []
    digest: str = ""

    @property
    def owned(self) -> dict[str, str]:
        """Every file of ours by its name: the SHA-256 that it should have."""
        owned = {stale.file: stale.sha256 for stale in self.stale}
        owned |= {source.file: source.sha256 for source in self.sources}
        for clip in self.clips:
            owned |= clip.files
        for joined in self.joined:
            owned |= joined.files
        return owned

    def clip(self, identity: str) -> ClipEntry | None:
        """The entry of an id."""
        return next((entry for entry in self.clips if entry.id == identity), None)


def digest(manifest: Manifest) -> str:
    """SHA-256 of the manifest's content without its digest, as read: a whole number may be a float's."""
    written = msgspec.json.encode(msgspec.structs.replace(manifest, digest=""))
    read = msgspec.json.decode(written, type=Manifest)
    return hashlib.sha256(msgspec.json.encode(read)).hexdigest()


def write_manifest(manifest: Manifest, to: Path) -> None:
    """Write a manifest with its digest; whole or not at all, and to the disk itself.

    Raises:
        BadInput: where there is no room, or the stick is gone.
    """
    sealed = msgspec.structs.replace(manifest, digest=digest(manifest))
    put_bytes(msgspec.json.format(msgspec.json.encode(sealed), indent=2) + b"\n", to)


def read_manifest(path: Path) -> Manifest:
    """Read a manifest.

    Raises:
        UnreadableFile: where there is none, or it is damaged, of another schema, has unknown fields, or lists
            a file outside its folder: what it lists is replaced and removed as ours.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise UnreadableFile(
            f"{path}: no manifest could be read ({error.strerror}); render the pack first"
        ) from None
    try:
        schema = msgspec.json.decode(data, type=dict[str, msgspec.Raw]).get("schema", msgspec.Raw(b"0"))
        written = bytes(schema).decode()
        if written != str(SCHEMA):
            older = written.isdigit() and int(written) < SCHEMA
            remedy = "move it away and render the pack again" if older else "use a newer knownlight"
            raise UnreadableFile(f"{path}: schema {written} is not {SCHEMA}; {remedy}")
        manifest = msgspec.json.decode(data, type=Manifest)
    except msgspec.MsgspecError as error:
        raise UnreadableFile(
            f"{path}: {error}; the manifest was changed or damaged, render the pack again"
        ) from None
    for name in (*manifest.owned, *(each.file for each in manifest.unfinished)):
        if leads_out(name):
            raise UnreadableFile(
                f"{path}: {name} is outside its folder; move the manifest away and render the pack again"
            )
    return manifest
