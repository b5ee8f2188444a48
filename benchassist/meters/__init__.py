"""Bytes to readings: ports, links and one decoder a frame family."""
