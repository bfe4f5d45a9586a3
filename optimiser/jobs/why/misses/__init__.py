"""What comes nearest where nothing works."""
