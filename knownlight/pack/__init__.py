"""Packs: jobs in, proven files and a manifest out."""
