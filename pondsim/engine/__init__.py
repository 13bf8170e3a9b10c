"""From forcing to the state over time: model, control, the integration loop and its scheme."""
