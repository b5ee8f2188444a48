"""The window: counter, bench, findings, machine file, meters."""
