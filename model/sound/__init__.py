"""What arrives at a seat: directivity, level, time and reflections, band by band."""
