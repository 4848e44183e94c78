"""Mark-out: the tape measurements that place each hole, as they are really pulled."""
