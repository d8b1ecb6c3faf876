"""A measured file for machines, and a folder of figures and plots, written whole or not at all."""

import json
import tempfile
from dataclasses import asdict
from pathlib import Path
from typing import Any

from knownlight import ffmpeg
from knownlight.errors import BadInput
from knownlight.readback.any_video import luma_planes
from knownlight.stress.any_file import Measured, Part
from knownlight.stress.labels import word

FIGURES = "figures.json"


def values(measured: Measured) -> dict[str, Any]:
    """Everything that was found, as JSON has it; what is not known is null."""
    video, area, banding = measured.video, measured.area, measured.banding
    return {
        "file": str(video.path),
        "codec": video.codec,
        "width": video.width,
        "height": video.height,
        "scan": "interlaced" if video.is_interlaced else "progressive",
        "depth": video.depth,
        "frames_per_second": None if video.rate is None else float(video.rate),
        "bits_per_second": video.bit_rate,
        "light": video.light_said,
        "area": [area.x, area.y, area.width, area.height],
        "pictures": measured.pictures,
        "every": measured.every,
        "parts": [_part(part) for part in measured.parts],
        "banding": {
            "cambi": banding.cambi,
            "label": word(banding.label),
            "why_not": banding.why_not,
        },
    }


def _part(part: Part) -> dict[str, Any]:
    found = part.found
    return {
        **asdict(part.figures),
        "grid": {
            **asdict(part.grid),
            "found": None if found is None else {"across": found.across, "down": found.down},
        },
        "blocking": word(part.blocking),
    }


def write_report(measured: Measured, folder: Path, stop: ffmpeg.Stop) -> tuple[str, ...]:
    """Figures and plots of a measured file; all of them are finished before the first is put in its place.

    Returns:
        The names of the files.

    Raises:
        BadInput: where there is no room, or the folder cannot be written.
        ToolFailed: where the file can no longer be decoded.
    """
    from knownlight.stress.plots import write_plots  # noqa: PLC0415 - loads matplotlib

    near = folder if folder.exists() else folder.absolute().parent  # of the same disk
    try:
        with tempfile.TemporaryDirectory(dir=near, prefix="knownlight-") as work:
            made = Path(work)
            over_time = [
                {"area": part.figures.area, "ratios": part.ratios.tolist()} for part in measured.parts
            ]
            text = json.dumps({**values(measured), "over_time": over_time}, indent=2, ensure_ascii=False)
            (made / FIGURES).write_text(text + "\n", encoding="utf-8")
            worst = next(iter(luma_planes(measured.video, stop, only=measured.blockiest)))
            write_plots(measured, worst, made)
            names = tuple(sorted(path.name for path in made.iterdir()))
            folder.mkdir(exist_ok=True)
            for name in names:
                (made / name).replace(folder / name)
    except OSError as error:
        raise BadInput(f"{folder}: {error.strerror or error}; free some space, or write elsewhere") from error
    return names
