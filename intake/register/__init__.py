"""What an auditor asks of many batches: meters, storage, repeated tags."""
