"""A pack with a little of everything that a run sheet speaks of, quick to render."""

from pathlib import Path

from typer.testing import CliRunner

from cli.app import app

PACK = """
schema = 1
name = "small"
title = "A little of everything"
summary = "For tests."
signal = "720p50-sdr"
seconds = 2

[[chapters]]
name = "light"
title = "How bright?"
answers = "Windows."

[[chapters.clips]]
id = "window-pq"
pattern = "window"
signal = "720p60-pq"
seconds = 60
parameters = { area_percent = 10, luminance = 1000 }
look = "A window."
measure = "The window."

[[chapters.clips]]
id = "window-sdr"
pattern = "window"
parameters = { area_percent = 10, signal_percent = 75 }
look = "The same in SDR."

[[chapters.clips]]
id = "window-declared"
pattern = "window"
signal = "720p24-pq"
parameters = { area_percent = 10, luminance = 1000 }
declare = { mastering = 4000, max_cll = 4000, max_fall = 400 }
look = "One that declares more."

[[chapters.clips]]
id = "window-sd"
pattern = "window"
signal = "576i25-sdr"
delivery = "mpeg2-ts"
parameters = { area_percent = 25, signal_percent = 75 }
look = "One of wide pixels."

[[chapters]]
name = "turns"
title = "In turn?"
answers = "A sequence and a still."

[[chapters.clips]]
id = "flash"
pattern = "flash"
signal = "720p24-pq"
seconds = 12
look = "A flash after black."

[[chapters.clips]]
id = "steps-still"
pattern = "grey-steps"
signal = "720p50-hlg"
delivery = "png"
parameters = { steps = 5 }
look = "Steps."

[[chapters]]
name = "dark"
title = "Dark?"
answers = "Faults."

[[chapters.clips]]
id = "drawn"
pattern = "fog"
signal = "720p24-sdr"
parameters = { repeat_seconds = 1, block_percent = 100 }
keep_exact = true
look = "Blocks."

[[chapters]]
name = "sound"
title = "Sound?"
answers = "Beeps."

[[chapters.clips]]
id = "beeps"
pattern = "lip-sync"
signal = "720p25-sdr"
seconds = 6
look = "A bar."
"""


def render_sheet_pack(folder: Path) -> Path:
    """Render it below a folder, and give the pack's."""
    preset = folder / "small.toml"
    preset.write_text(PACK, encoding="utf-8")
    result = CliRunner().invoke(app, ["render", str(preset), "--to", str(folder / "stick")])
    assert 0 == result.exit_code, result.stderr
    return folder / "stick"
