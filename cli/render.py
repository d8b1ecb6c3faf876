"""knownlight render: a pack into a folder, every file proven."""

import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.console import JsonOption, Output, answering, emit, note, output, say

if TYPE_CHECKING:
    from knownlight.pack.job import Job
    from knownlight.pack.render import Rendered


def render(
    pack: Annotated[str, typer.Argument(help="A pack's name, or a .toml file.")],
    *,
    to: Annotated[Path, typer.Option("--to", help="Folder to write, a stick's for instance.")],
    signal: Annotated[
        str | None, typer.Option("--signal", help="Only clips of this signal; * and ? match.")
    ] = None,
    delivery: Annotated[
        str | None, typer.Option("--delivery", help="This delivery instead of each clip's.")
    ] = None,
    only: Annotated[str | None, typer.Option("--only", help="Only clips of this id; * and ? match.")] = None,
    size: Annotated[int | None, typer.Option("--size", help="Picture height instead of each clip's.")] = None,
    jobs: Annotated[int, typer.Option("--jobs", min=1, max=64, help="Files at a time.")] = 2,
    dry_run: Annotated[bool, typer.Option("--dry-run", help="Show what would be made.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Render a pack, prove every file, write the manifest. What is proven already is reused.

    Example: knownlight render first-look --to stick
    """
    form = output(as_json)
    with answering(form):
        from cli.progress import Watch  # noqa: PLC0415 - quick start
        from knownlight.ffmpeg import Stop  # noqa: PLC0415
        from knownlight.pack.render import render as render_pack  # noqa: PLC0415
        from presets.loader import Choice, contents_of, jobs_of, load_pack  # noqa: PLC0415

        loaded = load_pack(pack)
        chosen = jobs_of(
            loaded,
            Choice(signal=signal, only=only, delivery=delivery, height=size, beside=Path(pack).parent),
        )
        if dry_run:
            _show_plan(chosen, form)
            return
        started = time.monotonic()
        with Watch(len(chosen)) as watch:
            result = render_pack(
                chosen, to, contents=contents_of(loaded), workers=jobs, stop=Stop(), listen=watch
            )
        _report(result, to, form, time.monotonic() - started)
        if result.failures:
            raise typer.Exit(1)


def _show_plan(chosen: "list[Job]", form: Output) -> None:
    seconds = sum(float(job.frames / job.signal.rate) for job in chosen)
    if form is Output.JSON:
        files = [
            {
                "id": job.id,
                "file": job.file,
                "signal": job.signal.name,
                "delivery": job.delivery,
                "frames": job.frames,
            }
            for job in chosen
        ]
        emit({"files": files, "seconds": seconds})
        return
    for job in chosen:
        say(f"{job.file}  {job.signal.name}  {job.delivery}  {job.frames} frames")
    say(f"{len(chosen)} files, {seconds / 60:.1f} minutes to play; nothing was written")


def _report(result: "Rendered", to: Path, form: Output, elapsed: float) -> None:
    entries = result.manifest.clips
    if form is Output.JSON:
        emit(
            {
                "folder": str(to),
                "made": list(result.made),
                "reused": list(result.reused),
                "failures": [{"id": identity, "problem": problem} for identity, problem in result.failures],
                "seconds": round(elapsed, 1),
            }
        )
    else:
        exact = sum(entry.exactness.kind == "exact" for entry in entries)
        size = sum(entry.bytes for entry in entries)
        say(
            f"{to}: {len(result.made)} files made, {len(result.reused)} reused, "
            f"{len(result.failures)} failed in {elapsed:.0f} s; "
            f"{len(entries)} proven files in the manifest ({exact} exact), {size / 1e6:.0f} MB"
        )
    for identity, problem in result.failures:
        note(f"FAILED {identity}: {problem}")
    told = {(caution.name, caution.words) for entry in entries for caution in entry.safety}
    for name, words in sorted(told):
        clips = ", ".join(e.id for e in entries if any(c.name == name for c in e.safety))
        note(f"Caution, {name} ({clips}): {words}")
