"""What people read: renders results, never solves."""
