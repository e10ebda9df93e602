"""Labels and cards on paper: laid out in millimetres, and put down as PDF, SVG or PNG."""
