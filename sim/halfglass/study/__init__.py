"""Studies of a boat or a scenario: what the plant's own equations say without a day being run."""
