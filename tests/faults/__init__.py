"""What breaks from outside: processes killed, disks full, keys gone. Every fault is real, and its time is bounded."""
