"""What a rig's parts carry, worked out again: forces, tackles, lengths and strokes."""
