"""Jobs with test tiles: plans, what each tile should do, which tell most, where each stands."""
