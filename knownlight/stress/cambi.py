"""CAMBI, the banding figure of libvmaf, by the filter of the ffmpeg in use.

Tandon, Afonso, Sole and Krasula, CAMBI: Contrast-aware Multiscale Banding Index, PCS 2021 (from memory).
The filter takes narrow-range 4:2:0, 4:2:2 or 4:4:4 pictures; ffmpeg turns others into such first.
"""

import json
import tempfile
from pathlib import Path
from statistics import fmean

from knownlight import ffmpeg
from knownlight.errors import BadInput
from knownlight.frame.format import Scan
from knownlight.frame.geometry import Rect

LEAST_SIDE = 216  # pixels, of the longer side; libvmaf takes nothing smaller
_LOG = "cambi.json"
_IN_OPTION = str.maketrans({character: f"\\{character}" for character in "\\':"})
_IN_GRAPH = str.maketrans({character: f"\\{character}" for character in "\\'[],;"})


def cambi(
    path: Path,
    *,
    frames: int | None,
    every: int,
    stop: ffmpeg.Stop,
    crop: Rect | None = None,
    scan: Scan = Scan.PROGRESSIVE,
) -> float:
    """Mean CAMBI of a file, over picture 0 and every so many-th: 0 none, 24 the most.

    Args:
        path: any file that ffmpeg reads.
        frames: only so many from the beginning; None for all.
        every: pictures from one that is looked at to the next.
        stop: ends it.
        crop: only this part, widened to whole chroma samples.
        scan: interlaced pictures are looked at field by field.

    Raises:
        BadInput: for a part with less than 216 pixels on its longer side.
        ToolFailed: where the file does not decode.
    """
    series = cambi_series(path, frames=frames, every=every, stop=stop, crop=crop, scan=scan)
    return fmean(series)


def cambi_series(
    path: Path,
    *,
    frames: int | None,
    every: int,
    stop: ffmpeg.Stop,
    crop: Rect | None = None,
    scan: Scan = Scan.PROGRESSIVE,
) -> tuple[float, ...]:
    """CAMBI of each picture that `cambi` looks at; of interlaced ones the top field, then the bottom one."""
    what = f"{path}: banding could not be measured"
    with tempfile.TemporaryDirectory() as folder:
        log = Path(folder) / _LOG
        shown = "" if frames is None else f"trim=end_frame={frames},"
        arguments = [
            *("-v", "error", "-noautorotate", "-i", str(path), "-map", "0:v:0"),
            *("-vf", shown + cambi_filter(log, every=every, crop=crop, scan=scan)),
            *("-fps_mode", "passthrough", "-f", "null", "-"),
        ]
        ffmpeg.run(arguments, what=what, stop=stop)
        return read_log(log, what)


def cambi_filter(log: Path, *, every: int, crop: Rect | None = None, scan: Scan = Scan.PROGRESSIVE) -> str:
    """The filter that writes CAMBI of every n-th picture to a log.

    Raises:
        BadInput: for a part with less than 216 pixels on its longer side.
    """
    if crop is not None and max(crop.width, crop.height) < LEAST_SIDE:
        raise BadInput(
            f"{crop.width}x{crop.height} is too small for CAMBI; use a part of {LEAST_SIDE} pixels or more"
        )
    interlaced = scan is Scan.INTERLACED
    # in frames: the filter counts fields after they are taken apart
    chosen = f"select=not(mod({'floor(n/2)' if interlaced else 'n'}\\,{every}))"
    # the top field always first: which it is in time does not matter here
    parts = ["setfield=tff", "separatefields", chosen] if interlaced else [chosen]
    if crop is not None:
        parts.append(_crop(crop, 2 if interlaced else 1))
    path = str(log).translate(_IN_OPTION).translate(_IN_GRAPH)
    # an empty model: only the feature is computed, not VMAF, which would take as long again. The second
    # input is asked for and not looked at.
    measure = f"libvmaf=model='':feature=name=cambi:n_threads=2:log_fmt=json:log_path={path}"
    return ",".join(parts) + f",split[main][reference];[main][reference]{measure}"


def _crop(crop: Rect, rows: int) -> str:
    """Whole chroma samples around a part of a frame, of which each row of a picture is `rows`."""
    step = 2 * rows
    left, top = crop.x // 2 * 2, crop.y // step * step
    width, height = crop.right - left, crop.bottom - top
    return f"crop={width + width % 2}:{-(-height // step) * 2}:{left}:{top // rows}"


def read_log(log: Path, what: str) -> tuple[float, ...]:
    """CAMBI picture by picture.

    Raises:
        BadInput: where there is no picture; `what` opens the message.
    """
    frames = json.loads(log.read_text("utf-8"))["frames"] if log.is_file() else []
    if not frames:
        raise BadInput(f"{what}: there are no pictures, or they are under {LEAST_SIDE} pixels; use others")
    return tuple(float(frame["metrics"]["cambi"]) for frame in frames)
