"""knownlight render: a pack into a folder, every file proven."""

import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli import sheet
from cli.console import JsonOption, Output, answering, emit, note, output, say
from cli.joined_words import as_words, note_joined, say_joined

_LONG_MINUTES = 120  # from here on told in hours

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knownlight.pack.manifest_entries import FileEntry
    from knownlight.pack.plan import Plan
    from knownlight.pack.render import Rendered
    from knownlight.sheet.make import Made


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
    cache: Annotated[
        Path | None,
        typer.Option("--cache", help="Folder of what is proven, instead of the user's or KNOWNLIGHT_CACHE."),
    ] = None,
    prune: Annotated[
        bool, typer.Option("--prune", help="Remove files of ours that the pack has no more; they are listed.")
    ] = False,
    slates: Annotated[
        bool, typer.Option("--slates", help="A short dim clip before each clip that names it.")
    ] = False,
    joined: Annotated[
        bool, typer.Option("--joined", help="Also join each chapter's clips into long ones with marks.")
    ] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what would be made, its size and time; write nothing.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Render a pack, prove every file, write the manifest. What is proven already is reused.

    Everything is made and proven on this machine first, then copied, read back from the stick and compared. A
    run that was stopped, or whose stick was pulled or full, goes on where it was when it is started again.

    Example: knownlight render first-look --to stick
    """
    form = output(as_json)
    with answering(form):
        from cli.progress import Watch  # noqa: PLC0415 - quick start
        from knownlight.errors import KnownlightError  # noqa: PLC0415
        from knownlight.ffmpeg import Stop  # noqa: PLC0415
        from knownlight.pack.cache import cache_folder  # noqa: PLC0415
        from knownlight.pack.plan import Joining, Stale, plan_of  # noqa: PLC0415
        from knownlight.pack.render import render as render_pack  # noqa: PLC0415
        from knownlight.sheet.write import check_sheet  # noqa: PLC0415
        from presets.loader import Choice, contents_of, jobs_of, load_pack  # noqa: PLC0415
        from presets.slates import Slates  # noqa: PLC0415

        loaded = load_pack(pack)
        choice = Choice(
            signal=signal,
            only=only,
            delivery=delivery,
            height=size,
            beside=Path(pack).parent,
            slates=Slates.BEFORE_CLIPS if slates else Slates.NONE,
        )
        plan = plan_of(
            jobs_of(loaded, choice),
            to,
            contents=contents_of(loaded, choice),
            cache=cache_folder(cache),
            stale=Stale.REMOVED if prune else Stale.KEPT,
            joining=Joining.CHAPTERS if joined else Joining.NONE,
        )
        check_sheet(to)
        for warning in plan.warnings:
            note(f"Warning: {warning}")
        if dry_run:
            _show_plan(plan, jobs, form)
            return
        started = time.monotonic()
        with Watch(len(plan.files)) as watch:
            result = render_pack(plan, workers=jobs, stop=Stop(), listen=watch, before_pruning=_list_old)
        try:
            made = sheet.make(to, plan.cache)
        except KnownlightError:  # what was done is told all the same
            _report(result, None, to, form, time.monotonic() - started)
            raise
        _report(result, made, to, form, time.monotonic() - started)
        if result.failures or (result.joined and result.joined.failures):
            raise typer.Exit(1)


def _list_old(stale: "Sequence[FileEntry]") -> None:
    note("Old files of the pack, to be removed:")
    for each in stale:
        note(f"  {each.file}")


def _show_plan(plan: "Plan", workers: int, form: Output) -> None:
    from knownlight.pack.plan import State, megabytes  # noqa: PLC0415 - quick start

    making = plan.make_seconds / workers
    needed = plan.needed_bytes(*State)
    if form is Output.JSON:
        files = [
            {
                "id": each.job.id,
                "file": each.job.file,
                "signal": each.job.signal.name,
                "delivery": each.job.delivery,
                "frames": each.job.frames,
                "state": each.state.value,
                "bytes": each.bytes,
                "bytes_are": "estimated" if each.state is State.TO_MAKE else "exact",
            }
            for each in plan.files
        ]
        emit(
            {
                "files": files,
                "seconds": plan.play_seconds,
                "needed_bytes": needed,
                "free_bytes": plan.free,
                "making_seconds": round(making),
                "copying_seconds": round(plan.copy_seconds),
                "stale": [each.file for each in plan.old],
                "warnings": plan.warnings,
            }
        )
        return
    for each in plan.files:
        about = "about " if each.state is State.TO_MAKE else ""
        say(
            f"{each.job.file}  {each.job.signal.name}  {each.job.delivery}  {each.job.frames} frames  "
            f"{about}{megabytes(each.bytes)}, {each.state.value}"
        )
    for old in plan.old:
        say(f"{old.file}  old: the pack has it no more")
    free = "" if plan.free is None else f", {megabytes(plan.free)} are free"
    if needed:
        say(
            f"about {megabytes(needed)} to write{free}; by estimate {_time(making)} to make and prove, "
            f"{_time(plan.copy_seconds)} to copy and read back"
        )
    else:
        say("all of it is there by its size; a run reads it again")
    say(f"{len(plan.files)} files, {plan.play_seconds / 60:.1f} minutes to play; nothing was written")


def _time(seconds: float) -> str:
    """A guess of a time, no finer than it is."""
    minutes = seconds / 60
    if minutes < 1:
        return "less than a minute"
    return f"about {minutes:.0f} min" if minutes < _LONG_MINUTES else f"about {minutes / 60:.1f} hours"


def _files(count: int) -> str:
    return f"{count} old file{'' if count == 1 else 's'}"


def _report(result: "Rendered", made: "Made | None", to: Path, form: Output, elapsed: float) -> None:
    from knownlight.sheet.write import SHEET  # noqa: PLC0415 - quick start

    entries, joined = result.manifest.clips, result.joined
    if form is Output.JSON:
        emit(
            {
                "folder": str(to),
                "made": list(result.made),
                "copied": list(result.copied),
                "reused": list(result.reused),
                "failures": [{"id": identity, "problem": problem} for identity, problem in result.failures],
                "stale": [each.file for each in result.manifest.stale],
                "pruned": list(result.pruned),
                "left": list(result.left),
                "seconds": round(elapsed, 1),
                **({"joined": as_words(joined)} if joined else {}),
                **({"sheet": sheet.as_words(made)} if made else {}),
            }
        )
    else:
        exact = sum(entry.exactness.kind == "exact" for entry in entries)
        size = sum(entry.bytes for entry in entries)
        say(
            f"{to}: {len(result.made)} files made, {len(result.copied)} copied from the cache, "
            f"{len(result.reused)} reused, {len(result.failures)} failed in {elapsed:.0f} s; "
            f"{len(entries)} proven files in the manifest ({exact} exact), {size / 1e6:.0f} MB"
        )
        if joined:
            say_joined(joined, result.manifest)
        if made:
            say(f"{to / SHEET}: what to do with it; open it in a browser")
    if made:
        sheet.note_sheet(made)
    if joined:
        note_joined(joined)
    for identity, problem in result.failures:
        note(f"FAILED {identity}: {problem}")
    for file in result.left:
        note(f"{file}: it was changed since it was written; it is not ours any more, and stays")
    if result.pruned:
        note(f"{_files(len(result.pruned))} removed")
    if result.manifest.stale:
        note(f"{_files(len(result.manifest.stale))} of the pack on the stick; --prune lists and removes them")
    told = {(caution.name, caution.words) for entry in entries for caution in entry.safety}
    for name, words in sorted(told):
        clips = ", ".join(e.id for e in entries if any(c.name == name for c in e.safety))
        note(f"Caution, {name} ({clips}): {words}")
