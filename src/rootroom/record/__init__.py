"""What was really done: a record beside the plan that is only ever added to, and its replay."""
