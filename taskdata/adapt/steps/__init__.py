"""The steps of an adaptation, one a module; see ``taskdata.adapt.versions`` for their order."""
