"""Files from a fence: solids, meshes, drawings, lists and pictures."""
