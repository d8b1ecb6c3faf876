"""Turns a made and proven file into its manifest entry, and an entry back into what was intended."""

import math
from dataclasses import asdict
from pathlib import Path

import msgspec

from knownlight.encode.delivery import Encoded
from knownlight.frame.claims import Claims, CodeTriple, Hazard, Purpose, Region
from knownlight.frame.sources import FrameSource, Sequence
from knownlight.metadata.colour import colour_description
from knownlight.metadata.light import (
    LUMINANCE_UNITS,
    ContentLight,
    Declaration,
    HdrMetadata,
    MasteringDisplay,
)
from knownlight.metadata.still_colour import still_colour
from knownlight.pack.job import Job
from knownlight.pack.manifest_entries import (
    ClaimEntry,
    ClipEntry,
    Declared,
    Exactness,
    Light,
    Mastering,
    ProofEntry,
    SafetyEntry,
    SoundEntry,
    StressEntry,
)
from knownlight.safety.cautions import cautions
from knownlight.safety.fields import flashes_between_fields
from knownlight.signal.encoding import Encoding
from knownlight.verify.proof import Proof


def clip_entry(
    job: Job,
    path: Path,
    encoded: Encoded,
    hdr: HdrMetadata,
    proof: Proof,
    *,
    sha256: str,
    source: FrameSource,
    stress: StressEntry | None = None,
) -> ClipEntry:
    """The entry of a proven file of that SHA-256, and of its faults where they were measured."""
    claims = job.shown.claims(job.signal)
    seconds = 0.0 if job.is_still else float(job.frames / job.signal.rate)
    return ClipEntry(
        id=job.id,
        file=job.file,
        bytes=path.stat().st_size,
        sha256=sha256,
        recipe=job.recipe(),
        chapter=job.chapter,
        look=job.look,
        measure=job.measure,
        pattern=job.pattern.name,
        parameters=job.pattern.parameters(),
        signal=job.signal.name,
        signal_options=job.signal.options,
        delivery=job.delivery,
        seconds=seconds,
        frames=job.frames,
        group=encoded.group,
        pieces=list(encoded.pieces),
        level=encoded.level,
        warning=encoded.warning,
        peak_rate=encoded.peak_rate,
        largest_picture=encoded.largest_picture,
        exactness=Exactness(
            kind=encoded.exactness.value,
            largest_error=proof.largest_error,
            largest_region_error=proof.largest_region_error,
            limit=encoded.error_limit,
        ),
        light=Light(**asdict(proof.light)),
        declared=_declared(job, hdr),
        claims=_claim_entries(job, claims, source, proof),
        notes={name: float(value) for name, value in claims.notes.items()},
        safety=[
            SafetyEntry(name=caution.name, words=caution.words)
            for caution in cautions(
                light=proof.light,
                seconds=seconds,
                moves=source.unrepeated(job.frames) > 1,
                hazards=claims.hazards | _of_fields(job, source, claims),
            )
        ],
        proof=ProofEntry(
            decoded_frames=proof.decoded_frames,
            repeated_frames=proof.repeated_frames,
            passed=proof.passed,
            readers=list(proof.readers),
        ),
        sound=SoundEntry(**asdict(proof.sound)) if proof.sound else None,
        stress=stress,
    )


def _of_fields(job: Job, source: FrameSource, claims: Claims) -> frozenset[Hazard]:
    """What comes of showing the two fields of a picture in turn."""
    flashes = flashes_between_fields(source, job.signal, len(claims.pictures))
    return frozenset({Hazard.FLASHING}) if flashes else frozenset()


def _claim_entries(job: Job, claims: Claims, source: FrameSource, proof: Proof) -> list[ClaimEntry]:
    """Every claimed region; of a sequence, with the time of the first showing."""
    encoding = job.signal.encoding

    def entry(
        region: Region, picture: int | None = None, seconds: tuple[float, float] | None = None
    ) -> ClaimEntry:
        return _claim_entry(region, encoding, proof.codes.get((picture, region.name), region.code), seconds)

    entries = [entry(region) for region in claims.regions]
    if not isinstance(source, Sequence):
        return entries
    start, seen = 0, set()
    for hold in source.plan(job.frames):
        end = start + hold.frames
        if hold.picture not in seen:
            seen.add(hold.picture)
            times = (float(start / job.signal.rate), float(end / job.signal.rate))
            entries += [entry(each, hold.picture, times) for each in claims.pictures[hold.picture].regions]
        start = end
    return entries


def _claim_entry(
    region: Region, encoding: Encoding, read: CodeTriple | None, seconds: tuple[float, float] | None
) -> ClaimEntry:
    """A claimed region by the code that the file holds there, with the light that this code asks for.

    A coder that errs may have turned a region into a neighbouring code, which is then the one to measure
    against; where it left no single code, the region is not for measuring.
    """
    rect = region.rect
    code = region.code if read is None else read
    x, y = (float(value) for value in encoding.xy(code))
    return ClaimEntry(
        name=region.name,
        rect=(rect.x, rect.y, rect.width, rect.height),
        code=code,
        luminance=float(encoding.xyz(code)[1]),
        xy=None if math.isnan(x) else (x, y),
        measure=region.purpose is Purpose.MEASURE and read is not None,
        seconds=seconds,
    )


def _declared(job: Job, hdr: HdrMetadata) -> Declared:
    signal = job.signal
    colour = still_colour(job.delivery, signal) if job.is_still else colour_description(signal)
    assert colour.primaries is not None  # noqa: S101 - a description of a signal has all three
    assert colour.transfer is not None  # noqa: S101
    assert colour.matrix is not None  # noqa: S101
    return Declared(
        primaries=colour.primaries,
        transfer=colour.transfer,
        matrix=colour.matrix,
        full_range=colour.full_range or 0,
        chroma_location=colour.chroma_location,
        mastering=Mastering(**asdict(hdr.mastering)) if hdr.mastering else None,
        max_cll=hdr.light.max_cll if hdr.light else None,
        max_fall=hdr.light.max_fall if hdr.light else None,
        on_purpose=job.declaration is not None,
    )


def declaration_of(declared: Declared) -> Declaration | None:
    """What an entry says was declared on purpose; None where it was the truth."""
    if not declared.on_purpose:
        return None
    peak = declared.mastering.max_luminance // LUMINANCE_UNITS if declared.mastering else None
    return Declaration(mastering_peak=peak, max_cll=declared.max_cll, max_fall=declared.max_fall)


def declared_hdr(declared: Declared) -> HdrMetadata:
    """The static metadata that an entry says its file declares."""
    return HdrMetadata(
        mastering=MasteringDisplay(**msgspec.structs.asdict(declared.mastering))
        if declared.mastering
        else None,
        light=ContentLight(max_cll=declared.max_cll, max_fall=declared.max_fall)
        if declared.max_cll is not None and declared.max_fall is not None
        else None,
    )
