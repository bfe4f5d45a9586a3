"""Finds the best rigs: grows walks by bounds, keeps the list, proves that nothing better exists."""
