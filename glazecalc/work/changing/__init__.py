"""Jobs that change a recipe: adjust it, swap a material, compare cards, make a batch from a formula."""
