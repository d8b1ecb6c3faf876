"""Makes one file: draw, encode under a temporary name, prove, and only then give it its name."""

import contextlib
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

from knownlight.encode.deliveries import write_clip
from knownlight.encode.delivery import Encoded, Exactness, Order, PastLevel
from knownlight.encode.stills.delivery import StillOrder
from knownlight.encode.stills.formats import STILLS
from knownlight.errors import CheckFailed
from knownlight.ffmpeg import Stop
from knownlight.frame.claims import Claims, LightLevels, mean_levels
from knownlight.frame.light import light_levels
from knownlight.frame.planes import Frame
from knownlight.frame.sources import FrameSource, Levels, Sequence
from knownlight.metadata.light import HdrMetadata, hdr_metadata
from knownlight.metadata.still_colour import still_hdr
from knownlight.pack.budget import MemoryBudget
from knownlight.pack.entry import clip_entry
from knownlight.pack.faults import FaultsWatch, faults_watch, poor_coding, problems_of
from knownlight.pack.folders import PART
from knownlight.pack.job import Job
from knownlight.pack.manifest_entries import ClipEntry
from knownlight.pack.progress import Event, Listener, Stage
from knownlight.pack.settling import Over, settle
from knownlight.pack.stick import refusals
from knownlight.readback.packets import file_sha256
from knownlight.signal.encoding import Transfer
from knownlight.stress.coding import AsCoded, PoorCoding
from knownlight.verify.other_readers import Reader, check
from knownlight.verify.proof import Intent, Proof, prove
from knownlight.verify.still import StillIntent, prove_still


def make(
    job: Job,
    to: Path,
    *,
    work: Path,
    budget: MemoryBudget,
    stop: Stop,
    listen: Listener,
    over: Over = Over.NOTHING,
) -> ClipEntry:
    """Make and prove one file.

    Args:
        job: checked before.
        to: final name; its folder is made inside one that exists.
        work: folder for what is thrown away after.
        budget: shared by jobs that run side by side.
        stop: ends it from another thread.
        listen: is told of every step.
        over: what may be replaced under the final name.

    Raises:
        InTheWay: where a file has the final name that may not be replaced.
        CheckFailed: where the file does not hold what was drawn; it does not get its name.
        BadInput, ToolFailed, Cancelled: as the parts raise them.
    """
    part = to.with_name(to.name + PART)
    with _written(part, to):
        to.parent.mkdir(exist_ok=True)
        source = job.shown.draw(job.signal)
        light = declared_light(job, source)
        coding = poor_coding(job)
        hdr = (
            job.declaration.metadata(job.signal)
            if job.declaration is not None
            else hdr_metadata(job.signal, light)
        )
        if job.is_still:
            hdr = still_hdr(job.delivery, hdr)
            encoded = _write_still(job, source, part, hdr=hdr, light=light, stop=stop)
        else:
            with budget.held(job.signal, stop):
                encoded = _write_clip(
                    job, source, hdr, part, work=work, stop=stop, listen=listen, coding=coding
                )
        stop.check()

        def on_proven(done: int, total: int) -> None:
            listen(Event(job=job, stage=Stage.PROVING, done=done, total=total))

        on_proven(0, encoded.group)
        watch = faults_watch(job, encoded)
        proof = prove_job(
            part, job, source, encoded=encoded, hdr=hdr, stop=stop, on_frames=on_proven, watch=watch
        )
        problems, stress = list(proof.problems), None
        if watch is not None and proof.passed:
            coded = coding.result if coding else AsCoded()
            stress = watch.found(part, proof, coded, stop)
            problems = problems_of(stress, job, coded)
        if problems:
            raise CheckFailed(f"{job.id}: {'; '.join(problems)}")
        if watch is not None and stress is not None:
            stress = watch.keep_stretched(stress, to)
        entry = clip_entry(
            job, part, encoded, hdr, proof, sha256=file_sha256(part), source=source, stress=stress
        )
        settle(part, to, over)
    return entry


