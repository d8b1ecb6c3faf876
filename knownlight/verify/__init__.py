"""Intended against read: the proof of a clip or a still."""
