"""Lists of plants as people have them: files of cells, free headings, and what they mean."""
