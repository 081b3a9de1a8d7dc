"""What readings say of a vehicle, and of its next run."""
