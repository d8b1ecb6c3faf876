"""Writes the references: patterns, packs, commands and deliveries, from the same text that the program shows.

`python -m docs.generate` writes them; a test holds what is written against what would be.
"""

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from typer.testing import CliRunner

from cli.app import app
from docs.deliveries_page import deliveries_page
from docs.players_page import players_page
from docs.previews import write_previews
from patterns.family import Family
from patterns.reference import parameter_rows
from patterns.registry import CHAPTERS
from presets.loader import Choice, jobs_of, load_pack, preset_names

HERE = Path(__file__).parent
_MADE = "<!-- Made by `python -m docs.generate`; change the program, not this file. -->\n"


def patterns_page() -> str:
    """Every family with its parameters."""
    parts = [
        "# Patterns\n",
        _MADE,
        "A level is given as `luminance` (cd/m²), `signal_percent` or `code` (in the signal's own depth and",
        "range); a second level has its own word in front, as in `surround_luminance`.",
        "The pictures are tone-mapped previews of the defaults: for recognising, not for measuring.\n",
    ]
    for chapter, families in CHAPTERS.items():
        parts.append(f"## {chapter}\n")
        for family in families:
            parts += [
                f"### {family.name}\n",
                f"{family.title}.\n",
                f"![{family.name}](previews/{family.name}.png)\n",
                f"Source: {family.source}.\n",
                _table(family),
                "",
            ]
    return "\n".join(parts)


def _table(family: type[Family]) -> str:
    lines = ["| key | takes | default | meaning |", "| --- | --- | --- | --- |"]
    for row in parameter_rows(family):
        takes = row.takes.replace("|", "\\|")
        lines.append(f"| `{row.key}` | {takes} | {row.default} | {row.meaning} |")
    return "\n".join(lines)


def packs_page() -> str:
    """Every pack with its clips."""
    parts = ["# Packs\n", _MADE]
    for name in preset_names():
        pack = load_pack(name)
        jobs = {job.id: job for job in jobs_of(pack, Choice())}
        parts += [f"## {pack.title} (`{pack.name}`)\n", f"{pack.summary}\n"]
        for chapter in pack.chapters:
            parts += [f"### {chapter.title}\n", f"{chapter.answers}\n"]
            parts += ["| file | signal | what to look for | what to measure |", "| --- | --- | --- | --- |"]
            parts += [
                f"| `{jobs[clip.id].file}` | {jobs[clip.id].signal.name} | {clip.look} | {clip.measure} |"
                for clip in chapter.clips
            ]
            parts.append("")
    return "\n".join(parts)


def commands_page() -> str:
    """Every command with its help."""
    parts = ["# Commands\n", _MADE]
    for command in app.registered_commands:
        parts += [f"## knownlight {command.name}\n", "```", _help(str(command.name)), "```", ""]
    return "\n".join(parts)


def _help(name: str) -> str:
    shown = CliRunner().invoke(app, [name, "--help"], prog_name="knownlight", terminal_width=100)
    return "\n".join(line.rstrip() for line in shown.stdout.strip("\n").splitlines())


PAGES: dict[str, Callable[[], str]] = {
    "patterns.md": patterns_page,
    "packs.md": packs_page,
    "commands.md": commands_page,
    "deliveries.md": partial(deliveries_page, _MADE),
    "players.md": partial(players_page, _MADE),
}


def main() -> None:
    """Write every page and picture."""
    for name, page in PAGES.items():
        (HERE / name).write_text(page(), encoding="utf-8")
        sys.stdout.write(f"docs/{name}\n")
    write_previews()
    sys.stdout.write("docs/previews\n")


if __name__ == "__main__":
    main()
