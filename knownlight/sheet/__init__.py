"""The run sheet of a pack: what to do with it, clip by clip; its table of readings and list for players."""
