"""The only door to SQLAlchemy: what a shop keeps."""