def declared_light(job: Job, source: FrameSource) -> LightLevels:
    """Light levels to declare: those the pattern claims, else those of the drawn frames.

    Only PQ files declare any, so the frames of other signals are not looked at.
    """
    claims = job.shown.claims(job.signal)
    if isinstance(source, Sequence):
        return mean_levels(
            [
                (_light_of(job, claims.pictures[hold.picture], [source.picture(hold.picture)]), hold.frames)
                for hold in source.plan(job.frames)
            ]
        )
    different = 1 if source.levels is Levels.MOVED else source.unrepeated(job.frames)
    return _light_of(job, claims, (source.frame(index) for index in range(different)))


def _light_of(job: Job, claims: Claims, frames: Iterable[Frame]) -> LightLevels:
    claimed = claims.light(job.signal.encoding)
    if claimed is not None:
        return claimed
    if job.signal.transfer is not Transfer.PQ:
        return LightLevels(0.0, 0.0, 0.0, 0.0)
    return light_levels(frames)


def prove_job(
    path: Path,
    job: Job,
    source: FrameSource,
    *,
    encoded: Encoded,
    hdr: HdrMetadata,
    stop: Stop,
    on_frames: Callable[[int, int], None] = lambda _done, _total: None,
    readers: tuple[Reader, ...] = (),
    watch: FaultsWatch | None = None,
) -> Proof:
    """Prove a file of a job; a clip also by readers beside the standard ones.

    watch: is shown every picture that is no copy; of a still, which is exact, the drawn one.
    """
    if job.is_still:
        proof = prove_still(
            path,
            StillIntent(
                pattern=job.shown,
                signal=job.signal,
                delivery=job.delivery,
                error_limit=STILLS[job.delivery].error_limit,
                hdr=hdr,
            ),
            stop,
        )
        if watch is not None and proof.passed:
            watch.look(source.frame(0), source.frame(0))
        return proof
    intent = Intent(
        pattern=job.shown,
        signal=job.signal,
        source=source,
        delivery=job.delivery,
        frames=job.frames,
        group=encoded.group,
        pieces=encoded.pieces,
        error_limit=encoded.error_limit,
        hdr=hdr,
        on_purpose=job.declaration is not None,
        level=encoded.level if encoded.warning else "",
        sound=job.soundtrack,
    )
    proof = prove(path, intent, stop, on_frames, watch.look if watch else None)
    found = check(path, intent, readers, stop)
    return replace(
        proof, problems=(*proof.problems, *found.problems), readers=(*proof.readers, *found.readers)
    )


def _write_clip(
    job: Job,
    source: FrameSource,
    hdr: HdrMetadata,
    to: Path,
    *,
    work: Path,
    stop: Stop,
    listen: Listener,
    coding: PoorCoding | None,
) -> Encoded:
    def on_frames(done: int, total: int) -> None:
        listen(Event(job=job, stage=Stage.ENCODING, done=done, total=total))

    order = Order(
        name=job.file,
        signal=job.signal,
        source=source,
        frames=job.frames,
        hdr=hdr,
        work=work,
        stop=stop,
        on_frames=on_frames,
        past_level=PastLevel.MARKED if job.must_be_exact else job.past_level,
        sound=job.soundtrack,
    )
    return write_clip(job.delivery, order, to, coding)


def _write_still(
    job: Job, source: FrameSource, to: Path, *, hdr: HdrMetadata, light: LightLevels, stop: Stop
) -> Encoded:
    delivery = STILLS[job.delivery]
    delivery.write(StillOrder(name=job.file, frame=source.frame(0), hdr=hdr, light=light, stop=stop), to)
    return Encoded(
        exactness=Exactness.BOUNDED if delivery.error_limit else Exactness.EXACT,
        error_limit=delivery.error_limit,
        group=1,
        level="",
        peak_rate=0,
        largest_picture=to.stat().st_size,
    )


@contextlib.contextmanager
def _written(part: Path, to: Path) -> Iterator[None]:
    """Leaves no part behind, and words what the file system refuses."""
    try:
        with refusals(to):
            yield
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
