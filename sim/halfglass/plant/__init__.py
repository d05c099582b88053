"""The continuous physics of the launch: plain functions of numbers, and the march through time."""
