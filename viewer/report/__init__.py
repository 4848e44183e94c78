"""What a client is given: facts put together once, then written as a page or on paper."""
