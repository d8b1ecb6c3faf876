"""Writing: one file a delivery, plus stills. Nothing here may import readback."""
