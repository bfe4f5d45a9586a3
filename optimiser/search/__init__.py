"""The one search: walks grown by bounds, the list, the proof."""
