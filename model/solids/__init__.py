"""The only room of the model that loads the CAD kernel."""
