"""Pure computation: standard library and numpy only, SI floats, no clock, no sentences."""
