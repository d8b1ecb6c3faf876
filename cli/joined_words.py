"""What is said of clips that were joined."""

from typing import TYPE_CHECKING, Any

from cli.console import note, say

if TYPE_CHECKING:
    from knownlight.pack.joined import Joined
    from knownlight.pack.manifest import Manifest


def as_words(joined: "Joined") -> dict[str, Any]:
    """What was joined, for machines."""
    return {
        "made": list(joined.made),
        "reused": list(joined.reused),
        "left_out": [{"id": identity, "reason": reason} for identity, reason in joined.left_out.items()],
        "failures": [{"file": file, "problem": problem} for file, problem in joined.failures],
    }


def say_joined(joined: "Joined", manifest: "Manifest") -> None:
    """What was joined, for people."""
    from knownlight.pack.job import slate_id  # noqa: PLC0415 - quick start

    for file in (*joined.made, *joined.reused):
        entry = next(entry for entry in manifest.joined if entry.file == file)
        made = "joined" if file in joined.made else "reused"
        slates = {slate_id(mark.clip) for mark in entry.marks}
        clips = sum(mark.clip not in slates for mark in entry.marks)
        say(f"{file}: {made}, {clips} clips, {entry.seconds:.0f} s, {entry.bytes / 1e6:.0f} MB")


def note_joined(joined: "Joined") -> None:
    """What could not be joined, by its reason."""
    for file, problem in joined.failures:
        note(f"FAILED {file}: {problem}")
    for reason in dict.fromkeys(joined.left_out.values()):
        clips = ", ".join(identity for identity, own in joined.left_out.items() if own == reason)
        note(f"not joined, {reason}: {clips}")
