"""knownlight packs: what can be rendered, and what is in it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.console import JsonOption, Output, answering, emit, output, say

if TYPE_CHECKING:
    from presets.schema import Pack


def packs(
    name: Annotated[str | None, typer.Argument(help="A pack to look into.")] = None,
    as_json: JsonOption = False,
) -> None:
    """What can be rendered, and what is in it.

    Example: knownlight packs first-look
    """
    form = output(as_json)
    with answering(form):
        from presets.loader import load_pack, preset_names  # noqa: PLC0415 - quick start

        if name is None:
            loaded = [load_pack(each) for each in preset_names()]
            if form is Output.JSON:
                emit(
                    {
                        "packs": [
                            {"name": pack.name, "title": pack.title, "summary": pack.summary}
                            for pack in loaded
                        ]
                    }
                )
                return
            for pack in loaded:
                say(f"{pack.name}  {pack.summary}")
            return
        _show(load_pack(name), Path(name).parent, form)


def _show(pack: "Pack", beside: Path, form: Output) -> None:
    import msgspec  # noqa: PLC0415 - quick start

    from presets.loader import Choice, jobs_of  # noqa: PLC0415 - quick start

    jobs = {job.id: job for job in jobs_of(pack, Choice(beside=beside))}
    if form is Output.JSON:
        files = {identity: job.file for identity, job in jobs.items()}
        emit({**msgspec.to_builtins(pack), "files": files})
        return
    say(f"{pack.title} ({pack.name})")
    say(pack.summary)
    for chapter in pack.chapters:
        say(f"\n{chapter.name}: {chapter.title}")
        for clip in chapter.clips:
            job = jobs[clip.id]
            say(f"  {job.file}  {job.signal.name}  {job.delivery}  {float(job.seconds):g} s")
            say(f"      {clip.look}")
            if clip.measure:
                say(f"      Measure: {clip.measure}")
