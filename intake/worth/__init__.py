"""What batteries are worth: prices, what each option earns, exact amounts."""
