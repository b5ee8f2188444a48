"""What the readings come to: causes, tests, repair."""
