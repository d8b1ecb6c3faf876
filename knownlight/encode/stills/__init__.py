"""Picture files: one file a format, each written by a library that does not read it back."""
