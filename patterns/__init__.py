"""What is drawn: one file a family. A pattern knows codes and pixels, never files."""
