"""What is known of fuels, boiler shapes, screws and hulls, and the reduction of a boat to plain numbers."""
