"""The references in docs/ are what the program says now, and name everything there is."""

from itertools import pairwise
from pathlib import Path

import pytest

from cli.app import app
from docs.generate import HERE, PAGES
from knownlight.frame.format import parse_signal_format
from patterns.registry import FAMILIES
from presets.loader import load_pack, preset_names
from presets.opening import build_in


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_fresh(name: str) -> None:
    """A generated page equals what would be generated; `python -m docs.generate` mends it."""
    assert PAGES[name]() == (HERE / name).read_text(encoding="utf-8")


def test_every_command_pattern_and_pack_is_documented() -> None:
    """Commands, families, packs and clips all stand in their page."""
    commands, patterns, packs = (
        (HERE / name).read_text(encoding="utf-8") for name in ("commands.md", "patterns.md", "packs.md")
    )

    assert [] == [c.name for c in app.registered_commands if f"## knownlight {c.name}\n" not in commands]
    assert [] == [name for name in FAMILIES if f"### {name}\n" not in patterns]
    assert [] == [name for name in preset_names() if f"(`{name}`)" not in packs]
    clips = [
        clip.id for name in preset_names() for chapter in load_pack(name).chapters for clip in chapter.clips
    ]
    assert [] == [identity for identity in clips if identity not in packs]


def test_the_readme_names_only_commands_there_are() -> None:
    """Every `knownlight COMMAND` of the README is a command."""
    words = (Path(HERE).parent / "README.md").read_text(encoding="utf-8").split()
    known = {command.name for command in app.registered_commands}
    used = {after for word, after in pairwise(words) if word.endswith("/knownlight")}

    assert {"render", "verify"} <= used
    assert set() == used - known


def test_the_example_of_a_scene_is_one(tmp_path: Path) -> None:
    """The example in docs/scenes.md is a scene that can be made, and it uses every kind but a picture."""
    text = (HERE / "scenes.md").read_text(encoding="utf-8").split("```toml\n")[1].split("```")[0]
    (tmp_path / "example.toml").write_text(text, encoding="utf-8")
    scene = build_in(tmp_path, name="scene", values={"file": "example.toml"})
    signal = parse_signal_format("720p60-pq")

    assert ["lamp", "coat"] == [region.name for region in scene.claims(signal).regions]
    assert 120 == scene.draw(signal).unrepeated(1000)
    kinds = {line.split('"')[1] for line in text.splitlines() if line.startswith("kind")}
    assert {"box", "ellipse", "ramp", "grid", "text"} == kinds
