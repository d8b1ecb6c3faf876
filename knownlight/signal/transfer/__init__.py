"""Transfer functions, one file a standard."""
