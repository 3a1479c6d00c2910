"""One cell: what people type, read as a value with remarks or as a reason why it cannot be used."""
