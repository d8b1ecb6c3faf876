"""What a clip may do to eyes and panels, told beside it. Standards and local practice come first."""
