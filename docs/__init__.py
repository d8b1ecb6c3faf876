"""References made from the program, and their generator."""
