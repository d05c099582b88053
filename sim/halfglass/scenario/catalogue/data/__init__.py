"""Published tables used by the catalogue: four-quadrant screws and residuary resistance."""
