"""Results -> pictures, one per file; `style` holds colours and sizes. A figure draws; it never computes."""
