"""The engine of knownlight: test pictures whose every pixel is known.

It draws nothing itself and talks to no terminal; see DEVELOPERS.md for the floors.
"""

__version__ = "0.1.0"
