"""Making one file, for the commands `clip` and `still`."""

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

from cli.console import Output, emit, note, say

if TYPE_CHECKING:
    from knownlight.pack.job import Job
    from knownlight.pack.manifest_entries import ClaimEntry, ClipEntry


def make_single(job: "Job", to: Path, form: Output) -> None:
    """Make and prove one file with a manifest beside it, and tell what it holds."""
    import msgspec  # noqa: PLC0415 - quick start

    import knownlight  # noqa: PLC0415
    from cli.progress import Watch  # noqa: PLC0415
    from knownlight.errors import BadInput  # noqa: PLC0415
    from knownlight.ffmpeg import Stop  # noqa: PLC0415
    from knownlight.pack.budget import MemoryBudget  # noqa: PLC0415
    from knownlight.pack.folders import check_writable  # noqa: PLC0415
    from knownlight.pack.job import check_jobs  # noqa: PLC0415
    from knownlight.pack.make import make  # noqa: PLC0415
    from knownlight.pack.manifest import BESIDE, SCHEMA, Manifest, write_manifest  # noqa: PLC0415
    from knownlight.pack.settling import Over  # noqa: PLC0415
    from knownlight.pack.times import now  # noqa: PLC0415

    check_jobs([job])
    check_writable(to.absolute().parent)
    beside = to.with_name(to.name + BESIDE)
    for each in job.files(to):
        if each.exists() and not beside.exists():
            raise BadInput(
                f"{each}: it is there and was not made by knownlight; choose another name or move it away"
            )
    with tempfile.TemporaryDirectory(prefix="knownlight-") as work, Watch(1) as watch:
        over = Over.OURS if beside.exists() else Over.NOTHING
        entry = make(job, to, work=Path(work), budget=MemoryBudget(1), stop=Stop(), listen=watch, over=over)
    write_manifest(
        Manifest(schema=SCHEMA, knownlight=knownlight.__version__, pack="", created=now(), clips=[entry]),
        beside,
    )
    if form is Output.JSON:
        emit(msgspec.to_builtins(entry))
    else:
        say(described(entry, to))
    if entry.stress is not None and entry.stress.stretched is not None and form is not Output.JSON:
        say(f"  {to.with_name(entry.stress.stretched.file)}: the middle frame, stretched to be seen")
    if entry.warning:
        note(f"Warning: {entry.warning}")
    for caution in entry.safety:
        note(f"Caution, {caution.name}: {caution.words}")


def _colour(claim: "ClaimEntry") -> str:
    """A grey's code, or a colour's three and its x, y."""
    first, second, third = claim.code
    if second == third:
        return f"code {first}"
    at = f", x {claim.xy[0]:.4f} y {claim.xy[1]:.4f}" if claim.xy else ""
    return f"codes {first} {second} {third}{at}"


def _time(claim: "ClaimEntry") -> str:
    return f", {claim.seconds[0]:g} to {claim.seconds[1]:g} s" if claim.seconds else ""


def _sound(entry: "ClipEntry") -> list[str]:
    """The sound in a line; of a still, none."""
    sound = entry.sound
    if sound is None:
        return []
    if sound.kind == "none":
        return ["  no sound track"]
    if sound.offset_ms is None:
        return [f"  {sound.kind} sound track, {sound.codec}"]
    mean = f", {sound.mean_offset_ms:+.2f} ms in the mean" if sound.beeps > 1 else ""
    return [
        f"  sound {sound.codec}: {sound.beeps} beep{'s' if sound.beeps > 1 else ''} within "
        f"{sound.offset_ms:.2f} ms of the picture{mean}"
    ]


def _faults(entry: "ClipEntry") -> list[str]:
    """The faults of coding: what they earn, and each part's figures in a line."""
    stress = entry.stress
    if stress is None:
        return []
    names = (("blocking", stress.blocking), ("banding", stress.banding), ("jumps", stress.jumping))
    labels = ", ".join(f"{name} {label or 'between two labels'}" for name, label in names)
    how = "" if stress.quantiser is None else f", quantiser {stress.quantiser:g}"
    cambi = "" if stress.cambi is None else f"; CAMBI {stress.cambi:.3g}"
    rate = f"; {stress.bits_per_second / 1e6:.3g} Mb/s{how}" if stress.bits_per_second else ""
    return [
        f"  faults: {labels}{cambi}{rate}",
        *(
            f"  {each.area}: grid {', '.join(f'{grid.period}: {grid.ratio:.3g}' for grid in each.grids)}; "
            f"{each.flat8:.1%} of blocks flat, {each.codes_in_use} codes"
            f"{'' if each.psnr is None else f', PSNR {each.psnr:.1f} dB'}"
            for each in stress.areas
        ),
    ]


def described(entry: "ClipEntry", to: Path) -> str:
    """A proven file in a few lines."""
    light, exact = entry.light, entry.exactness
    length = f"{entry.frames} frames, {entry.seconds:g} s, level {entry.level}" if entry.level else "still"
    error = (
        "" if exact.kind == "exact" else f", largest error {exact.largest_error} codes (limit {exact.limit})"
    )
    copies = f", {entry.proof.repeated_frames} proven copies" if entry.proof.repeated_frames else ""
    lines = [
        f"{to}: {length}, {entry.bytes:,} bytes",
        f"  {exact.kind}{error}: {entry.proof.decoded_frames} pictures decoded and compared{copies}",
        f"  MaxCLL {light.max_cll:.6g}, MaxFALL {light.max_fall:.6g}, FALL {light.fall:.6g} cd/m²; "
        f"APL {light.apl_percent:.4g} % of signal",
        *_sound(entry),
        *_faults(entry),
    ]
    lines += [
        f"  {claim.name}: {_colour(claim)}, {claim.luminance:.5g} cd/m² at {list(claim.rect)}{_time(claim)}"
        for claim in entry.claims
        if claim.measure
    ]
    return "\n".join(lines)
