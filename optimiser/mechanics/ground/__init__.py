"""Force along the ground: hauling, rolling, resting, steps, buoyancy, levers."""
