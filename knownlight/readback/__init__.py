"""Reading: pixels and headers of what was written. Shares nothing with encode but the ffmpeg binary."""
