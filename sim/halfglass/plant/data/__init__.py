"""Data files of the plant and the scripts that make them."""
