"""A job: one file to make, with everything that decides its content."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, field
from fractions import Fraction
from functools import cached_property
from pathlib import Path

import knownlight
from knownlight.encode.deliveries import check_carries, check_here
from knownlight.encode.delivery import PastLevel
from knownlight.encode.stills.formats import STILLS, check_stills_here
from knownlight.errors import BadInput, CannotCarry
from knownlight.frame.claims import Area, Pattern
from knownlight.frame.fields import shown_in
from knownlight.frame.format import SignalFormat
from knownlight.frame.geometry import Rect
from knownlight.frame.rates import frames_in
from knownlight.frame.sound import Sound, Soundtrack
from knownlight.metadata.light import Declaration
from knownlight.pack.folders import STRETCHED
from knownlight.pack.names import name_problem
from knownlight.signal.encoding import Transfer
from knownlight.stress.coding import check_poor, sides_of
from knownlight.stress.poor import Poor


@dataclass(frozen=True, kw_only=True)
class Job:
    """One clip or still of a pack.

    file: path inside the pack's folder, with `/`. seconds: asked length; 0 for a still.
    declaration: what the file declares on purpose, instead of the truth.
    sources: the user's files that the pattern is made of, by the names that open them.
    past_level: what becomes of lossless pictures that pass the level. sound: what is asked for.
    poor: faults of coding that are asked for; None for a clip that is coded as well as can be.
    chapter, look, measure: what the manifest says of it to the reviewer; they do not decide its content.
    """

    id: str
    file: str
    pattern: Pattern
    signal: SignalFormat
    delivery: str
    seconds: Fraction
    declaration: Declaration | None = None
    sources: Mapping[str, Path] = field(default_factory=dict)
    past_level: PastLevel = PastLevel.BOUNDED
    sound: Sound = Sound.SILENT
    poor: Poor | None = None
    chapter: str = ""
    look: str = ""
    measure: str = ""

    @cached_property
    def shown(self) -> Pattern:
        """The pattern as the signal shows it: what frames and claims are those of."""
        return shown_in(self.pattern, self.signal)

    @property
    def soundtrack(self) -> Soundtrack | None:
        """The clip's sound, with the pattern's beeps; None for no track."""
        if self.is_still or self.sound is Sound.NONE:
            return None
        return Soundtrack(self.shown.claims(self.signal).beeps)

    @property
    def areas_of_faults(self) -> tuple[Area, ...]:
        """Where faults of coding are measured; empty where none are."""
        return sides_of(self.poor, self.drawn_areas, self.signal) if self.poor else self.drawn_areas

    @property
    def drawn_areas(self) -> tuple[Area, ...]:
        """The same of what is drawn: the whole of a picture that is not made for it and is coded poorly."""
        areas = self.shown.claims(self.signal).areas_of_faults
        whole = Area("picture", Rect(0, 0, self.signal.width, self.signal.height))
        return areas or ((whole,) if self.poor else ())

    @property
    def has_stretched(self) -> bool:
        """Whether a picture of it lies beside it, whose dark codes are stretched."""
        return bool(self.areas_of_faults) and not self.is_still

    def files(self, to: Path) -> tuple[Path, ...]:
        """What making it writes, where its own final name is `to`."""
        return (to, to.with_name(to.name + STRETCHED)) if self.has_stretched else (to,)

    @property
    def must_be_exact(self) -> bool:
        """Whether only exact pictures do, whatever level they need: a clean clip, or sides of a split."""
        return self.poor is not None and (not self.poor.is_coded_poorly or bool(self.poor.split))

    @property
    def is_still(self) -> bool:
        """Whether it is a picture file, not a clip."""
        return self.delivery in STILLS

    @property
    def frames(self) -> int:
        """Whole length in frames."""
        return 1 if self.is_still else frames_in(self.seconds, self.signal.rate)

    def recipe(self) -> str:
        """A hash of everything that decides the file's content: the same recipe need not be made twice."""
        parts = {
            "knownlight": knownlight.__version__,
            "pattern": self.pattern.name,
            "parameters": self.pattern.parameters(),
            "signal": self.signal.name,
            "options": self.signal.options,
            "delivery": self.delivery,
            "frames": self.frames,
            "declaration": asdict(self.declaration) if self.declaration else None,
            "past_level": self.past_level.value,
            "sound": self.sound.value,
            "poor": self.poor.words() if self.poor else None,
        }
        return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()

    def check(self) -> None:
        """Refuse what cannot be made, before any work.

        Raises:
            BadInput, CannotCarry: naming the job and the key.
        """
        for name in (path.name for path in self.files(Path(self.file))):
            problem = name_problem(name)
            if problem:
                raise BadInput(f"{self.id}: file name {name!r} {problem}; give it another name")
        if self.is_still:
            STILLS[self.delivery].refuse(self.signal)
        elif self.signal.transfer is Transfer.SRGB:
            raise CannotCarry(f"{self.id}: srgb signals are for stills; use an sdr signal for a clip")
        else:
            check_carries(self.delivery, self.signal)
        if self.declaration is not None:
            if self.is_still:
                raise BadInput(f"{self.id}: declare: stills declare the truth only; make a clip")
            self.declaration.check(self.signal)
        if self.poor is not None:
            if self.is_still:
                raise BadInput(f"{self.id}: stills are not coded poorly; make a clip, or use block_percent=")
            check_poor(self.poor, self.delivery, self.signal)
        self.shown.claims(self.signal)


def slate_id(identity: str) -> str:
    """The id of the slate that names a clip."""
    return f"slate-{identity}"


def check_jobs(jobs: Sequence[Job]) -> None:
    """Refuse what cannot be made as asked, or not on this machine, before any work.

    Raises:
        BadInput, CannotCarry: naming the job or the delivery.
    """
    for job in jobs:
        job.check()
    check_here((job.delivery, job.signal) for job in jobs if not job.is_still)
    check_stills_here(job.delivery for job in jobs if job.is_still)
