"""Tags, printed and scanned."""
