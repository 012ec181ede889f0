"""A school's own sheet brought to our tables: read, its columns and words mapped, what differs written as a layer."""
