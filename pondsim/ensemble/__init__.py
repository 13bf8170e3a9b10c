"""Many runs of one pond: done together, kept, and gone on with after a break."""
