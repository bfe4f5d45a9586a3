"""Works out again what a rig's parts carry: forces, tackles, lengths and strokes."""
