"""From grade and condition to waste stream, reminders of the rules, warnings and handling notes."""
