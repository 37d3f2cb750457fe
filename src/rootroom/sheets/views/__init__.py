"""What each sheet says, as plain texts and lists that every kind of paper lays out alike."""
