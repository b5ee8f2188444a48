"""The checks, laid out as the package is; this marker keeps the name from any installed `tests`."""
