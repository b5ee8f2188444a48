"""Use cases without Qt: what a technician does, in terms of the core and of protocols."""
