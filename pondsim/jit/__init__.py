"""The two doors to numba: compiling with its cache, and structs of arrays."""
