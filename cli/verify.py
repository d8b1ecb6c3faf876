"""knownlight verify: decode again and compare."""

from collections.abc import Mapping
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from cli.console import JsonOption, Output, answering, emit, note, output, say

if TYPE_CHECKING:
    from knownlight.frame.claims import Pattern


def verify(
    paths: Annotated[
        list[Path], typer.Argument(help="Folders, or files with a manifest beside or above them.")
    ],
    readers: Annotated[
        str,
        typer.Option(
            help="Readers to ask: standard, all that are installed beside them, or some by NAME,NAME.",
        ),
    ] = "standard",
    as_json: JsonOption = False,
) -> None:
    """Decode files again and hold them against what was drawn, claimed and declared.

    With `--readers all`, other programs that this machine has read the clips too: mkvmerge, mpv and GStreamer
    say what a clip declares; libde265, OpenH264, dav1d, libaom, libvpx and libmpeg2 decode it again.

    Example: knownlight verify stick --readers all
    """
    form = output(as_json)
    with answering(form):
        from knownlight.ffmpeg import Stop  # noqa: PLC0415 - quick start
        from knownlight.pack.folders import SOURCES  # noqa: PLC0415
        from knownlight.pack.joined import joined_targets, recheck_joined  # noqa: PLC0415
        from knownlight.pack.recheck import Checked, manifest_problems, recheck, targets  # noqa: PLC0415
        from knownlight.verify.other_readers import choose_readers  # noqa: PLC0415
        from presets.opening import build_in  # noqa: PLC0415

        chosen = choose_readers(readers)
        if chosen.absent:
            note(f"knownlight: absent readers: {'; '.join(chosen.absent)}")
        results: list[Checked] = []
        for path in paths:
            name, manifest, entries, folder = targets(path)
            changed = manifest_problems(manifest)
            if changed:
                results.append(Checked(file=str(name), problems=tuple(changed)))

            def rebuild(family: str, values: Mapping[str, object], folder: Path = folder) -> "Pattern":
                return build_in(folder, folder / SOURCES, Path(), name=family, values=values)

            joined = joined_targets(path, manifest, folder)
            for checked in chain(
                (recheck(entry, folder, rebuild, Stop(), readers=chosen.readers) for entry in entries),
                (recheck_joined(entry, manifest, folder, Stop()) for entry in joined),
            ):
                results.append(checked)
                if form is Output.WORDS:
                    say(f"{'ok    ' if not checked.problems else 'FAILED'}  {checked.file}")
                    if chosen.readers and checked.readers:
                        say(f"        read by {', '.join(checked.readers)}")
        failed = [result for result in results if result.problems]
        if form is Output.JSON:
            emit(
                {
                    "passed": not failed,
                    "files": [
                        {
                            "file": result.file,
                            "passed": not result.problems,
                            "problems": list(result.problems),
                            "decoded_frames": result.decoded_frames,
                            "repeated_frames": result.repeated_frames,
                            "readers": list(result.readers),
                        }
                        for result in results
                    ],
                }
            )
        else:
            for result in failed:
                for problem in result.problems:
                    say(f"{result.file}: {problem}")
            say(f"{len(results) - len(failed)} passed, {len(failed)} failed")
        if failed:
            raise typer.Exit(1)
