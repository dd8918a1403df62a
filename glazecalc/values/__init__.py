"""What things are: inputs, cones, answers, records, units, results. Frozen; no chemistry; imports nothing of ours."""
