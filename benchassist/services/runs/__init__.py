"""Runs: heat, engine, tank and the quit drill."""
