"""Packs as TOML: what to make, in what order, and what to look for."""
