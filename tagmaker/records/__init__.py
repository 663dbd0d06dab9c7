"""What a run leaves behind: the register, plan.json, and a set of files committed as one."""
