"""Many machines times many attachments, through the same checks as one."""
