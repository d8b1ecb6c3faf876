"""Exact pictures: the signal format, planes of codes, drawing, frame sources and claims."""
