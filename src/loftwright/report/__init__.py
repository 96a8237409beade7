"""The figures and pages: results in, pictures and words out."""
