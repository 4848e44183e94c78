"""Pages that open in any browser with no network: one file each, with all they need inside."""
