"""A list of a pack's clips in play order that players open: extended M3U in UTF-8, with relative paths.

There is no standard of it beyond common practice: `#EXTM3U`, then before each path `#EXTINF:seconds,title`
(RFC 8216 clause 4.3.2.1 for that line, from memory). Stills are left out: players show them for a time of
their own choosing, or stop at them.
"""

from knownlight.pack.manifest import Manifest

FILE_NAME = "playlist.m3u8"
MARKER = "# knownlight"  # the second line, by which ours is known


def playlist(manifest: Manifest) -> bytes:
    """The file. Titles are the files' ids; line ends are LF."""
    lines = ["#EXTM3U", MARKER]
    for entry in manifest.clips:
        if not entry.is_still:
            lines += [f"#EXTINF:{entry.seconds:.3f},{entry.id}", entry.file]
    return "".join(f"{line}\n" for line in lines).encode()
