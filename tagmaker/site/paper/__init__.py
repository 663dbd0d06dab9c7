"""Walk sheets filled in by pen, photographed or scanned: pages found, straightened, and their ticks read."""
