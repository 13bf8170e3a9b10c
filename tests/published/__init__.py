"""Second published forms and checks of the physics, which the program itself does not use."""
