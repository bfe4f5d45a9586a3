"""The walks that let a load down, and how they are filled."""
