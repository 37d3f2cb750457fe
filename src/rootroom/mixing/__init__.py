"""What a mix is made of, and how it is blended: recipes, batches, scoops, order of work."""
