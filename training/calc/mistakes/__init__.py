"""Wrong answers that people really reach, each computed from the same inputs as the right one."""
