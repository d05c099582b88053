"""The classroom: a plant worked live, its lessons, and the page that shows them."""
