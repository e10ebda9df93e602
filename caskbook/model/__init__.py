"""What a cask file and house.yaml may hold: jobs, the head, places, ids, settings, JSON Schema; what is wrong in them, and what stands."""
