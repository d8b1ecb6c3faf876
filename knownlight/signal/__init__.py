"""Numbers only: rounding, code range, H.273 integers, primaries, matrices, siting, transfer functions."""
