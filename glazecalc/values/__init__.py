"""What things are: cones, estimates, recipes, materials, bodies, kilns, verdicts, problems, reports.

Ground floor. Frozen values without chemistry; imports nothing of glazecalc outside this folder.
"""
