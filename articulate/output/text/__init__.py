"""What every command says, in words and as plain data."""
