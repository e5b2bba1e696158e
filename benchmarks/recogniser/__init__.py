"""How the recogniser of stamped and cast characters was trained: model, data, training and export."""
