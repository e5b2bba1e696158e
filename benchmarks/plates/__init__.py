"""Renders of worn maker's marks, punched and cast, with known text and known normals: lines and whole photo sets."""
