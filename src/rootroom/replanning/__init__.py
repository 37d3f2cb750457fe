"""The posted plan, and planning again from what was done: what changes of it, and why."""
