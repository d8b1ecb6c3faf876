"""Faults of coding, measured and named: blocks, flatness, jumps, banding."""
