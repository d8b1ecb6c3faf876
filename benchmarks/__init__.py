"""Speed as ratios, each within one run on one machine; see `python -m benchmarks`."""
