"""Programs in the loop with flights and faults: outcomes, failure tables, margins."""
