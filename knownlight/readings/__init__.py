"""What a meter should read on a display, and the table that readings are kept in."""
