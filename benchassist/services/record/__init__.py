"""What a shop keeps of its machines."""
