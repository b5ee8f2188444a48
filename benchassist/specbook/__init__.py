"""The spec book: TOML profiles to core values, every fault at once."""
