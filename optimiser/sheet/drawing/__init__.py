"""Draws the pictures: plan, side view, reeving, chart, and where their labels go."""
