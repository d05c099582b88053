"""Studies of a boat or a scenario: what her equations say at rest, and what many days say together."""
