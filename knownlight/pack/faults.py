"""Watches the pictures of a proof, measures their faults of coding and says which labels they earn."""

from dataclasses import asdict
from pathlib import Path
from typing import Any

import msgspec

from knownlight.encode.delivery import Encoded
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Area
from knownlight.frame.planes import Frame
from knownlight.pack.folders import STRETCHED
from knownlight.pack.job import Job
from knownlight.pack.manifest_entries import ClipEntry, FaultsEntry, GridEntry, StressEntry, StretchedEntry
from knownlight.pack.stretched import Stretched, stretched, write_stretched
from knownlight.readback.packets import file_sha256
from knownlight.stress.cambi import cambi
from knownlight.stress.coding import AsCoded, PoorCoding, aim_of
from knownlight.stress.decoded import LumaHash
from knownlight.stress.figures import Figures
from knownlight.stress.labels import BLOCK, Severity, banding_of, blocking_of, jumping_of, word
from knownlight.stress.meter import EVERY, Meter, relative_light
from knownlight.stress.split import CLEAN_SIDE
from knownlight.verify.proof import Proof

_DECIMALS = 4


def poor_coding(job: Job) -> PoorCoding | None:
    """What codes the job's clip poorly; None where it is coded as well as can be."""
    if job.poor is None or not job.poor.is_coded_poorly:
        return None
    return PoorCoding(job.poor, job.delivery, job.drawn_areas)


def faults_watch(job: Job, encoded: Encoded) -> "FaultsWatch | None":
    """Who measures the faults of a job's file; None of what is not made to show any.

    Of stills only exact ones are: what a picture format adds is not what a display is judged by.
    """
    if not job.areas_of_faults or (job.is_still and encoded.error_limit):
        return None
    return FaultsWatch(job, encoded.group)


class FaultsWatch:
    """Looks at each decoded picture of a clip beside the drawn one."""

    def __init__(self, job: Job, group: int) -> None:
        self._job, self._group = job, group
        self._seen = 0
        self._luma = LumaHash()
        self._meter = Meter(
            job.areas_of_faults,
            depth=job.signal.depth,
            light=relative_light(job.signal.encoding),
            scan=job.signal.scan,
        )
        self._kept: Stretched | None = None

    @property
    def _judged(self) -> Area:
        """The area that labels go by: the first, or the coded side of a split, which is the last."""
        poor = self._job.poor
        return self._job.areas_of_faults[-1 if poor and poor.split else 0]

    def look(self, read: Frame, drawn: Frame) -> None:
        """The next picture."""
        self._meter.add(read.planes[0], drawn.planes[0])
        self._luma.add(read)
        if self._seen == self._group // 2:
            self._kept = stretched(read, self._seen, self._judged.rect)
        self._seen += 1

    def found(self, path: Path, proof: Proof, coded: AsCoded, stop: Stop) -> StressEntry:
        """The faults of a proven file, whose pictures all were looked at."""
        job, figures = self._job, self._meter.figures
        judged = [each for each in figures if each.area.partition(", ")[0] == self._judged.name]
        banding = None if job.is_still else self._banding(path, stop)
        return StressEntry(
            asked=job.poor.words() if job.poor else {},
            quantiser=coded.quantiser,
            blocking=_agreed([blocking_of(each) for each in judged]),
            banding=word(None if banding is None else banding_of(banding)),
            jumping=_agreed([jumping_of(each) for each in judged]),
            bits_per_second=coded.side_bits_per_second or self._rate(proof),
            cambi=None if banding is None else round(banding, _DECIMALS),
            areas=[_entry(each) for each in figures],
            luma_sha256=self._luma.hexadecimal,
            stretched=None,
        )

    def keep_stretched(self, entry: StressEntry, to: Path) -> StressEntry:
        """Write the picture of the middle frame beside the clip's final name, and add it; none of stills."""
        if self._kept is None or not self._job.has_stretched:
            return entry
        beside = to.with_name(to.name + STRETCHED)
        write_stretched(self._kept, beside)
        return msgspec.structs.replace(
            entry,
            stretched=StretchedEntry(
                file=self._job.file + STRETCHED,
                sha256=file_sha256(beside),
                picture=self._kept.picture,
                lowest_code=self._kept.lowest,
                highest_code=self._kept.highest,
            ),
        )

    def _banding(self, path: Path, stop: Stop) -> float:
        scan, judged = self._job.signal.scan, self._judged.rect
        return cambi(path, frames=self._group, every=EVERY, stop=stop, crop=judged, scan=scan)

    def _rate(self, proof: Proof) -> int:
        """Mean rate of the pictures that are no copies; 0 of a still."""
        return round(8.0 * proof.coded_bytes / self._group * float(self._job.signal.rate))


def problems_of(entry: StressEntry, job: Job, coded: AsCoded) -> list[str]:
    """Where a file does not earn what was asked of it, or is not as it was coded."""
    problems = []
    poor = job.poor
    if poor is not None and poor.severity is not None and entry.blocking != poor.severity.value:
        figures = ", ".join(
            f"{each.area} {grid.ratio:g}"
            for each in entry.areas
            for grid in each.grids
            if grid.period == BLOCK
        )
        problems.append(
            f"stress: severity {poor.severity.value} is asked for, the file earns {entry.blocking or 'none'} "
            f"(blocking at {BLOCK} pixels: {figures})"
        )
    megabits = entry.bits_per_second / 1e6
    if poor is not None and poor.megabits is not None and not aim_of(poor).takes(megabits):
        problems.append(f"stress: {poor.megabits:g} Mb/s are asked for, the file has {megabits:.3g}")
    for each in entry.areas:
        if each.area.startswith(CLEAN_SIDE) and each.largest_error:
            problems.append(f"stress: the clean side is {each.largest_error} codes off")
    if coded.luma_sha256 and entry.luma_sha256 != coded.luma_sha256:
        problems.append("stress: its decoded luma is not that of the two sides joined")
    return problems


def stretched_problems(entry: ClipEntry, path: Path) -> list[str]:
    """Whether the picture beside a clip is there and unchanged."""
    if entry.stress is None or entry.stress.stretched is None:
        return []
    beside = path.with_name(path.name + STRETCHED)
    if not beside.is_file():
        return [f"{beside.name} is missing; render the pack again"]
    if file_sha256(beside) != entry.stress.stretched.sha256:
        return [f"{beside.name}: its SHA-256 is not the manifest's: it was changed"]
    return []


def _agreed(labels: list[Severity | None]) -> str | None:
    """What all fields earn; None where they differ."""
    return word(labels[0]) if len(set(labels)) == 1 else None


def _entry(figures: Figures) -> FaultsEntry:
    values = asdict(figures) | {"grids": [GridEntry(**_rounded(asdict(grid))) for grid in figures.grids]}
    return FaultsEntry(**_rounded(values))


def _rounded(values: dict[str, Any]) -> dict[str, Any]:
    """Figures to as many places as mean anything: sums differ in their last bits from machine to machine."""
    return {
        name: round(value, _DECIMALS) if isinstance(value, float) else value for name, value in values.items()
    }
