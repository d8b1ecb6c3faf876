"""What a file says of itself: colour description, mastering display, light levels, level and tier."""
