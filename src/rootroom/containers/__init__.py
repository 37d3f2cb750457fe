"""What a container is: its shape, what its text means, and how much it takes."""
