"""What was asked, answered and confirmed, kept and printed."""
